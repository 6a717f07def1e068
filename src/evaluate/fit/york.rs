//! The line through points with independent errors in x and in y.
//!
//! Source: D. York, N. M. Evensen, M. López Martínez, J. De Basabe Delgado, "Unified equations for the
//! slope, intercept, and standard errors of the best straight line", Am. J. Phys. 72 (2004) 367–375,
//! equations 13, from memory; their rᵢ, a correlation of the two errors of one point, is 0 here.
//!
//! The line makes S(b) = min over a of Σ W·(y − a − b·x)² least, W = 1/(sy² + b²·sx²). York's iteration creeps
//! where the scatter is large; the same condition, F = ΣW·r·(x + b·W·sx²·r) = 0, is met here by Newton's
//! steps, each shortened until it leads down. The standard uncertainties are York's, unscaled.

use super::frame::Frame;
use super::least_squares::Solution;
use super::sensitivity::{Gradient, weight};
use super::{Line, Method, NoLine, Options, Point, Uncertainty, residual};
use crate::evaluate::statistics::{Sum, count};

/// Quadratic convergence needs six or so; a search that has not ended by then does not.
const MOST_STEPS: usize = 100;

/// A step this often halved is none.
const MOST_HALVINGS: usize = 60;

/// A slope so many times the ratio of the spreads is upright: S falls on and on towards it.
const UPRIGHT: f64 = 1e6;

/// Below this share two values of S differ by rounding.
const SAME: f64 = 1e-10;

/// The line that fits best.
pub(super) fn line(frame: &Frame<'_>, options: Options) -> Result<Line, NoLine> {
    let search = Search::new(frame, options);
    let best = search.nearby()?.or_else(|| search.all_around()).ok_or(NoLine::NotSettled)?;
    Ok(search.line(&best, options))
}

/// The search for the slope.
struct Search<'f, 'p> {
    frame: &'f Frame<'p>,
    /// Ordinary least squares, whose centre coordinates are counted from.
    plain: Solution,
    origin: Point,
    through_origin: bool,
}

/// All that is known at one slope.
#[derive(Clone, Copy)]
struct At {
    slope: f64,
    /// The weighted mean, counted from the search's origin.
    mean_x: f64,
    mean_y: f64,
    weights: f64,
    /// S
    squares: f64,
    /// F, half of −dS/db.
    pull: f64,
    /// −dF/db along the best intercepts; positive about a minimum.
    stiffness: f64,
    /// ΣW·β·U of York's iteration, whose step is F over it.
    york: f64,
    /// Σk of [`super::sensitivity`], counted from the weighted mean.
    lever: f64,
}

impl<'f, 'p> Search<'f, 'p> {
    fn new(frame: &'f Frame<'p>, options: Options) -> Self {
        let through_origin = options.through_origin;
        let plain = Solution::of(frame, Options { method: Method::Scatter, through_origin });
        let (x, y) = plain.mean();
        Self { frame, plain, origin: Point { x, y, sx: 0.0, sy: 0.0 }, through_origin }
    }

    fn points(&self) -> impl Iterator<Item = Point> + use<'p> {
        let origin = self.origin;
        self.frame.iter().map(move |point| Point { x: point.x - origin.x, y: point.y - origin.y, ..point })
    }

    /// The minimum that the slopes of y on x, of x on y, or the ratio of the spreads with either sign lead to.
    fn nearby(&self) -> Result<Option<At>, NoLine> {
        let Solution { slope, spread_y, product, .. } = self.plain;
        let ratio = self.ratio();
        // Without errors in y, a level line has no weights.
        let bare = || self.frame.points.iter().position(|point| point.sy == 0.0).unwrap_or(0);
        let start = self.lowest([slope, spread_y / product, ratio, -ratio]);
        let start = start.ok_or_else(|| NoLine::NoUncertainty { row: bare() })?;
        Ok(self.settle(start))
    }

    /// The minimum from the best of slopes all around, for points of which S falls towards the upright line
    /// and beyond it.
    fn all_around(&self) -> Option<At> {
        let ratio = self.ratio();
        let start = self.lowest([0.2, 0.7, 1.5, 5.0, 50.0, -50.0, -5.0, -1.5, -0.7, -0.2].map(|turn| ratio * turn))?;
        self.settle(start)
    }

    /// How much wider the points are spread in y.
    fn ratio(&self) -> f64 {
        libm::sqrt(self.plain.spread_y / self.plain.spread_x)
    }

    /// That of the slopes at which S is least.
    fn lowest<const N: usize>(&self, slopes: [f64; N]) -> Option<At> {
        let at = slopes.into_iter().filter(|slope| slope.is_finite()).map(|slope| self.at(slope));
        let sound = at.filter(|at| at.squares.is_finite() && at.stiffness.is_finite());
        sound.reduce(|best, at| if at.squares < best.squares { at } else { best })
    }

    /// What there is to know at a slope: the means in one pass, the rest in another.
    fn at(&self, slope: f64) -> At {
        let [mut weights, mut x, mut y] = [Sum::default(); 3];
        for point in self.points() {
            let w = weight(Method::BothErrors, slope, &point);
            weights.add(w);
            x.add(w * point.x);
            y.add(w * point.y);
        }
        let weights = weights.value();
        let mean = |sum: Sum| if self.through_origin { 0.0 } else { sum.value() / weights };
        let (mean_x, mean_y) = (mean(x), mean(y));
        let zero =
            At { slope, mean_x, mean_y, weights, squares: 0.0, pull: 0.0, stiffness: 0.0, york: 0.0, lever: 0.0 };
        self.second_pass(zero)
    }

    fn second_pass(&self, at: At) -> At {
        let b = at.slope;
        let [mut squares, mut pull, mut stiffness, mut york, mut lever] = [Sum::default(); 5];
        for point in self.points() {
            let w = weight(Method::BothErrors, b, &point);
            let (dx, dy) = (point.x - at.mean_x, point.y - at.mean_y);
            let r = dy - b * dx;
            // W·sx²·r, of which b times is York's adjustment of x.
            let shift = w * (point.sx * point.sx) * r;
            let adjusted = dx + b * shift;
            squares.add(w * r * r);
            pull.add(w * r * adjusted);
            stiffness.add(w * (adjusted + b * shift) * (adjusted + b * shift));
            stiffness.add(-w * (point.sx * point.sx) * w * r * r);
            york.add(w * adjusted * dx);
            lever.add(2.0 * b * w * shift);
        }
        let lever = if self.through_origin { 0.0 } else { lever.value() };
        let stiffness = stiffness.value() - lever * lever / at.weights;
        At { squares: squares.value(), pull: pull.value(), stiffness, york: york.value(), lever, ..at }
    }

    /// Down to the slope where no step improves on anything; `None` where it never comes to rest, or rises
    /// upright.
    fn settle(&self, start: At) -> Option<At> {
        let (mut here, upright) = (start, UPRIGHT * self.ratio());
        for _ in 0..MOST_STEPS {
            match self.lower(&here) {
                Some(lower) if lower.slope.abs() <= upright => here = lower,
                Some(_) => return None,
                None => return Some(here),
            }
        }
        None
    }

    /// A place further down, or as low and better balanced; `None` where rounding shows none.
    fn lower(&self, here: &At) -> Option<At> {
        let mut step = here.step();
        for _ in 0..MOST_HALVINGS {
            let slope = here.slope + step;
            if slope == here.slope || !slope.is_finite() {
                return None;
            }
            let there = self.at(slope);
            let balanced = there.squares <= here.squares * (1.0 + SAME) && there.pull.abs() < here.pull.abs();
            if there.squares < here.squares * (1.0 - SAME) || balanced {
                return Some(there);
            }
            step /= 2.0;
        }
        None
    }

    fn line(&self, at: &At, options: Options) -> Line {
        let (scale, points) = (self.frame.scale, self.frame.points.len());
        let dof = options.dof(points);
        let height = self.origin.y + at.mean_y - at.slope * (self.origin.x + at.mean_x);
        let worth = self.worth(at);
        Line {
            options,
            slope: scale.slope(at.slope),
            intercept: if self.through_origin { 0.0 } else { scale.height(height) },
            uncertainty: Some(worth.uncertainty),
            residual_sd: (dof > 0).then(|| scale.height(libm::sqrt(worth.plain_squares / count(dof)))),
            r_squared: worth.r_squared,
            chi_squared: Some(worth.chi_squared * scale.bars * scale.bars),
            dof,
            points,
            extremes: None,
            gradient: self.gradient(at),
            level: scale.height(self.level(at)),
        }
    }

    /// The last pass: York's uncertainties from the adjusted x, and the goodness of the fit.
    fn worth(&self, at: &At) -> Worth {
        // The adjusted points lie about x̄ = ΣWx/ΣW, which Σk holds: b·ΣW²sx²r is half of it.
        let adjusted_mean = at.lever / 2.0 / at.weights;
        let level = self.level(at);
        let [mut spread, mut chi, mut plain, mut xx, mut xy, mut yy] = [Sum::default(); 6];
        for point in self.points() {
            let w = weight(Method::BothErrors, at.slope, &point);
            let (dx, dy) = (point.x - at.mean_x, point.y - at.mean_y);
            let size = (point.y + self.origin.y).abs() + (at.slope * (point.x + self.origin.x)).abs() + level;
            let r = residual(dy - at.slope * dx, size);
            let u = dx + at.slope * w * (point.sx * point.sx) * r - adjusted_mean;
            spread.add(w * u * u);
            chi.add(w * r * r);
            plain.add(r * r);
            xx.add(w * dx * dx);
            xy.add(w * dx * dy);
            yy.add(w * dy * dy);
        }
        let (xx, xy, yy) = (xx.value(), xy.value(), yy.value());
        Worth {
            uncertainty: self.uncertainty(at, spread.value(), self.origin.x + at.mean_x + adjusted_mean),
            chi_squared: chi.value(),
            plain_squares: plain.value(),
            r_squared: (yy > 0.0 && xx > 0.0).then(|| (xy / xx * (xy / yy)).min(1.0)),
        }
    }

    /// |ȳ| + |slope·x̄|
    fn level(&self, at: &At) -> f64 {
        (self.origin.y + at.mean_y).abs() + (at.slope * (self.origin.x + at.mean_x)).abs()
    }

    /// σ_b² = 1/ΣWu², σ_a² = 1/ΣW + x̄²σ_b², covariance −x̄σ_b².
    fn uncertainty(&self, at: &At, spread: f64, mean: f64) -> Uncertainty {
        let scale = self.frame.scale;
        let slope = 1.0 / libm::sqrt(spread) / scale.bars;
        let lever = if self.through_origin { 0.0 } else { libm::hypot(libm::sqrt(spread / at.weights), mean) };
        Uncertainty {
            slope: scale.slope(slope),
            intercept: scale.height(slope * lever),
            correlation: if lever > 0.0 { -mean / lever } else { 0.0 },
        }
    }

    fn gradient(&self, at: &At) -> Gradient {
        let aside = at.lever / at.weights;
        Gradient {
            method: Method::BothErrors,
            scale: self.frame.scale,
            slope: at.slope,
            centre: self.origin.x + at.mean_x + aside,
            height: self.origin.y + at.mean_y + at.slope * aside,
            of_height: if self.through_origin { 0.0 } else { 1.0 / at.weights },
            of_slope: 1.0 / at.stiffness,
        }
    }
}

/// How good the line is, in the frame but for its uncertainty.
struct Worth {
    uncertainty: Uncertainty,
    chi_squared: f64,
    plain_squares: f64,
    r_squared: Option<f64>,
}

impl At {
    /// Newton's step; where S bends the wrong way, York's.
    fn step(&self) -> f64 {
        match self.stiffness > 0.0 {
            true => self.pull / self.stiffness,
            false => self.pull / self.york.abs(),
        }
    }
}
