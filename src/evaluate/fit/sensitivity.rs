//! How each coordinate moves slope and intercept, by the implicit function theorem at the minimum.
//!
//! Least squares and York's line both minimise Σ W·r² with r = y − a − b·x and W = 1/(sy² + b²·sx²)
//! (sx taken as 0 by `Weighted`, W as 1 by `Scatter`). Half the gradient vanishes there:
//!
//! - by a: Σ W·r = 0,
//! - by b: Σ W·r·(x + b·W·sx²·r) = 0.
//!
//! Differentiated by y the two give the columns W and k = W·x + 2b·W²·sx²·r, by x they give −b times those
//! and W·r more in the second. x counted from Σk = 0 on, the matrix of second derivatives is diagonal.

use super::frame::Scale;
use super::{Method, Point};

/// The partial derivatives of slope and intercept by the coordinates of one point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sensitivity {
    /// ∂slope/∂x
    pub slope_by_x: f64,
    /// ∂slope/∂y
    pub slope_by_y: f64,
    /// ∂intercept/∂x
    pub intercept_by_x: f64,
    /// ∂intercept/∂y
    pub intercept_by_y: f64,
}

/// What the derivatives by any point follow from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Gradient {
    pub(super) method: Method,
    pub(super) scale: Scale,
    /// In the frame, as is all below.
    pub(super) slope: f64,
    /// Where Σk = 0; 0 through the origin.
    pub(super) centre: f64,
    /// The height of the line there.
    pub(super) height: f64,
    /// 1/ΣW; 0 through the origin, where the height is no parameter.
    pub(super) of_height: f64,
    /// One over the second derivative by the slope.
    pub(super) of_slope: f64,
}

impl Gradient {
    /// The weight of a point, to a common factor.
    pub(super) fn weight(&self, point: &Point) -> f64 {
        weight(self.method, self.slope, &self.scale.point(point))
    }

    pub(super) fn at(&self, point: &Point) -> Sensitivity {
        let point = self.scale.point(point);
        let weight = weight(self.method, self.slope, &point);
        let dx = point.x - self.centre;
        let pull = weight * (point.y - self.height - self.slope * dx);
        let sx = if self.method == Method::BothErrors { point.sx } else { 0.0 };
        let k = weight * (dx + 2.0 * self.slope * sx * sx * pull);
        let slope_by_y = k * self.of_slope;
        let slope_by_x = pull * self.of_slope - self.slope * slope_by_y;
        let height_by_y = weight * self.of_height;
        self.in_units(Sensitivity {
            slope_by_x,
            slope_by_y,
            intercept_by_x: -self.slope * height_by_y - self.centre * slope_by_x,
            intercept_by_y: height_by_y - self.centre * slope_by_y,
        })
    }

    /// Out of the frame.
    fn in_units(&self, framed: Sensitivity) -> Sensitivity {
        let Scale { x, y, .. } = self.scale;
        Sensitivity {
            slope_by_x: framed.slope_by_x * x / y * x,
            slope_by_y: framed.slope_by_y * x,
            intercept_by_x: framed.intercept_by_x * x / y,
            intercept_by_y: framed.intercept_by_y,
        }
    }
}

/// The weight of a point of the frame at the given slope.
pub(super) fn weight(method: Method, slope: f64, point: &Point) -> f64 {
    match method {
        Method::Scatter | Method::ExtremeLines => 1.0,
        Method::Weighted => 1.0 / (point.sy * point.sy),
        Method::BothErrors => 1.0 / (point.sy * point.sy + slope * slope * (point.sx * point.sx)),
    }
}
