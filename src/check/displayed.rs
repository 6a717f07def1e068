//! Numbers that were taken from a digital display.

use super::instrument;
use super::paper::{Paper, is_recorded};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Origin, Row};
use crate::parse::ast::Number;
use crate::quantity::{Decimal, Exact};
use crate::span::{Span, Spanned};

/// Numbers taken from a display, and the display's step in their unit.
pub(super) struct Displayed<'r> {
    pub(super) quantity: &'r Quantity,
    /// One number, those of a list, or those in a column's cells.
    pub(super) values: Vec<Spanned<Decimal>>,
    pub(super) step: Decimal,
}

impl Displayed<'_> {
    /// Is it one value of many?
    pub(super) fn among_others(&self) -> bool {
        self.values.len() > 1
    }
}

/// All readings from a display whose step is a decimal in their unit.
pub(super) fn readings<'r>(paper: &Paper<'r>) -> Vec<Displayed<'r>> {
    let readings = paper.sound().filter_map(|(_, quantity)| {
        let step = match &quantity.origin {
            Origin::Reading(record) => record.display,
            _ if is_recorded(quantity) => instrument::display(paper, quantity),
            _ => None,
        };
        let step = step.and_then(Exact::decimal).filter(|step| !step.is_zero())?.trimmed();
        Some(Displayed { quantity, values: values(quantity), step })
    });
    readings.collect()
}

/// All that was recorded of a quantity, and where: one number, those of a list, or those in a
/// column's cells, with the whole cell as their place.
pub(super) fn values(quantity: &Quantity) -> Vec<Spanned<Decimal>> {
    let typed = |number: &Spanned<Number>| Spanned::new(number.value.decimal, number.span);
    let in_cell = |row: &Row| Some(Spanned::new(row.typed?.decimal, row.cell));
    match &quantity.origin {
        Origin::Reading(record) => vec![typed(&record.value)],
        Origin::Repeated(repeated) => repeated.values.iter().map(typed).collect(),
        Origin::Column(column) if !column.result => column.rows.iter().filter_map(in_cell).collect(),
        _ => Vec::new(),
    }
}

/// Where one of [`values`] stands: of a cell the number alone.
pub(super) fn place(paper: &Paper<'_>, quantity: &Quantity, value: Span) -> Span {
    if matches!(quantity.origin, Origin::Column(_)) { number(paper, value) } else { value }
}

/// The number of a cell, without the blanks about it and an uncertainty of its own.
pub(super) fn number(paper: &Paper<'_>, cell: Span) -> Span {
    let span = paper.trimmed(cell);
    let length = paper.text(span).find(['±', '+', '(', ' ']).unwrap_or(span.end - span.start);
    Span::new(span.start, span.start + length)
}
