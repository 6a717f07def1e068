//! `no-such-row`: `row(x, 9)` of eight.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "no-such-row",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a `row` whose number the column does not have. Rows count from 1.",
        why: "A row that is not there has no value to work with.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 2.25 |\n\nThe third is ~{y = row(x, 3)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 2.25 |\n\nThe second is ~{y = row(x, 2)}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NoSuchRow { has } = fault.kind else { continue };
        let message = format!("the column has {has} rows, and this is none of them");
        found.push(RULE.at(fault.span, message, format!("write a whole number from 1 to {has}")));
    }
}
