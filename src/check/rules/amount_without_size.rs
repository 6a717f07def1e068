//! `amount-without-size`: an amount that gives no number.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "amount-without-size",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at an amount that no number can be worked out from: a share `of range` without an instrument that has \
               one, a percentage where there is nothing to take it of.",
        why: "Without a size the source cannot be counted.",
        wrong: "The cell gives ~{U = 1.52 V; instrument 0.5 % of range \"data sheet\"}.\n",
        right: "The cell gives ~{U = 1.52 V; instrument 0.5 % of 20 V \"data sheet\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::AmountWithoutSize { why } = fault.kind else { continue };
        if super::unit_on_one_side::speaks_of(&fault.kind) || desk.unit_unknown(fault.item) {
            continue;
        }
        let message = format!("no number can be worked out from this amount: {why}");
        let help = "write a number and a unit, as in `0.5 % of 20 V`, or `with` an instrument whose description has what is missing";
        found.push(RULE.at(fault.span, message, help));
    }
}
