//! `no-number-in-cell`: words in a column of readings.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "no-number-in-cell",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a cell of a column that holds neither a number nor a dash nor nothing.",
        why: "Each cell of a column is a reading in the column's unit; words there are read by nobody who computes.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| slipped |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 3.05 |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::NoNumberInCell) {
        let message =
            format!("{} in a column of numbers is none, so its row cannot be used", say::quoted(desk.text(fault.span)));
        found.push(RULE.at(
            fault.span,
            message,
            "write the number alone, or a dash for a missing reading, and the words beneath the table",
        ));
    }
}
