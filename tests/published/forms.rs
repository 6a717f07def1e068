//! `data/gum-forms.yaml`: the ways of writing a result that JCGM 100:2008, 7.2.2 and 7.2.4, gives, and
//! those of its example H.3, all read by the program. The roundings of 7.2.6 are in `rounding.rs`.

use meniscus::course::Combine;
use meniscus::evaluate::sheet::Origin;
use serde_yaml::Value;

use crate::{cases, course, find, read, text};

/// 7.2.2 a) is a sentence, not a form of the notation; its figures are those of the other three.
const IN_WORDS: &str = "100.02147 g with u_c = 0.35 mg";

#[test]
fn every_form_is_one_estimate() {
    let file = cases("gum-forms.yaml");
    let mut read_forms = 0;
    for case in file["cases"].as_sequence().unwrap() {
        let Some(forms) = case.get("forms") else { continue };
        for (place, form) in forms.as_sequence().unwrap().iter().enumerate() {
            let form = text(&form["text"]);
            if form == IN_WORDS {
                continue;
            }
            let expect = match &case["expect"] {
                Value::Sequence(each) => &each[place],
                one => one,
            };
            estimate(&form, expect);
            read_forms += 1;
        }
    }
    assert_eq!(read_forms, 6, "three of 7.2.2, one of 7.2.4, two of H.3");
}

fn estimate(form: &str, expect: &Value) {
    let source = format!("~{{x = {form}}}\n");
    let report = read(&source, course(Combine::Sum));
    assert!(report.sheet.faults.is_empty(), "{form}: {:?}", report.sheet.faults);
    let quantity = find(&report, "x");
    let Origin::Reading(record) = &quantity.origin else { panic!("{form} is no reading") };
    let uncertainty = expect.get("uncertainty").unwrap_or(&expect["expanded_uncertainty"]["published"]);
    assert_eq!(record.value.value.decimal.to_string(), text(&expect["value"]), "{form}");
    assert_eq!(record.sum.unwrap().decimal().unwrap().to_string(), text(uncertainty), "{form}");
    let typed = record.claimed.as_ref().unwrap().typed.unwrap();
    assert_eq!(typed.last_place(), record.value.value.decimal.last_place(), "{form}: both end at one place");
}

#[test]
fn the_uncertainty_in_another_unit_is_the_same() {
    let report = read("~{x = 100.02147 g ± 0.35 mg}", course(Combine::Sum));
    let Origin::Reading(record) = &find(&report, "x").origin else { panic!("no reading") };
    assert_eq!(record.sum.unwrap().decimal().unwrap().to_string(), "0.00035");
}
