//! `column-as-value`: a whole column where one value is wanted.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::{Fault, FaultKind};
use crate::parse::ast::Item;
use crate::span::Span;

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
            _ if is_in_function(desk, fault) => "a function of rows takes columns as they are: give the table a column of its own for what stands here, with a heading such as `~{y_1 = …}`, and write its symbol".into(),
            _ => format!(
                "say which value is meant: `mean({symbol})`, `row({symbol}, 1)`, `slope(y against {symbol})`; or move the formula into the table"
            ),
        };
        found.push(RULE.at(fault.span, message, help));
    }
}

/// Does it stand within what `slope` and its like are given, as in `slope(ln(T) against m)`?
fn is_in_function(desk: &Desk<'_>, fault: &Fault) -> bool {
    const OVER_ROWS: [&str; 9] = ["mean", "sum", "sd", "sem", "count", "first", "last", "slope", "intercept"];
    let start = desk.context.document.places.get(fault.item).map_or(fault.span.start, |place| place.span.start);
    let mut before = desk.text(Span::new(start, fault.span.start));
    let mut closed = 0_usize;
    while let Some(at) = before.rfind(['(', ')']) {
        let (head, bracket) = before.split_at(at);
        if bracket.starts_with(')') {
            closed += 1;
        } else if closed > 0 {
            closed -= 1;
        } else if OVER_ROWS.iter().any(|function| head.trim_end().ends_with(function)) {
            return true;
        }
        before = head;
    }
    false
}
