//! The graphs of a report.

use super::line::Fitted;
use super::quantity::QuantityId;

/// A picture of two columns. All numbers are in the units of the columns.
#[derive(Clone, Debug)]
pub struct Graph {
    /// The column upright.
    pub y: QuantityId,
    /// The column across.
    pub x: QuantityId,
    /// What its author calls it.
    pub title: Option<String>,
    /// Is the axis across logarithmic?
    pub log_x: bool,
    /// Is the axis upright logarithmic?
    pub log_y: bool,
    /// The points that have a place, in the order of their rows; there is one at least.
    pub points: Vec<Mark>,
    /// How many points have none, because their value is not above zero on a logarithmic axis.
    pub off: usize,
    /// The fitted line.
    pub line: Option<Drawn>,
    /// The steepest and the flattest line that the error bars allow.
    pub extremes: Option<[Straight; 2]>,
    /// Is what the points miss the line by to be drawn beneath?
    pub residuals: bool,
    /// Abscissas at which lines are drawn, ascending; none where there is no line.
    pub samples: Vec<f64>,
}

/// A point of a graph.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// Its row in the columns, from 0.
    pub row: usize,
    /// The abscissa.
    pub x: f64,
    /// The ordinate.
    pub y: f64,
    /// The uncertainty of `x`; 0 where there is none.
    pub ux: f64,
    /// The uncertainty of `y`; 0 where there is none.
    pub uy: f64,
    /// How far it lies above the fitted line.
    pub residual: Option<f64>,
}

/// A straight line, y = `intercept` + `slope`·x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Straight {
    /// The slope.
    pub slope: f64,
    /// The intercept.
    pub intercept: f64,
}

impl Straight {
    /// The height of the line at `x`.
    pub fn at(self, x: f64) -> f64 {
        self.slope * x + self.intercept
    }
}

/// A fitted line with what it is worth.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// As it was fitted, in SI.
    pub fitted: Fitted,
    /// The line.
    pub line: Straight,
    /// The combined uncertainty of the slope.
    pub slope_uncertainty: f64,
    /// The combined uncertainty of the intercept.
    pub intercept_uncertainty: f64,
    /// The combined uncertainty of the line's height at each of the samples; empty where it is not known.
    pub band: Vec<f64>,
}
