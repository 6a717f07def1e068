//! The quantities of the report as they are known while others are worked out.

use std::collections::HashMap;

use super::sheet::{Quantity, QuantityId};
use crate::parse::ast::Symbol;

/// The quantities of the report as they are known so far.
pub(super) struct Known<'k> {
    pub(super) quantities: &'k [Quantity],
    pub(super) by_symbol: &'k HashMap<Symbol, QuantityId>,
}
