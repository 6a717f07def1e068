//! What mentions, comparisons and graphs resolved to.

use std::sync::Arc;

use super::graph::Graph;
use super::quantity::QuantityId;
use crate::quantity::Unit;

/// What a mention or a comparison resolved to.
#[derive(Clone, Debug)]
pub enum View {
    /// A quantity shown again.
    Mention {
        /// Which.
        quantity: QuantityId,
        /// The unit to show it in, where it is not the quantity's own.
        unit: Option<Arc<Unit>>,
    },
    /// Two values held against each other.
    Comparison(Compared),
    /// A picture of two columns.
    Graph(Box<Graph>),
}

/// The outcome of a comparison.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The left side.
    pub left: QuantityId,
    /// The right side, where it is a quantity of the report.
    pub right: Option<QuantityId>,
    /// The right side's value and uncertainty, in `unit`.
    pub reference: (f64, f64),
    /// Left less right, in `unit`.
    pub difference: f64,
    /// The uncertainty of the difference, its correlation kept, in `unit`; the expanded one where the course wants that
    /// of results.
    pub uncertainty: f64,
    /// Do they agree?
    pub agree: bool,
    /// The unit of the figures above: the left side's, as a difference.
    pub unit: Arc<Unit>,
}
