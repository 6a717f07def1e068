//! `no-weight`: a weighted mean of something that has no uncertainty.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::{FaultKind, Weightless};

pub(super) static RULE: Rule = Rule {
    name: "no-weight",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a weighted mean `wmean` of a result without uncertainty.",
        why: "A weight is one over the square of an uncertainty. One over nothing is no number: an exact result would make all others \
              superfluous, and one whose uncertainty nobody gave cannot be weighed.",
        wrong: "We found ~{g_1 = 9.74 m/s^2; ± 0.08 m/s^2 \"pendulum\"} and ~{g_2 = 9.81 m/s^2; exact \"course sheet\"}, together \
                ~{g = wmean(g_1, g_2)}.\n",
        right: "We found ~{g_1 = 9.74 m/s^2; ± 0.08 m/s^2 \"pendulum\"} and ~{g_2 = 9.81 m/s^2; ± 0.05 m/s^2 \"falling ball\"}, together \
                ~{g = wmean(g_1, g_2)}.\n",
        edit: None,
        source: "weights of least squares: D. R. Bevington, D. K. Robinson, Data Reduction and Error Analysis, 4.1, from memory",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NoWeight { symbol, row, why } = &fault.kind else { continue };
        let which = match (symbol, row) {
            (Some(symbol), _) => format!("`{symbol}`"),
            (None, Some(row)) => format!("row {}", row + 1),
            (None, None) => "one of the results".into(),
        };
        let (message, help) = match why {
            Weightless::NoUncertainty => (
                format!("{which} has no uncertainty, and so no weight in this mean"),
                "give it its uncertainty, or take `mean`, which weighs all alike",
            ),
            Weightless::TooManySources => (
                format!("so much stands behind {which} that its weight cannot be found here"),
                "take `mean`, or take the weighted mean of fewer results",
            ),
        };
        found.push(RULE.at(fault.span, message, help));
    }
}
