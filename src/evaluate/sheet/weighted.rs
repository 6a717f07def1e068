//! The weighted means of a report.

use std::collections::BTreeMap;

use super::quantity::QuantityId;
use crate::evaluate::propagate::Node;
use crate::evaluate::statistics::WeightedMean;

/// A weighted mean with its consistency.
#[derive(Clone, Debug)]
pub struct Weighted {
    /// The results, or the one column whose rows they are.
    pub of: Vec<QuantityId>,
    /// What they come to, in SI.
    pub mean: WeightedMean,
}

/// The weighted means of a report, by their places in the propagation.
pub type Weighteds = BTreeMap<Node, Weighted>;
