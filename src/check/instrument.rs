//! The instrument that stands beside a reading, as the course describes it.

use super::paper::{Paper, clauses};
use crate::course::Instrument;
use crate::evaluate::Quantity;
use crate::parse::ast::Clause;
use crate::quantity::Exact;

/// The instrument of the course that is named in a quantity's item.
pub(super) fn beside<'r>(paper: &Paper<'r>, quantity: &Quantity) -> Option<&'r Instrument> {
    let word = clauses(paper.item(quantity.item)?).iter().find_map(|clause| match &clause.value {
        Clause::With(word) => Some(&word.value),
        _ => None,
    })?;
    paper.context.course.instruments.get(word)
}

/// The step of its display, in the unit of the quantity.
pub(super) fn display<'r>(paper: &Paper<'r>, quantity: &Quantity) -> Option<Exact> {
    in_unit(paper, quantity, beside(paper, quantity)?.display.as_deref()?)
}

/// One number with a unit, in the unit of the quantity; `None` where it is anything else.
pub(super) fn in_unit<'r>(paper: &Paper<'r>, quantity: &Quantity, text: &'r str) -> Option<Exact> {
    let (number, unit) = paper.described(text)?;
    let alike = unit.dimension == quantity.unit.dimension;
    alike.then(|| quantity.unit.exactly(number, &unit))?
}
