//! `not-computed`: a word that is known, where nothing is computed with it.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "not-computed",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a word of the notation in a place where this version computes nothing with it.",
        why: "Better an honest gap in the page than a number that leaves something out.",
        wrong: "",
        right: "",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NotComputed { what } = fault.kind else { continue };
        let message = format!("{what} cannot be computed here in this version");
        found.push(RULE.at(fault.span, message, "take it out, or work it out by hand and record the result"));
    }
}
