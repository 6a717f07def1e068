//! `data/gradients.yaml`: 70 formulas whose sensitivities were computed to 30 digits, and 20 cases at the
//! edges of domains, each as a report that goes through the whole program.

use meniscus::course::Combine;
use meniscus::evaluate::fault::FaultKind;
use meniscus::report::Report;
use serde_yaml::Value;

use crate::{cases, course, find, read, text};

/// What the file asks for is 1e-13. What is wanted here is four units in the last place of a double.
const ULPS: f64 = 4.0;

/// The one figure that cannot have them: neither 12.3 nor 12.1 is a double, and their difference keeps the error
/// of both in a number sixty times smaller.
const CANCELS: (&str, &str) = ("g02", "value");

#[test]
fn all_seventy_formulas() {
    let file = cases("gradients.yaml");
    let list = file["cases"].as_sequence().unwrap();
    for case in list {
        for combine in [Combine::Sum, Combine::Quadrature] {
            formula(case, combine);
        }
    }
    assert_eq!(list.len(), 70);
}

fn formula(case: &Value, combine: Combine) {
    let id = text(&case["id"]);
    let source = report(case);
    let report = read(&source, course(combine));
    assert!(report.sheet.faults.is_empty(), "{id}: {:?}\n{source}", report.sheet.faults);
    let quantity = find(&report, "result_x");
    let measure = quantity.measure.unwrap();
    let expect = &case["expect"];
    near(&id, "value", measure.value, &expect["value"]);
    let key = if combine == Combine::Sum { "sum" } else { "quadrature" };
    near(&id, key, measure.uncertainty, &expect[key]);
    for (symbol, wanted) in expect["coefficients"].as_mapping().unwrap() {
        near(&id, &text(symbol), sensitivity(&report, &text(symbol)), wanted);
    }
}

/// Per unit of the operand, as the file has it; 0 where the quantity does not depend on it at all.
fn sensitivity(report: &Report<'_>, symbol: &str) -> f64 {
    let node = find(report, "result_x").measure.unwrap().node;
    let all = report.sheet.propagation.contributions(node, 1_000).unwrap();
    let own = all.iter().filter_map(|c| Some((c, report.sheet.cause(c.source)?)));
    let (contribution, cause) = match own.into_iter().find(|(_, cause)| cause.of.words() == symbol) {
        Some(found) => found,
        None => return 0.0,
    };
    contribution.sensitivity * cause.unit.factor()
}

fn near(id: &str, what: &str, got: f64, wanted: &Value) {
    let wanted: f64 = text(wanted).parse().unwrap();
    let relative = if (id, what) == CANCELS { 1e-13 } else { ULPS * f64::EPSILON };
    let allowed = if wanted == 0.0 { 1e-13 } else { relative * wanted.abs() };
    assert!((got - wanted).abs() <= allowed, "{id}, {what}: {got:e}, not {wanted:e}");
}

/// The case in the notation. `g` alone is no unit here but a symbol, and so it stays.
fn report(case: &Value) -> String {
    let mut out = String::new();
    for (symbol, given) in case["given"].as_mapping().unwrap() {
        let unit = given.get("unit").map(|unit| format!(" {}", text(unit))).unwrap_or_default();
        let (value, amount) = (text(&given["value"]).replace("E+", "e"), text(&given["amount"]).replace("E+", "e"));
        out += &format!("~{{{} = {value}{unit}; ± {amount}{unit}}}\n\n", text(symbol));
    }
    out + &format!("~{{result_x = {}}}\n", text(&case["formula"]))
}

/// What the program makes of each edge: a value with these sensitivities, or a fault.
enum Edge {
    /// Outside the domain: no value.
    Outside,
    /// A value in mathematics, but no first-order sensitivity, and so none here.
    NoSensitivity,
    /// A value and the uncertainty by `sum`.
    Value(f64, f64),
}

#[test]
fn all_edges_of_domains() {
    use Edge::{NoSensitivity, Outside, Value};
    let decided = [
        ("edge-sqrt-0", NoSensitivity),
        ("edge-sqrt-neg", Outside),
        ("edge-sqrt-cross", Value(0.1, 0.5)),
        ("edge-asin-1", NoSensitivity),
        ("edge-acos-1", NoSensitivity),
        ("edge-asin-out", Outside),
        // 1 by the convention of IEEE 754, undefined in analysis: with an uncertain exponent there is no answer.
        ("edge-0^0", Outside),
        ("edge-0^2", Value(0.0, 0.0)),
        ("edge-0^0.5", NoSensitivity),
        ("edge-neg^int", Value(-8.0, 1.2)),
        ("edge-neg^frac", Outside),
        ("edge-neg^uncertain", NoSensitivity),
        ("edge-ln-0", Outside),
        ("edge-div-0", Outside),
        ("edge-0/b", Value(0.0, 0.05)),
        // Either sign of the derivative gives the same.
        ("edge-abs-0", Value(0.0, 0.1)),
        ("edge-atan2-00", Outside),
        ("edge-tan-90", Outside),
        ("edge-cbrt-0", NoSensitivity),
        ("edge-hypot-0", NoSensitivity),
    ];
    let file = cases("gradients.yaml");
    let list = file["edges"].as_sequence().unwrap();
    assert_eq!(list.len(), decided.len());
    for (case, (id, edge)) in list.iter().zip(&decided) {
        assert_eq!(text(&case["id"]), *id);
        let source = report(case);
        let report = read(&source, course(Combine::Sum));
        let kinds: Vec<_> = report.sheet.faults.iter().map(|fault| &fault.kind).collect();
        let measure = find(&report, "result_x").measure;
        match edge {
            Outside => {
                assert!(matches!(kinds[..], [FaultKind::OutsideDomain { .. }]) && measure.is_none(), "{id}: {kinds:?}")
            }
            NoSensitivity => {
                assert!(matches!(kinds[..], [FaultKind::NoSensitivity { .. }]) && measure.is_none(), "{id}: {kinds:?}");
            }
            Value(value, uncertainty) => {
                let measure = measure.unwrap_or_else(|| panic!("{id}: {kinds:?}"));
                assert!(
                    (measure.value - value).abs() < 1e-13 && (measure.uncertainty - uncertainty).abs() < 1e-13,
                    "{id}"
                );
            }
        }
    }
}
