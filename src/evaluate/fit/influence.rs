//! How hard each point pulls at a line.
//!
//! Sources, from memory: R. D. Cook, "Detection of influential observation in linear regression",
//! Technometrics 19 (1977) 15–18 (the distance D); R. D. Cook, S. Weisberg, Residuals and Influence in
//! Regression, Chapman and Hall 1982 (the residuals; D above 1 as the mark of a point to look at).

use super::{Line, Point, straightness};
use crate::evaluate::statistics::{Sum, count};

/// A point's part in a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Influence {
    /// By how much of a step in y the line follows the point, 0 to 1.
    pub leverage: f64,
    /// How far it lies above the line, in y.
    pub residual: f64,
    /// The residual over its own standard deviation, that taken from all residuals. `None` where the line
    /// follows the point all the way, or where there is no scatter to compare with.
    pub standardized: Option<f64>,
    /// The same with the scatter of the other points alone; infinite where those lie on one line.
    pub left_out: Option<f64>,
    /// Cook's D: how far the whole line moves without the point. `None` as `standardized`.
    pub distance: Option<f64>,
}

/// A leverage so near 1 differs from it by rounding alone.
const ALL_THE_WAY: f64 = 1e-11;

impl Influence {
    /// Does the line rest on this point? Where it follows the point all the way, and where D exceeds 1.
    pub fn pulls_hard(&self) -> bool {
        self.follows() || self.distance.is_some_and(|distance| distance > 1.0)
    }

    /// Does the line pass through the point wherever it lies?
    pub fn follows(&self) -> bool {
        1.0 - self.leverage < ALL_THE_WAY
    }
}

/// The part of each point, in the order of the points: with the weights of the fit, and the scatter
/// that the residuals show. Of [`super::Method::ExtremeLines`] that of ordinary least squares. Nothing
/// where the line has no degrees of freedom: every point then determines it.
pub fn influence(points: &[Point], line: &Line) -> Vec<Influence> {
    let Some(line) = straightness::least_squares(points, line).filter(|line| line.dof > 0) else { return Vec::new() };
    let parts = Parts::new(points, &line);
    points.iter().map(|point| parts.of(point)).collect()
}

/// The sums that the part of a point follows from.
struct Parts<'l> {
    line: &'l Line,
    scale: f64,
    centre: f64,
    /// One over the sum of the weights; 0 through the origin.
    of_height: f64,
    spread: f64,
    squares: f64,
}

impl<'l> Parts<'l> {
    fn new(points: &[Point], line: &'l Line) -> Self {
        let (weigh, scale) = (|point: &Point| line.weight(point), straightness::x_scale(points, line));
        let weights = points.iter().map(weigh).collect::<Sum>().value();
        let through_origin = line.options.through_origin;
        let centre = if through_origin { 0.0 } else { straightness::weighted_x(points, line, weights) };
        let square = |point: &Point| {
            let dx = (point.x - centre) * scale;
            weigh(point) * dx * dx
        };
        let spread = points.iter().map(square).collect::<Sum>().value();
        let mut parts = Self { line, scale, centre, of_height: 1.0 / weights, spread, squares: 0.0 };
        if through_origin {
            parts.of_height = 0.0;
        }
        parts.squares = points.iter().map(|point| parts.residual(point)).map(|r| r * r).collect::<Sum>().value();
        parts
    }

    /// The residual times the root of the weight, in the frame of the fit.
    fn residual(&self, point: &Point) -> f64 {
        self.line.residual(point) * self.line.gradient.scale.y * libm::sqrt(self.line.weight(point))
    }

    fn of(&self, point: &Point) -> Influence {
        let dx = (point.x - self.centre) * self.scale;
        let leverage = (self.line.weight(point) * (self.of_height + dx * dx / self.spread)).min(1.0);
        let part = Influence {
            leverage,
            residual: self.line.residual(point),
            standardized: None,
            left_out: None,
            distance: None,
        };
        if part.follows() || self.squares <= 0.0 {
            return part;
        }
        let (dof, free) = (count(self.line.dof), 1.0 - leverage);
        let own = self.residual(point) / libm::sqrt(free);
        let standardized = own * libm::sqrt(dof / self.squares);
        let parameters = count(self.line.points - self.line.dof);
        Influence {
            standardized: Some(standardized),
            left_out: self.left_out(own, dof),
            distance: Some(standardized * standardized / parameters * leverage / free),
            ..part
        }
    }

    /// `own` over the scatter of the other points.
    fn left_out(&self, own: f64, dof: f64) -> Option<f64> {
        let others = self.squares - own * own;
        match others > 64.0 * f64::EPSILON * self.squares {
            true if dof > 1.0 => Some(own * libm::sqrt((dof - 1.0) / others)),
            false if dof > 1.0 => Some(f64::INFINITY.copysign(own)),
            _ => None,
        }
    }
}
