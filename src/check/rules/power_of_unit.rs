//! `power-of-unit`: a power that leaves no unit.

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "power-of-unit",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a power of something with a unit whose exponent is measured, or is such that no unit is left: \
               `x^0.13` of a length.",
        why: "The unit of a result follows from the exponent; where that is uncertain or odd, the result has no unit.",
        wrong: "The track is ~{s = 84.0 cm; reading 0.1 cm \"its edge\"} long; ~{y = s^0.13}.\n",
        right: "The track is ~{s = 84.0 cm; reading 0.1 cm \"its edge\"} long; ~{y = (s / 1[cm])^0.13}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::PowerOfUnit) {
        found.push(RULE.at(
            fault.span,
            "no unit comes out of this power: its exponent is measured, or is no simple fraction",
            "take the unit away first, as in `(s / 1[cm])^0.13`, or write a whole exponent or a simple fraction such as `1/2`",
        ));
    }
}
