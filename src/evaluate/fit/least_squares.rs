//! Ordinary and weighted least squares of y.
//!
//! Three passes: the centre, the moments about it, and the residuals, which improve the slope once more and
//! give the scatter. What the centre's own rounding leaves is taken out again in the second, so that slope,
//! intercept and deviations are good to the last digits that the coordinates' doubles carry.

use super::frame::Frame;
use super::sensitivity::{Gradient, weight};
use super::{Line, Options, Point, Uncertainty, residual};
use crate::evaluate::statistics::{Sum, count, two_sum};

/// The line of ordinary least squares, its uncertainty from the scatter.
pub(super) fn scatter(frame: &Frame<'_>, options: Options) -> Line {
    let solution = Solution::of(frame, options);
    let dof = options.dof(frame.points.len());
    // Points that lie exactly on a line say no more of their errors than two points do.
    let deviation = (dof > 0 && solution.squares > 0.0).then(|| libm::sqrt(solution.squares / count(dof)));
    solution.line(frame, options, deviation)
}

/// The line of weighted least squares, its uncertainty from the weights.
pub(super) fn weighted(frame: &Frame<'_>, options: Options) -> Line {
    let solution = Solution::of(frame, options);
    let bars = frame.scale.bars;
    let line = solution.line(frame, options, Some(1.0 / bars));
    Line { chi_squared: Some(solution.squares * bars * bars), ..line }
}

/// A centre of the points: a double near the mean, and what is missing to it.
#[derive(Clone, Copy, Default)]
struct Centre {
    near: f64,
    rest: f64,
}

/// The line in the frame, and the sums that its worth follows from.
#[derive(Clone, Copy, Default)]
pub(super) struct Solution {
    pub(super) slope: f64,
    /// What the double of the slope leaves out.
    slope_rest: f64,
    x: Centre,
    y: Centre,
    weights: f64,
    /// Σ w(x − x̄)²
    pub(super) spread_x: f64,
    /// Σ w(y − ȳ)²
    pub(super) spread_y: f64,
    /// Σ w(x − x̄)(y − ȳ)
    pub(super) product: f64,
    /// Σ w·r²
    squares: f64,
    /// Σ r²
    plain_squares: f64,
}

impl Solution {
    /// Fits the points of a frame; not all x are equal.
    pub(super) fn of(frame: &Frame<'_>, options: Options) -> Self {
        let weigh = move |point: &Point| weight(options.method, 0.0, point);
        let mut solution = Self::centred(frame, weigh, options.through_origin);
        solution.moments(frame, weigh, options.through_origin);
        solution.refine(frame, weigh);
        solution
    }

    /// The weighted mean of the points; the origin, where the line passes through it.
    pub(super) fn mean(&self) -> (f64, f64) {
        (self.x.near + self.x.rest, self.y.near + self.y.rest)
    }

    /// |ȳ| + |slope·x̄|
    pub(super) fn level(&self) -> f64 {
        self.y.near.abs() + (self.slope * self.x.near).abs()
    }

    /// r², the squared correlation of x and y; `None` where all y are equal.
    pub(super) fn squared_correlation(&self) -> Option<f64> {
        let shared = self.product / self.spread_x * (self.product / self.spread_y);
        Some(shared.min(1.0)).filter(|_| self.spread_x > 0.0 && self.spread_y > 0.0)
    }

    /// The first pass: doubles near the means, counted from the first point.
    fn centred(frame: &Frame<'_>, weigh: impl Fn(&Point) -> f64, through_origin: bool) -> Self {
        let first = frame.iter().next().filter(|_| !through_origin);
        let (x0, y0) = first.map_or((0.0, 0.0), |point| (point.x, point.y));
        let (mut weights, mut x, mut y) = (Sum::default(), Sum::default(), Sum::default());
        for point in frame.iter() {
            let w = weigh(&point);
            weights.add(w);
            x.add(w * (point.x - x0));
            y.add(w * (point.y - y0));
        }
        let weights = weights.value();
        let mean = |origin: f64, sum: Sum| if through_origin { 0.0 } else { origin + sum.value() / weights };
        let centre = |origin, sum| Centre { near: mean(origin, sum), rest: 0.0 };
        Self { x: centre(x0, x), y: centre(y0, y), weights, ..Self::default() }
    }

    /// The second pass: moments about the centre, then about the mean itself.
    fn moments(&mut self, frame: &Frame<'_>, weigh: impl Fn(&Point) -> f64, through_origin: bool) {
        let [mut x, mut y, mut xx, mut xy, mut yy] = [Sum::default(); 5];
        for point in frame.iter() {
            let w = weigh(&point);
            let (dx, dy) = (point.x - self.x.near, point.y - self.y.near);
            x.add(w * dx);
            y.add(w * dy);
            xx.add(w * dx * dx);
            xy.add(w * dx * dy);
            yy.add(w * dy * dy);
        }
        if !through_origin {
            (self.x.rest, self.y.rest) = (x.value() / self.weights, y.value() / self.weights);
        }
        self.spread_x = xx.value() - self.x.rest * x.value();
        self.product = xy.value() - self.x.rest * y.value();
        self.spread_y = yy.value() - self.y.rest * y.value();
        self.slope = self.product / self.spread_x;
    }

    /// The third pass: residuals, and the part of the slope that they still hold.
    fn refine(&mut self, frame: &Frame<'_>, weigh: impl Fn(&Point) -> f64) {
        let level = self.level();
        let [mut left, mut squares, mut plain] = [Sum::default(); 3];
        for point in frame.iter() {
            let w = weigh(&point);
            let dx = point.x - self.x.near - self.x.rest;
            let r = point.y - self.y.near - self.y.rest - self.slope * dx;
            left.add(w * dx * r);
            let r = residual(r, point.y.abs() + (self.slope * point.x).abs() + level);
            squares.add(w * r * r);
            plain.add(r * r);
        }
        (self.slope, self.slope_rest) = two_sum(self.slope, left.value() / self.spread_x);
        (self.squares, self.plain_squares) = (squares.value(), plain.value());
    }

    /// ȳ − slope·x̄, whose terms may cancel: with what the doubles leave out of each.
    fn intercept(&self) -> f64 {
        let fall = self.slope * self.x.near;
        let fall_error = libm::fma(self.slope, self.x.near, -fall);
        let (height, height_error) = two_sum(self.y.near, -fall);
        let rest = self.y.rest - self.slope * self.x.rest - self.slope_rest * self.x.near - fall_error;
        height + (height_error + rest)
    }

    /// The line, given the standard deviation of a point of weight 1.
    fn line(&self, frame: &Frame<'_>, options: Options, deviation: Option<f64>) -> Line {
        let (scale, points) = (frame.scale, frame.points.len());
        let dof = options.dof(points);
        let r_squared = (self.spread_y > 0.0).then(|| 1.0 - self.squares / self.spread_y);
        let intercept = if options.through_origin { 0.0 } else { self.intercept() };
        Line {
            options,
            slope: scale.slope(self.slope),
            intercept: scale.height(intercept),
            uncertainty: deviation.map(|deviation| self.uncertainty(frame, options, deviation)),
            residual_sd: (dof > 0).then(|| scale.height(libm::sqrt(self.plain_squares / count(dof)))),
            r_squared,
            chi_squared: None,
            dof,
            points,
            extremes: None,
            gradient: self.gradient(frame, options),
            level: scale.height(self.level()),
        }
    }

    fn uncertainty(&self, frame: &Frame<'_>, options: Options, deviation: f64) -> Uncertainty {
        let slope = deviation / libm::sqrt(self.spread_x);
        let (mean, _) = self.mean();
        let lever =
            if options.through_origin { 0.0 } else { libm::hypot(libm::sqrt(self.spread_x / self.weights), mean) };
        Uncertainty {
            slope: frame.scale.slope(slope),
            intercept: frame.scale.height(slope * lever),
            correlation: if lever > 0.0 { -mean / lever } else { 0.0 },
        }
    }

    /// How the line moves.
    pub(super) fn gradient(&self, frame: &Frame<'_>, options: Options) -> Gradient {
        let (centre, height) = self.mean();
        Gradient {
            method: options.method,
            scale: frame.scale,
            slope: self.slope,
            centre,
            height,
            of_height: if options.through_origin { 0.0 } else { 1.0 / self.weights },
            of_slope: 1.0 / self.spread_x,
        }
    }
}
