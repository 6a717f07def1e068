//! `data/reading-practice.yaml`: what first laboratory courses teach about reading instruments (common
//! practice, no source), each case as the report that a student of such a course would write.

use std::collections::BTreeSet;

use meniscus::course::Combine;
use meniscus::report::Report;
use serde_yaml::Value;

use crate::{cases, course, find, read, text};

/// A case: its name, the instrument in the front matter, the items, the quantity asked for.
struct Asked {
    id: &'static str,
    instrument: &'static str,
    items: &'static str,
}

const fn asked(id: &'static str, instrument: &'static str, items: &'static str) -> Asked {
    Asked { id, instrument, items }
}

/// Each asks for the quantity `x`.
const ASKED: [Asked; 20] = [
    asked("wide-1", "division: 1, read_to: 1/10", "~{x = 12.3; with it}"),
    asked("wide-0.1", "division: 0.1, read_to: 1/10", "~{x = 1.23; with it}"),
    asked("wide-5", "division: 5, read_to: 1/10", "~{x = 62.5; with it}"),
    asked("close-0.01", "division: 0.01, read_to: 1/4", "~{x = 1.2325; with it}"),
    asked("close-1mm", "division: 1 mm, read_to: 1/4", "~{x = 14.3 mm; with it}"),
    asked("close-0.5mm", "division: 0.5 mm, read_to: 1/4", "~{x = 14.3 mm; with it}"),
    asked("half-division", "division: 1 mm, read_to: 1/2", "~{x = 14.5 mm; with it}"),
    asked("two-ends", "division: 1 mm, read_to: 1/4, ends: 2", "~{x = 14.3 mm; with it}"),
    asked("fuzzy-1cm", "", "~{x = 31.5 cm; definition 1/2 of 1 cm}"),
    asked("fuzzy-2mm", "", "~{x = 31.5 cm; definition 1/2 of 2 mm}"),
    asked(
        "fuzzy-both-ends",
        "",
        "~{x = 31.5 cm; definition 1/2 of 2 mm \"near end\"; definition 1/2 of 2 mm \"far end\"}",
    ),
    asked("digital", "display: 0.01 V, instrument: 0.5 % + 2 digits", "~{x = 12.34 V; with it}"),
    asked("digital-no-manual", "display: 0.01 V", "~{x = 12.34 V; with it}"),
    asked("stopwatch", "display: 0.01 s, instrument: 0.01 s, reaction: 0.2 s", "~{x = 14.20 s; with it}"),
    asked(
        "many-periods",
        "display: 0.01 s, instrument: 0.01 s, reaction: 0.2 s",
        "~{T = 14.20 s; with it}, ~{x = T / 10 in s}",
    ),
    asked("total", "", "~{x = 31.5 cm; reading 0.5 mm; definition 1 mm; instrument 0.2 mm}"),
    asked("difference", "", "~{a = 12.0; ± 0.2}, ~{b = 11.5; ± 0.2}, ~{x = a - b}"),
    asked("counting", "", "~{x = 144; counting}"),
    asked("half-range", "", "~{x = 1.32, 1.28, 1.35, 1.30 s}"),
    asked("vernier", "division: 0.05 mm, read_to: 1", "~{x = 12.35 mm; with it}"),
];

/// Cases that ask for no number, with the reason.
const NO_NUMBER: [(&str, &str); 2] = [
    ("digits", "a rule of what to record; the rules of reading figures are tested on it in the room `check`"),
    ("counting-zero", "the file leaves the choice open: here √0 = 0, with a warning"),
];

#[test]
fn every_case_is_asked() {
    let file = cases("reading-practice.yaml");
    let listed: BTreeSet<_> = file["cases"].as_sequence().unwrap().iter().map(|case| text(&case["id"])).collect();
    let tested = ASKED.iter().map(|asked| asked.id).chain(NO_NUMBER.iter().map(|case| case.0));
    assert_eq!(tested.map(str::to_owned).collect::<BTreeSet<_>>(), listed);
}

#[test]
fn uncertainties_are_what_courses_teach() {
    for asked in &ASKED {
        let expect = expected(asked.id);
        let is = |combine, wanted: &str| {
            let source = source(asked, combine);
            let got = uncertainty(&read(&source, course(combine)));
            let wanted: f64 = wanted.split(' ').next().unwrap().parse().unwrap();
            assert!((got - wanted).abs() <= 5e-10 * wanted.abs(), "{}: {got}, not {wanted}", asked.id);
        };
        match asked.id {
            // `12.34 V` has a reading uncertainty of nothing: the whole is the instrument's.
            "digital" | "digital-no-manual" => is(Combine::Sum, &text(&expect["instrument_uncertainty"])),
            "many-periods" => is(Combine::Sum, &text(&expect["uncertainty"])),
            "difference" => is(Combine::Sum, "0.4"),
            "counting" => is(Combine::Sum, &text(&expect["uncertainty"])),
            "half-range" => {}
            // Figures of the fuzz are in its own unit: 0.5 cm, 1 mm, 2 mm of a length in centimetres.
            "fuzzy-1cm" => is(Combine::Sum, "0.5"),
            "fuzzy-2mm" => is(Combine::Sum, "0.1"),
            "fuzzy-both-ends" => {
                is(Combine::Sum, "0.2");
                is(Combine::Quadrature, "0.1414213562");
            }
            "total" => {
                is(Combine::Sum, "0.17");
                is(Combine::Quadrature, "0.1135781669");
            }
            "two-ends" => {
                is(Combine::Sum, &text(&expect["sum"]));
                is(Combine::Quadrature, &text(&expect["quadrature"]));
                is(Combine::Standard, &text(&expect["standard_rectangular"]));
            }
            "stopwatch" => {
                is(Combine::Sum, &text(&expect["sum"]));
                is(Combine::Quadrature, &text(&expect["quadrature"]));
            }
            _ => is(Combine::Sum, &text(&expect["reading_uncertainty"])),
        }
    }
}

#[test]
fn the_scatter_of_a_few_readings() {
    let expect = expected("half-range");
    let keys = [
        ("half-range", "half_range"),
        ("standard-deviation", "standard_deviation"),
        ("standard-error", "standard_error"),
    ];
    for (repeat, key) in keys {
        let source = format!("---\nmeniscus: {{repeat: {repeat}}}\n---\n\n~{{x = 1.32, 1.28, 1.35, 1.30 s}}\n");
        let report = read(&source, course(Combine::Sum));
        let (got, wanted): (f64, f64) = (uncertainty(&report), text(&expect[key]).parse().unwrap());
        assert!((got - wanted).abs() <= 5e-10 * wanted, "{repeat}: {got}, not {wanted}");
        assert!((find(&report, "x").measure.unwrap().value - 1.3125).abs() < 1e-15);
    }
}

#[test]
fn a_relative_uncertainty_grows_with_a_difference() {
    let source = source(ASKED.iter().find(|asked| asked.id == "difference").unwrap(), Combine::Sum);
    let report = read(&source, course(Combine::Sum));
    let measure = find(&report, "x").measure.unwrap();
    assert!((measure.uncertainty / measure.value - 0.8).abs() < 1e-12, "80 %");
}

fn expected(id: &str) -> Value {
    let file = cases("reading-practice.yaml");
    let case = file["cases"].as_sequence().unwrap().iter().find(|case| text(&case["id"]) == id);
    case.unwrap_or_else(|| panic!("{id}"))["expect"].clone()
}

fn source(asked: &Asked, combine: Combine) -> String {
    let combine = match combine {
        Combine::Sum => "sum",
        Combine::Quadrature => "quadrature",
        Combine::Standard => "standard",
    };
    let instruments = match asked.instrument {
        "" => String::new(),
        keys => format!("  instruments:\n    it: {{{keys}}}\n"),
    };
    format!("---\nmeniscus:\n  combine: {combine}\n{instruments}---\n\n{}\n", asked.items)
}

/// Of `x`, in its own unit.
fn uncertainty(report: &Report<'_>) -> f64 {
    assert!(report.sheet.faults.is_empty(), "{:?}", report.sheet.faults);
    let quantity = find(report, "x");
    quantity.measure.unwrap().uncertainty / quantity.unit.factor()
}
