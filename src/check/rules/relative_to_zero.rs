//! `relative-to-zero`: a percentage of nothing.

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "relative-to-zero",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at an uncertainty in per cent of a value that is zero.",
        why: "Any share of zero is zero, and no zero was ever measured that well.",
        wrong: "The empty balance shows ~{m = 0.0 g; instrument 0.5 % \"data sheet\"}.\n",
        right: "The empty balance shows ~{m = 0.0 g; instrument 0.1 g \"data sheet\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::RelativeToZero) {
        let message = "this uncertainty is a share of a value that is zero, so it comes to nothing";
        found.push(RULE.at(fault.span, message, "write an amount with a unit, one that holds at zero too"));
    }
}
