//! `far-from-rest`: one repeated reading far from the others.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::student;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::sheet::{Origin, Repeated};
use crate::parse::ast::Number;
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "far-from-rest",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at the value of a repeated reading, of seven or more, that lies farther from their mean than chance allows \
               once in a hundred such lists (Grubbs' test, two-sided, one per cent). Nothing is ever left out for it.",
        why: "A slip of the hand hides in a mean, where it is hard to find later. Whether it was one only you can tell.",
        wrong: "Swings of ~{t = 2.31, 2.28, 2.30, 2.33, 2.29, 2.32, 3.31 s; reaction 0.20 s \"by hand\"}.\n",
        right: "Swings of ~{t = 2.31, 2.28, 2.30, 2.33, 2.29, 2.32, 2.31 s; reaction 0.20 s \"by hand\"}.\n",
        edit: None,
        source: "ISO 5725-2:1994, 7.3.4, Grubbs' test, with the critical value from Student's t, from memory",
    },
    check,
};

/// The chance of a false alarm in a list of normally distributed values.
const LEVEL: f64 = 0.01;

/// Among fewer the test finds too much: the largest ratio that four values can have is 1.5, and chance reaches it.
const FEWEST: usize = 7;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Repeated(repeated) = &quantity.origin else { continue };
        let Some((far, ratio)) = farthest(repeated) else { continue };
        let message = format!(
            "{} lies {} standard deviations from the mean of its list, farther than chance would put it",
            say::quoted(desk.text(far.span)),
            say::to_figures(ratio, 2)
        );
        let help = format!(
            "look into your notes: if something went wrong, add `without {} \"what went wrong\"`; if not, leave it in",
            desk.text(far.span).trim()
        );
        found.push(RULE.at(far.span, message, help));
    }
}

/// The value farthest from the mean of those that count, where it is too far, and how far in standard
/// deviations of one value.
fn farthest(repeated: &Repeated) -> Option<(&Spanned<Number>, f64)> {
    let counted =
        || repeated.values.iter().zip(&repeated.left_out).filter(|(_, out)| out.is_none()).map(|(value, _)| value);
    let n = counted().count();
    let deviation = repeated.deviation.filter(|deviation| *deviation > 0.0)?;
    if n < FEWEST {
        return None;
    }
    let size = f64::from(u32::try_from(n).ok()?);
    let mean = counted().map(|value| value.value.decimal.to_f64()).sum::<f64>() / size;
    let off = |value: &Spanned<Number>| libm::fabs(value.value.decimal.to_f64() - mean) / deviation;
    let far = counted().max_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(far) > critical(n, size)?).then(|| (far, off(far)))
}

/// Grubbs' critical value: (n−1)/√n · √(t²/(n−2+t²)) with t at the level α/(2n) of n−2 degrees of freedom.
fn critical(n: usize, size: f64) -> Option<f64> {
    let t = student::upper(LEVEL / (2.0 * size), u32::try_from(n.checked_sub(2)?).ok()?)?;
    Some((size - 1.0) / libm::sqrt(size) * libm::sqrt(t * t / (size - 2.0 + t * t)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Grubbs' two-sided one-per-cent values as ISO 5725-2:1994, table 5, gives them, from memory.
    #[test]
    fn critical_values_are_those_of_the_table() {
        for (n, table) in [(4, 1.496), (5, 1.764), (6, 1.973), (10, 2.482), (20, 3.001)] {
            let size = f64::from(u32::try_from(n).unwrap());
            assert!((critical(n, size).unwrap() - table).abs() < 6e-4, "{n}: {:?}", critical(n, size));
        }
    }
}
