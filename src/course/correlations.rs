//! The list `correlations`: can each be read, is its coefficient one, and does it stand there once? Whether a report has
//! the readings is not known here.

use std::collections::BTreeSet;

use super::fault::Faults;
use super::place::{Side, Step};
use super::reader::brief;
use super::{Correlation, Course, Notation};

/// Sees that every correlation of the layer holds by itself.
pub(super) fn check(faults: &mut Faults<'_>, notation: Notation, course: &Course) {
    let mut seen = BTreeSet::new();
    for (index, text) in course.correlations.iter().enumerate() {
        if let Some((message, help)) = wrong(text, (notation.correlation)(text), &mut seen) {
            faults.add(&[Step::Key("correlations"), Step::Nth(index)], Side::Value, message, help);
        }
    }
}

fn wrong(text: &str, read: Option<Correlation>, seen: &mut BTreeSet<[String; 2]>) -> Option<(String, &'static str)> {
    let Some(Correlation { mut symbols, coefficient }) = read else {
        let help = "write the two symbols, the coefficient and the reason: `correlated a b 0.8 \"same scale\"`";
        return Some((format!("`{}` is no correlation", brief(text)), help));
    };
    let [a, b] = symbols.each_ref().map(|symbol| brief(symbol));
    if !(-1.0..=1.0).contains(&coefficient) {
        let message = format!("the correlation of `{a}` and `{b}` is {coefficient}, but none is outside −1 to 1");
        return Some((
            message,
            "write a coefficient from −1 to 1: 0 where nothing ties the two, 1 where one follows the other",
        ));
    }
    if a == b {
        return Some((format!("`{a}` is tied to itself here"), "write the symbols of two readings, or take it out"));
    }
    symbols.sort();
    let again = !seen.insert(symbols);
    again.then(|| (format!("`{a}` and `{b}` are tied twice"), "keep one of the two: they cannot both hold"))
}
