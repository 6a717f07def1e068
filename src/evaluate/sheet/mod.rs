//! What evaluation gives: every quantity of a report with its value, its sources, its faults. Nothing is worked out
//! here.

mod graph;
mod line;
mod quantity;
mod tie;
mod variable;
mod view;
mod weighted;

use std::collections::{BTreeMap, HashMap};

use crate::evaluate::factors::Factors;
use crate::evaluate::fault::Fault;
use crate::evaluate::propagate::{Node, Propagation};
use crate::parse::ast::Symbol;
use crate::quantity::Units;

pub use graph::{Drawn, Graph, Mark, Straight};
pub use line::{Asked, Fitted, Lines};
pub use quantity::{
    Claimed, Column, ColumnRepeat, Measure, Origin, Part, Parts, Quantity, QuantityId, Record, Repeated, Row, Source,
    Stated,
};
pub use tie::{Tie, Ties, Untied, WhyNot};
pub use view::{Compared, View};
pub use weighted::{Weighted, Weighteds};

pub(super) use variable::{Causes, Key};

/// The quantities of one report.
#[derive(Debug, Default)]
pub struct Sheet {
    /// In the order in which the report defines them. A symbol defined twice stands once, as first
    /// defined.
    pub quantities: Vec<Quantity>,
    /// Mentions and comparisons that could be resolved, by the number of their item.
    pub views: BTreeMap<usize, View>,
    /// What is wrong, in the order of the places.
    pub faults: Vec<Fault>,
    /// Sensitivities of all quantities to all variables.
    pub propagation: Propagation,
    /// The units that the report may use.
    pub units: Units,
    /// The straight lines that were fitted.
    pub lines: Lines,
    /// The weighted means that were taken.
    pub weighted_means: Weighteds,
    /// The correlations that were stated.
    pub ties: Ties,
    /// What expanded uncertainties are made with.
    pub factors: Factors,
    pub(in crate::evaluate) by_symbol: HashMap<Symbol, QuantityId>,
    /// Of each item: the quantity that it defines.
    pub(in crate::evaluate) by_item: Vec<Option<QuantityId>>,
    pub(in crate::evaluate) causes: Causes,
}

impl Sheet {
    /// The quantity of that symbol.
    pub fn find(&self, symbol: &Symbol) -> Option<(QuantityId, &Quantity)> {
        let &id = self.by_symbol.get(symbol)?;
        Some((id, &self.quantities[id]))
    }

    /// The weighted means that a quantity was made of directly, or one of the rows of a column.
    pub fn weighted_in(&self, node: Node) -> impl Iterator<Item = &Weighted> {
        let operands = (!self.weighted_means.is_empty()).then(|| self.propagation.operands_of(node));
        operands.into_iter().flatten().filter_map(|operand| self.weighted_means.get(&operand))
    }

    /// The quantity that the `item`th place defines.
    pub fn defined_by(&self, item: usize) -> Option<(QuantityId, &Quantity)> {
        let id = self.by_item.get(item).copied().flatten()?;
        Some((id, &self.quantities[id]))
    }
}
