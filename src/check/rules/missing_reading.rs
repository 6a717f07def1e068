//! `missing-reading`: a row without its reading.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "missing-reading",
    group: "record",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at the first empty or dashed cell of a column of readings, whose row is left out of all that is computed from \
               the column.",
        why: "A gap is honest, but a mean or a line through the others should not come as a surprise.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| – |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 3.05 |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::MissingReading) {
        let message = "this row has no reading, so it is left out of all that is computed from the column";
        found.push(RULE.at(
            desk.trimmed(fault.span),
            message,
            "fill the cell, or say beneath the table why the reading is missing",
        ));
    }
}
