//! `far-from-rest`: one repeated reading far from the others.

use crate::check::desk::Desk;
use crate::check::displayed;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::outlier::grubbs;
use crate::evaluate::sheet::Origin;
use crate::evaluate::statistics::mean;
use crate::quantity::{Decimal, Kind};
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "far-from-rest",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at the value of a repeated reading, of five or more, that lies farther from their mean than chance allows \
               once in a hundred such lists (Grubbs' test, two-sided, one per cent), five steps of its last digit from its \
               neighbour, and farther from the mean than its sources explain. Nothing is ever left out for it.",
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

/// Among fewer the test finds nothing: the largest ratio that four values can have is 1.5, and its limit is 1.496.
const FEWEST: usize = 5;

/// So many steps of the last digit have to lie between the far value and its nearest neighbour, and more where all
/// others are equal: rounded values are not spread as the test supposes.
const STEPS: f64 = 5.0;
const STEPS_FROM_EQUALS: f64 = 10.0;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let known = known(quantity);
        let Some((far, ratio)) = counted(quantity).and_then(|values| farthest(&values, known)) else { continue };
        let far = displayed::place(desk, quantity, far);
        let number = desk.text(far).trim();
        let message = format!(
            "{} lies {} standard deviations from the mean of its list, farther than chance would put it",
            say::quoted(number),
            say::to_figures(ratio, 2)
        );
        let help = if matches!(quantity.origin, Origin::Repeated(_)) {
            format!(
                "look into your notes: if something went wrong, add `without {number} \"what went wrong\"`; if not, leave it in"
            )
        } else {
            "look into your notes: if something went wrong, write a dash in its cell and say what; if not, leave it in"
                .into()
        };
        found.push(RULE.at(far, message, help));
    }
}

/// How far a single value may be off by what its author knows of, the scatter left out.
fn known(quantity: &Quantity) -> f64 {
    quantity.sources.iter().filter(|source| source.kind != Kind::Repeat).map(|source| source.amount).sum()
}

/// The values of a repeated reading that count, or those of a column whose rows are such values.
fn counted(quantity: &Quantity) -> Option<Vec<Spanned<Decimal>>> {
    match &quantity.origin {
        Origin::Repeated(repeated) => {
            let values = displayed::values(quantity).into_iter().zip(&repeated.left_out);
            Some(values.filter(|(_, out)| out.is_none()).map(|(value, _)| value).collect())
        }
        Origin::Column(column) if column.repeat.is_some() => Some(displayed::values(quantity)),
        _ => None,
    }
}

/// The value farthest from the mean, where it is too far by chance and by what is known of, and how far in standard
/// deviations of one value.
fn farthest(values: &[Spanned<Decimal>], known: f64) -> Option<(Span, f64)> {
    if values.len() < FEWEST {
        return None;
    }
    let numbers: Vec<f64> = values.iter().map(|value| value.value.to_f64()).collect();
    let found = grubbs(&numbers).filter(|found| found.p < LEVEL)?;
    let (place, far) = (values.get(found.index)?.span, *numbers.get(found.index)?);
    let others = || numbers.iter().enumerate().filter(|(other, _)| *other != found.index).map(|(_, x)| *x);
    let gap = others().map(|x| libm::fabs(x - far)).fold(f64::INFINITY, f64::min);
    let equal = others().fold(f64::NEG_INFINITY, f64::max) <= others().fold(f64::INFINITY, f64::min);
    let steps = if equal { STEPS_FROM_EQUALS } else { STEPS };
    let step = values.iter().map(|value| Decimal::step(value.value.last_place()).to_f64()).fold(0.0, f64::max);
    let is_unexplained = libm::fabs(far - mean(&numbers)?) > known;
    (gap > (steps - 0.5) * step && is_unexplained).then_some((place, found.statistic))
}
