//! `no-number-in-cell`: words in a column of readings.

use super::decimal_comma;
use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Item;
use crate::quantity::Decimal;

pub(super) static RULE: Rule = Rule {
    name: "no-number-in-cell",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a cell of a column that holds neither a number nor a dash nor nothing.",
        why: "Each cell of a column is a reading in the column's unit; words there are read by nobody who computes.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 3.05 cm |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 3.05 |\n| 4.25 |\n\nOn average ~{y = mean(x)}.\n",
        edit: Some("Takes a unit out that is the column's own."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::NoNumberInCell) {
        let text = desk.text(fault.span);
        if decimal_comma::in_cell(text).is_some() {
            continue;
        }
        let message = format!(
            "{} is no number, and every cell of this column has to be one, so its row is left out",
            say::quoted(text)
        );
        if let Some(number) = without_unit(desk, fault.item, text) {
            let help = format!("write `{number}` alone: the unit stands in the column's heading");
            found.push(RULE.at(fault.span, message, help).certain(fault.span, number));
            continue;
        }
        found.push(RULE.at(
            fault.span,
            message,
            "write the number alone, or a dash for a missing reading, and the words beneath the table",
        ));
    }
}

/// The number of a cell that repeats the unit of its column.
fn without_unit<'r>(desk: &Desk<'r>, item: usize, text: &'r str) -> Option<&'r str> {
    let Some(Item::Column(column)) = desk.item(item) else { return None };
    let number = text.strip_suffix(desk.text(column.unit.as_ref()?.span))?.trim_end();
    Decimal::read(number).map(|_| number)
}
