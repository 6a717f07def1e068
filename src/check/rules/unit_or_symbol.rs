//! `unit-or-symbol`: `t = 2 h` where a quantity `h` exists too.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "unit-or-symbol",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a number with nothing behind it but a unit, in a report that has a quantity of the same symbol.",
        why: "A number and a unit make a reading. Where a product with the quantity was meant, the result is another one \
              altogether.",
        wrong: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"rim\"} high. It cooled for ~{t = 2 h}.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"rim\"} high. It cooled for ~{t = 2.0 h; reaction 0.1 h \"kitchen clock\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::UnitOrSymbol { unit } = &fault.kind else { continue };
        if desk.unit_unknown(fault.item) || desk.misspelt(fault.item) {
            continue;
        }
        let what = if unit.contains(['*', '/']) { "quantities of those symbols" } else { "a quantity of that symbol" };
        let message = format!("`{unit}` was taken for the unit here, but this report has {what} too");
        let help =
            format!("write `* {unit}` if a product is meant; if it is the unit, add the uncertainty behind a `;`");
        found.push(RULE.at(fault.span, message, help));
    }
}
