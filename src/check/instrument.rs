//! The instrument that stands beside a reading, as the course describes it.

use super::paper::{Paper, clauses};
use crate::course::Instrument;
use crate::evaluate::Quantity;
use crate::parse;
use crate::parse::ast::{AmountStep, Clause};
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
pub(super) fn display(paper: &Paper<'_>, quantity: &Quantity) -> Option<Exact> {
    in_unit(paper, quantity, beside(paper, quantity)?.display.as_deref()?)
}

/// One number with a unit, in the unit of the quantity; `None` where it is anything else.
pub(super) fn in_unit(paper: &Paper<'_>, quantity: &Quantity, text: &str) -> Option<Exact> {
    let amount = parse::amount(text).ok()?;
    let [AmountStep::Number(number), AmountStep::Unit(unit)] = &amount.steps[..] else { return None };
    let unit = paper.unit(&unit.value).filter(|unit| unit.dimension == quantity.unit.dimension)?;
    quantity.unit.exactly(Exact::of(number.value.decimal)?, &unit)
}
