//! Numbers that were taken from a digital display.

use super::desk::Desk;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;
use crate::quantity::{Decimal, Exact};
use crate::span::Span;

/// A number taken from a display, and the display's step in the unit of the number.
pub(super) struct Displayed<'r> {
    pub(super) quantity: &'r Quantity,
    pub(super) value: Decimal,
    pub(super) span: Span,
    pub(super) step: Decimal,
}

/// All single readings from a display whose step is a decimal in their unit.
pub(super) fn readings<'r>(desk: &Desk<'r>) -> impl Iterator<Item = Displayed<'r>> {
    desk.sound().filter_map(|(_, quantity)| {
        let Origin::Reading(record) = &quantity.origin else { return None };
        let step = record.display.and_then(Exact::decimal).filter(|step| !step.is_zero())?.trimmed();
        Some(Displayed { quantity, value: record.value.value.decimal, span: record.value.span, step })
    })
}
