//! The straight lines of a report.

use std::collections::BTreeMap;

use super::quantity::QuantityId;
use crate::evaluate::fit::{Line, Point};
use crate::evaluate::propagate::Node;

/// A line that was fitted, in SI.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// The line.
    pub line: Line,
    /// The points that it was fitted to.
    pub points: Vec<Point>,
    /// The row of each point in its column.
    pub rows: Vec<usize>,
    /// What was taken off every x: the zero of its temperature scale, else 0.
    pub zero: f64,
    /// What was taken off every y: of a line through the origin the zero of its temperature scale, else 0.
    pub height: f64,
    /// Slope and intercept in the propagation.
    pub(in crate::evaluate) nodes: [Node; 2],
    /// The variables of what both are worth by their own points; `None` where the points' uncertainties are propagated.
    pub(in crate::evaluate) variables: Option<[Node; 2]>,
}

/// Which line: the columns upright and across, and whether it has to pass through the origin.
pub type Asked = (QuantityId, QuantityId, bool);

/// The lines of a report.
pub type Lines = BTreeMap<Asked, Fitted>;
