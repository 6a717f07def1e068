//! `column-as-value`: a whole column where one value is wanted.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Item;

pub(super) static RULE: Rule = Rule {
    name: "column-as-value",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a column of a table used in a formula outside the table, where only one value can stand.",
        why: "A column holds as many values as it has rows, and the formula does not say which of them it wants.",
        wrong: "| ~{x \"extension\" [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 4.25 |\n\nTwice is ~{y = 2 * x}.\n",
        right: "| ~{x \"extension\" [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 4.25 |\n\nTwice is ~{y = 2 * mean(x)}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::ColumnAsValue) {
        let symbol = desk.text(fault.span).trim();
        let message = format!("{} is a whole column, but one value is wanted here", say::quoted(symbol));
        let help = match desk.item(fault.item) {
            Some(Item::Comparison(_)) => format!(
                "work out the one value that is meant, as in `~{{{symbol}_m = mean({symbol})}}`, and compare that"
            ),
            Some(Item::Budget(_)) => format!(
                "work out the one value that is meant, as in `~{{{symbol}_m = mean({symbol})}}`, and write `budget of {symbol}_m`"
            ),
            _ => format!(
                "say which value is meant: `mean({symbol})`, `row({symbol}, 1)`, `slope(y against {symbol})`; or move the formula into the table"
            ),
        };
        found.push(RULE.at(fault.span, message, help));
    }
}
