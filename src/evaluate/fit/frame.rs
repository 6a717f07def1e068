//! The frame in which lines are computed: coordinates times powers of two, which loses nothing.

use super::Point;
use crate::evaluate::statistics::to_near_one;

/// Points to be fitted, and the scale to see them in.
pub(super) struct Frame<'p> {
    pub(super) points: &'p [Point],
    pub(super) scale: Scale,
}

/// Powers of two that bring the largest coordinates and the largest uncertainty near 1, so that neither
/// squares nor weights leave the range of doubles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    pub(super) x: f64,
    pub(super) y: f64,
    /// On top of those of the coordinates.
    pub(super) bars: f64,
}

impl<'p> Frame<'p> {
    pub(super) fn new(points: &'p [Point]) -> Self {
        let largest = |of: fn(&Point) -> f64| points.iter().map(of).fold(0.0_f64, f64::max);
        let (x, y) = (to_near_one(largest(|p| p.x.abs())), to_near_one(largest(|p| p.y.abs())));
        let bars = to_near_one((largest(|p| p.sx) * x).max(largest(|p| p.sy) * y));
        Self { points, scale: Scale { x, y, bars } }
    }

    /// The points as the frame shows them.
    pub(super) fn iter(&self) -> impl Iterator<Item = Point> + Clone + use<'p> {
        let scale = self.scale;
        self.points.iter().map(move |point| scale.point(point))
    }
}

impl Scale {
    /// A point as the frame shows it.
    pub(super) fn point(self, point: &Point) -> Point {
        let Self { x, y, bars } = self;
        Point { x: point.x * x, y: point.y * y, sx: point.sx * x * bars, sy: point.sy * y * bars }
    }

    /// A slope of the frame as one of the points.
    pub(super) fn slope(self, slope: f64) -> f64 {
        slope * self.x / self.y
    }

    /// A height of the frame as one of the points.
    pub(super) fn height(self, height: f64) -> f64 {
        height / self.y
    }
}
