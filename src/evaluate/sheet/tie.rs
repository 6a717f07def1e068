//! The correlations that a report states of its readings.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::quantity::QuantityId;
use crate::parse::ast::Symbol;

/// The correlations that a report states.
#[derive(Clone, Debug, Default)]
pub struct Ties {
    /// Those that hold.
    pub tied: Vec<Tie>,
    /// Those that could not be kept, in the order of the list: what they name is independent.
    pub untied: Vec<Untied>,
    by_quantity: BTreeMap<QuantityId, Vec<usize>>,
}

/// Two readings that are tied.
#[derive(Clone, Debug, PartialEq)]
pub struct Tie {
    /// The place in the list.
    pub index: usize,
    /// The readings.
    pub of: [QuantityId; 2],
    /// Their correlation coefficient.
    pub coefficient: f64,
    /// Why.
    pub reason: Option<Arc<str>>,
}

/// A correlation that could not be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Untied {
    /// The place in the list.
    pub index: usize,
    /// Why not.
    pub why: WhyNot,
}

/// Why a correlation could not be kept.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyNot {
    /// A symbol that the report does not define, and the nearest one that it does.
    UnknownSymbol {
        /// As typed.
        symbol: Symbol,
        /// The nearest known one.
        nearest: Option<Symbol>,
    },
    /// A column, a result or a constant.
    NoReading {
        /// Which.
        quantity: QuantityId,
    },
    /// A reading with no uncertainty.
    Exact {
        /// Which.
        quantity: QuantityId,
    },
    /// What both readings owe to the same instruments leaves the coefficient this room alone.
    OutOfReach {
        /// The least coefficient.
        low: f64,
        /// The greatest.
        high: f64,
    },
    /// The readings that are tied together cannot all be tied as stated: their matrix is not positive semidefinite.
    Impossible {
        /// All of them.
        group: Vec<QuantityId>,
        /// Of three readings one pair of which is not stated: that pair, and what its coefficient would have to be.
        missing: Option<([QuantityId; 2], [f64; 2])>,
    },
    /// More readings are tied together than are worked out.
    TooMany {
        /// How many can be.
        most: usize,
    },
}

impl Ties {
    /// Of ties in any order.
    pub(in crate::evaluate) fn new(mut tied: Vec<Tie>, mut untied: Vec<Untied>) -> Self {
        untied.sort_by_key(|untied| untied.index);
        tied.sort_by_key(|tie| tie.index);
        let mut by_quantity: BTreeMap<QuantityId, Vec<usize>> = BTreeMap::new();
        for (place, tie) in tied.iter().enumerate() {
            for quantity in tie.of {
                by_quantity.entry(quantity).or_default().push(place);
            }
        }
        Self { tied, untied, by_quantity }
    }

    /// What ties a reading.
    pub fn of(&self, quantity: QuantityId) -> impl Iterator<Item = &Tie> {
        self.by_quantity.get(&quantity).into_iter().flatten().filter_map(|&place| self.tied.get(place))
    }

    /// What ties several readings among themselves.
    pub fn among(&self, quantities: &[QuantityId]) -> Vec<&Tie> {
        let Some(first) = quantities.iter().min() else { return Vec::new() };
        let mut ties: Vec<_> = quantities.iter().flat_map(|&quantity| self.of(quantity)).collect();
        ties.retain(|tie| tie.of.iter().all(|of| of >= first && quantities.contains(of)));
        ties.sort_by_key(|tie| tie.index);
        ties.dedup_by_key(|tie| tie.index);
        ties
    }
}
