//! What is remembered of the variables of the propagation.

use super::line::Asked;
use super::quantity::QuantityId;
use crate::evaluate::propagate::Node;

/// What is remembered of a variable.
#[derive(Clone, Debug)]
pub(in crate::evaluate) enum Key {
    /// The place of a source in its quantity's list, and of the variable in its parts.
    Source { quantity: QuantityId, source: usize, part: usize },
    /// The place of a source in its column's list, none of an uncertainty that the row states itself; the row, the
    /// amount there in the column's unit.
    Row { column: QuantityId, source: Option<usize>, row: usize, amount: f64 },
    /// A scatter with its amount, in the unit of the first.
    Scatter { of: Vec<QuantityId>, amount: f64 },
    /// All errors that a reading has alone, which are tied to those of others.
    Tied { quantity: QuantityId },
    /// The scatter about a line; its amount is one standard deviation.
    Fit { line: Asked },
}

impl Key {
    pub(in crate::evaluate) const fn line(&self) -> Option<Asked> {
        match self {
            Self::Fit { line } => Some(*line),
            _ => None,
        }
    }

    /// The quantity whose error is tied to that of others.
    pub(in crate::evaluate) fn tied(&self) -> Option<QuantityId> {
        match self {
            Self::Tied { quantity } => Some(*quantity),
            Self::Scatter { of, .. } => of.first().copied(),
            _ => None,
        }
    }
}

/// What is remembered of all variables. They are numbered as they are met, so that a list does.
#[derive(Debug, Default)]
pub(in crate::evaluate) struct Causes(Vec<Option<Key>>);

impl Causes {
    pub(in crate::evaluate) fn get(&self, node: Node) -> Option<&Key> {
        self.0.get(node.index())?.as_ref()
    }

    pub(in crate::evaluate) fn insert(&mut self, node: Node, key: Key) {
        *self.place(node) = Some(key);
    }

    /// For a variable of which nothing is remembered yet.
    pub(in crate::evaluate) fn suggest(&mut self, node: Node, key: impl FnOnce() -> Key) {
        self.place(node).get_or_insert_with(key);
    }

    pub(in crate::evaluate) fn place(&mut self, node: Node) -> &mut Option<Key> {
        let index = node.index();
        if self.0.len() <= index {
            self.0.resize_with(index + 1, || None);
        }
        &mut self.0[index]
    }
}
