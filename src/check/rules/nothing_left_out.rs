//! `nothing-left-out`: `without` a value that was not recorded.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "nothing-left-out",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a `without` whose value is not among those recorded.",
        why: "The value that was meant still counts, and the reader believes that it does not.",
        wrong: "Swings of ~{t = 2.31, 2.28, 2.95, 2.33 s; reaction 0.20 s \"by hand\"; without 2.59 \"the gate was knocked\"}.\n",
        right: "Swings of ~{t = 2.31, 2.28, 2.95, 2.33 s; reaction 0.20 s \"by hand\"; without 2.95 \"the gate was knocked\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::NothingLeftOut) {
        let message = "this value is not among those recorded, so nothing is left out";
        found.push(RULE.at(fault.span, message, "write the value exactly as it stands in the list"));
    }
}
