//! Straight lines through points: slope and intercept, what they are worth, and how each coordinate
//! moves them. Pure mathematics of slices: no reports, no symbols, no units.
//!
//! | method | the line | its uncertainty |
//! |---|---|---|
//! | [`Method::Scatter`] | ordinary least squares | from the scatter about the line |
//! | [`Method::Weighted`] | least squares, weights 1/sy² | from the errors in y |
//! | [`Method::BothErrors`] | York's equations | from the errors in both |
//! | [`Method::ExtremeLines`] | midway between the extremes | half of what lies between them |
//!
//! All work in a frame whose powers of two keep squares within range, with compensated sums.

mod directions;
mod extreme;
mod frame;
mod hull;
pub mod influence;
mod least_squares;
mod sensitivity;
pub mod straightness;
mod york;

pub use directions::Directions;
pub use extreme::{Corner, Extreme};
pub use sensitivity::Sensitivity;

use frame::Frame;
use sensitivity::Gradient;

/// A point and the uncertainties of its own, independent errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The abscissa.
    pub x: f64,
    /// The ordinate.
    pub y: f64,
    /// The uncertainty of `x`; 0 where there is none.
    pub sx: f64,
    /// The uncertainty of `y`; 0 where there is none.
    pub sy: f64,
}

/// How a line is fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// Ordinary least squares of y; the uncertainty from the residuals. The points' uncertainties are not used.
    Scatter,
    /// Least squares with weights 1/sy²; the uncertainty from sy alone. `sx` is not used.
    Weighted,
    /// Errors in x and in y, independent of each other; the uncertainty from them alone.
    BothErrors,
    /// Midway between the steepest and the flattest line that pass through all boxes x ± sx, y ± sy.
    ExtremeLines,
}

/// Which line is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Options {
    /// How it is fitted.
    pub method: Method,
    /// Does it have to pass through the origin?
    pub through_origin: bool,
}

/// A fitted line, y = `intercept` + `slope`·x.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// How it was fitted.
    pub options: Options,
    /// The slope.
    pub slope: f64,
    /// The intercept; 0 of a line through the origin.
    pub intercept: f64,
    /// What both are worth. `None` where the scatter cannot say it, there being no more points than
    /// the line needs, or none that lies off it: the points' own uncertainties have to be carried through by
    /// [`Line::sensitivity`].
    pub uncertainty: Option<Uncertainty>,
    /// √(Σr²/dof) of the residuals in y, each counted alike; `None` without degrees of freedom.
    pub residual_sd: Option<f64>,
    /// R². Of least squares 1 − Σwr²/Σw(y − ȳ)² (through the origin 1 − Σwr²/Σwy²), of the other
    /// methods the squared correlation of x and y with the weights of the fit. `None` where all y are equal.
    pub r_squared: Option<f64>,
    /// Σr²/(sy² + slope²·sx²) of `BothErrors`, Σr²/sy² of `Weighted`; `None` of the other methods.
    pub chi_squared: Option<f64>,
    /// Degrees of freedom: points less 2, through the origin less 1.
    pub dof: usize,
    /// How many points were fitted.
    pub points: usize,
    /// Of `ExtremeLines`, the lines of the greatest and of the least slope.
    pub extremes: Option<Box<[Extreme; 2]>>,
    gradient: Gradient,
    /// |ȳ| + |slope·x̄|: the size of the numbers whose roundings the line carries.
    level: f64,
}

/// What a slope and an intercept are worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// The standard uncertainty of the slope; of `ExtremeLines` the half-difference, which is a limit.
    pub slope: f64,
    /// The same of the intercept.
    pub intercept: f64,
    /// Their correlation coefficient; of `ExtremeLines` exactly −1 or 1 (0 where one of them does not vary).
    pub correlation: f64,
}

impl Uncertainty {
    /// The covariance of slope and intercept.
    pub fn covariance(&self) -> f64 {
        self.correlation * self.slope * self.intercept
    }

    /// The uncertainty of the height of the line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        let (along, across) =
            (self.intercept + self.correlation * self.slope * x, 1.0 - self.correlation * self.correlation);
        libm::hypot(along, self.slope * x * libm::sqrt(across.max(0.0)))
    }
}

/// Why there is no line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoLine {
    /// Fewer points than a line needs: two, through the origin one.
    TooFewPoints {
        /// How many there are.
        points: usize,
    },
    /// A coordinate that is not finite, or an uncertainty that is not finite or negative.
    NotFinite {
        /// Of which point.
        row: usize,
    },
    /// All x are equal (through the origin: are 0).
    EqualX,
    /// A point without the uncertainty that would be its weight: `sy` for `Weighted`, both for `BothErrors`.
    NoUncertainty {
        /// Which.
        row: usize,
    },
    /// Every bar in x reaches over a common x, so that a vertical line passes through all of them: the slope
    /// has no limit.
    AnySlope,
    /// No line passes through all bars.
    NoneThroughAll {
        /// By how much, in y, each bar would have to reach further up and down for one line to pass.
        miss: f64,
        /// The points whose bars stand most against it: first the one that is alone on its side of the line. Two of
        /// them may be the same.
        rows: [usize; 3],
    },
    /// The iteration of `BothErrors` does not settle, the errors leaving the slope open.
    NotSettled,
    /// Slope, intercept or an uncertainty does not fit a double.
    OutOfRange,
}

/// Fits a straight line.
///
/// # Errors
/// Where the points do not determine one; [`NoLine`] says why.
pub fn line(points: &[Point], options: Options) -> Result<Line, NoLine> {
    refuse(points, options)?;
    let frame = Frame::new(points);
    let line = match options.method {
        Method::Scatter => least_squares::scatter(&frame, options),
        Method::Weighted => least_squares::weighted(&frame, options),
        Method::BothErrors => york::line(&frame, options)?,
        Method::ExtremeLines => extreme::line(&frame, options)?,
    };
    if line.fits() { Ok(line) } else { Err(NoLine::OutOfRange) }
}

/// What no method can do with.
fn refuse(points: &[Point], options: Options) -> Result<(), NoLine> {
    if points.len() < options.parameters() {
        return Err(NoLine::TooFewPoints { points: points.len() });
    }
    if let Some(row) = points.iter().position(|point| !point.is_sound()) {
        return Err(NoLine::NotFinite { row });
    }
    let first = if options.through_origin { 0.0 } else { points.first().map_or(0.0, |point| point.x) };
    let spread_by_bars = options.method == Method::ExtremeLines && points.iter().any(|point| point.sx > 0.0);
    if !spread_by_bars && points.iter().all(|point| point.x == first) {
        return Err(NoLine::EqualX);
    }
    let weightless = |point: &Point| match options.method {
        Method::Weighted => point.sy == 0.0,
        Method::BothErrors => point.sy == 0.0 && point.sx == 0.0,
        Method::Scatter | Method::ExtremeLines => false,
    };
    match points.iter().position(weightless) {
        Some(row) => Err(NoLine::NoUncertainty { row }),
        None => Ok(()),
    }
}

impl Point {
    fn is_sound(&self) -> bool {
        let Self { x, y, sx, sy } = *self;
        x.is_finite() && y.is_finite() && sx.is_finite() && sy.is_finite() && sx >= 0.0 && sy >= 0.0
    }
}

impl Options {
    /// How many numbers describe the line.
    const fn parameters(self) -> usize {
        if self.through_origin { 1 } else { 2 }
    }

    /// Degrees of freedom of so many points.
    const fn dof(self, points: usize) -> usize {
        points.saturating_sub(self.parameters())
    }
}

impl Line {
    /// The height of the line at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.slope * x + self.intercept
    }

    /// How far a point lies above the line, in y. What the doubles of its coordinates cannot carry
    /// is no distance: it is 0.
    pub fn residual(&self, point: &Point) -> f64 {
        let rise = self.slope * point.x;
        residual(point.y - self.intercept - rise, point.y.abs() + rise.abs() + self.level)
    }

    /// How slope and intercept move when a coordinate of the point in row `row` does. A shared error of
    /// amount a that adds eᵢ·a to the y of row i moves the slope by Σ(slope_by_y · eᵢ)·a.
    /// O(1); `point` is the one that was fitted in that row.
    pub fn sensitivity(&self, row: usize, point: &Point) -> Sensitivity {
        match &self.extremes {
            Some(extremes) => extreme::sensitivity(extremes, row),
            None => self.gradient.at(point),
        }
    }

    /// χ² over its degrees of freedom.
    pub fn reduced_chi_squared(&self) -> Option<f64> {
        self.chi_squared.filter(|_| self.dof > 0).map(|chi| chi / crate::evaluate::statistics::count(self.dof))
    }

    /// The weight of a point in the fit, to a common factor.
    fn weight(&self, point: &Point) -> f64 {
        self.gradient.weight(point)
    }

    fn fits(&self) -> bool {
        let worth = self.uncertainty.is_none_or(|u| u.slope.is_finite() && u.intercept.is_finite());
        let goodness = [self.residual_sd, self.r_squared, self.chi_squared];
        worth
            && self.slope.is_finite()
            && self.intercept.is_finite()
            && goodness.into_iter().flatten().all(f64::is_finite)
    }
}

/// A difference of numbers of the given size, 0 where rounding alone could make it.
fn residual(difference: f64, size: f64) -> f64 {
    if difference.abs() <= 2.0 * f64::EPSILON * size { 0.0 } else { difference }
}
