//! What was most likely meant where the shape of a limit is written in a way of its own.

use super::Certainty;
use super::likely::{Likely, rest};
use crate::locate::Place;
use crate::parse::ast::Limit;
use crate::quantity::nearest;
use crate::span::Span;

/// The shape that `found` means, which stands at `span` where one of `wanted` was expected.
pub(super) fn meant(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if wanted.first() == Some(&"a coverage factor above 0") && found == "=" {
        let help = "take the `=` out: the factor stands behind `k`, as in `k 2`".into();
        return Some((help, Some((span, String::new(), Certainty::Suggestion))));
    }
    if wanted == ["`%`"] {
        return Some(("write the level in per cent, as in `level 95 %`".into(), None));
    }
    if !wanted.contains(&"a shape") {
        return None;
    }
    let here = rest(span.start, place);
    if here.strip_prefix('(').is_some_and(|inner| is_factor(inner.trim_start())) {
        return Some(("write the coverage factor without brackets and `=`, as in `k 2`".into(), None));
    }
    if let Some(factor) = found.strip_prefix(['k', 'K']).filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit())) {
        let help = format!("write a blank between the two: `k {factor}`");
        return Some((help, Some((span, format!("k {factor}"), Certainty::Suggestion))));
    }
    // `k` is too short to be near to anything.
    let words = Limit::WORDS.into_iter().filter(|word| word.len() > 1);
    let meant = of_other_name(found).or_else(|| nearest(found, words))?;
    Some((format!("write `{meant}` if that is the shape meant"), Some((span, meant.into(), Certainty::Suggestion))))
}

/// `k = 2`, `k=2`, `k 2`.
fn is_factor(text: &str) -> bool {
    let behind = text.strip_prefix(['k', 'K']).map(|rest| rest.trim_start_matches([' ', '=']));
    behind.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
}

/// Names that data sheets and textbooks have for the notation's shapes.
fn of_other_name(found: &str) -> Option<&'static str> {
    Some(match found.to_lowercase().as_str() {
        "uniform" | "rect" | "box" => "rectangular",
        "gaussian" | "gauss" => "normal",
        "triangle" => "triangular",
        "trapezoid" | "trapezium" => "trapezoidal 0.5",
        "arcsin" => "arcsine",
        _ => return None,
    })
}
