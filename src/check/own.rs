//! The author's own figures of a result, digit for digit.

use super::paper::{Paper, clauses};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Measure, Origin, Stated};
use crate::parse::ast::{AmountStep, Clause, Estimate};
use crate::quantity::Decimal;

/// What was stated of a result, its uncertainty as typed where that is one number in the unit of the
/// value: the evaluation keeps how much it is, but not its zeros.
pub(super) struct Own<'r> {
    pub(super) stated: &'r Stated,
    pub(super) uncertainty: Option<Decimal>,
}

/// The author's own figure of a result, where stated.
pub(super) fn figure<'r>(paper: &Paper<'r>, quantity: &'r Quantity) -> Option<Own<'r>> {
    let Origin::Result { stated: Some(stated) } = &quantity.origin else { return None };
    let clauses = clauses(paper.item(quantity.item)?);
    let typed = clauses.iter().find_map(|clause| match &clause.value {
        Clause::Stated(estimate) => typed(estimate),
        _ => None,
    });
    Some(Own { stated, uncertainty: typed.or(stated.uncertainty) })
}

/// What came out of a quantity, with the uncertainty that the report shows of it.
pub(super) fn shown(paper: &Paper<'_>, quantity: &Quantity, measure: &Measure) -> Measure {
    Measure { uncertainty: paper.context.sheet.reported(quantity, measure), ..*measure }
}

/// The uncertainty of an estimate, where it was typed as one number in the value's own unit.
pub(super) fn typed(estimate: &Estimate) -> Option<Decimal> {
    match estimate.total.as_ref()?.value.amount.steps.as_slice() {
        [AmountStep::Number(number)] => Some(number.value.decimal),
        _ => None,
    }
}
