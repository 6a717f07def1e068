//! The steepest and the flattest line that all error bars allow.
//!
//! A line of positive slope passes through the box x ± sx, y ± sy where it passes neither above its upper left
//! nor below its lower right corner; [`hull`] finds the greatest and the least such slope exactly. Negative
//! slopes are those of the mirror image. Slopes of both signs may be allowed with none between them
//! (two boxes one above the other, and a tall one aside): the extremes are then of either sign.
//!
//! Through the origin, a corner that must not lie above the line is one whose image through the origin must
//! not lie below it.

use super::frame::Frame;
use super::hull::{self, Held, Range, Slack};
use super::least_squares::Solution;
use super::{Line, Method, NoLine, Options, Point, Sensitivity, Uncertainty};
use crate::evaluate::statistics::{Sum, count};

pub use super::hull::Corner;

/// One of the two extreme lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Its slope.
    pub slope: f64,
    /// Its intercept.
    pub intercept: f64,
    /// The corners that it turns on: it cannot be any steeper, or flatter, without leaving one of their bars.
    pub corners: [Corner; 2],
}

/// A corner that the arithmetic misses by so many roundings of the largest coordinate is touched.
const ROUNDINGS: f64 = 8.0;

/// Midway between the extremes.
pub(super) fn line(frame: &Frame<'_>, options: Options) -> Result<Line, NoLine> {
    let bars = Bars::new(frame, options.through_origin);
    let [greatest, least] = bars.extremes()?.map(|held| bars.in_units(held));
    let half = |one: f64, other: f64| (one - other) / 2.0;
    let middle = |one: f64, other: f64| other + half(one, other);
    let (half_slope, half_intercept) = (half(greatest.slope, least.slope), half(greatest.intercept, least.intercept));
    let one_alone = half_slope == 0.0 || half_intercept == 0.0;
    let plain = Options { method: Method::Scatter, ..options };
    let solution = Solution::of(frame, plain);
    let (dof, points) = (options.dof(frame.points.len()), frame.points.len());
    let mut line = Line {
        options,
        slope: middle(greatest.slope, least.slope),
        intercept: middle(greatest.intercept, least.intercept),
        uncertainty: Some(Uncertainty {
            slope: half_slope.abs(),
            intercept: half_intercept.abs(),
            correlation: if one_alone { 0.0 } else { half_slope.signum() * half_intercept.signum() },
        }),
        residual_sd: None,
        r_squared: solution.squared_correlation(),
        chi_squared: None,
        dof,
        points,
        extremes: Some(Box::new([greatest, least])),
        gradient: solution.gradient(frame, plain),
        level: frame.scale.height(solution.level()),
    };
    if dof > 0 {
        // Scaled, as squares of a residual alone may leave the range of doubles.
        let residuals = frame.points.iter().map(|point| line.residual(point) * frame.scale.y);
        let squares = residuals.map(|r| r * r).collect::<Sum>().value();
        line.residual_sd = Some(frame.scale.height(libm::sqrt(squares / count(dof))));
    }
    Ok(line)
}

/// How the middle line moves with a coordinate of the point in the row: as the corners do that hold the
/// extremes.
pub(super) fn sensitivity(extremes: &[Extreme; 2], row: usize) -> Sensitivity {
    let mut sum = Sensitivity::default();
    for extreme in extremes {
        let [one, other] = extreme.corners;
        for (corner, far) in [(one, other), (other, one)] {
            if corner.row != Some(row) || corner.x == far.x {
                continue;
            }
            // slope = (y₁ − y₂)/(x₁ − x₂), intercept = y₁ − slope·x₁; each extreme counts half.
            let by_y = corner.sign / (corner.x - far.x) / 2.0;
            sum.slope_by_y += by_y;
            sum.slope_by_x -= extreme.slope * by_y;
            sum.intercept_by_y -= far.x * by_y;
            sum.intercept_by_x += extreme.slope * far.x * by_y;
        }
    }
    sum
}

/// The boxes of the points, counted from the first or from the origin.
struct Bars<'f, 'p> {
    frame: &'f Frame<'p>,
    through_origin: bool,
    origin: (f64, f64),
    /// The largest |x| and |y| that the bars reach, bars included.
    reach: [f64; 2],
}

impl<'f, 'p> Bars<'f, 'p> {
    fn new(frame: &'f Frame<'p>, through_origin: bool) -> Self {
        let first = frame.points.first().filter(|_| !through_origin);
        let Point { x, y, .. } = first.map_or(Point { x: 0.0, y: 0.0, sx: 0.0, sy: 0.0 }, |p| frame.scale.point(p));
        let mut bars = Self { frame, through_origin, origin: (x, y), reach: [0.0; 2] };
        bars.reach = bars.boxes().fold([0.0; 2], |[most_x, most_y]: [f64; 2], (_, point)| {
            [most_x.max((point.x + x).abs() + point.sx), most_y.max((point.y + y).abs() + point.sy)]
        });
        bars
    }

    /// The boxes with their rows, in the frame, counted from the origin.
    fn boxes(&self) -> impl Iterator<Item = (usize, Point)> + use<'p> {
        let ((x0, y0), bars) = (self.origin, self.frame.scale.bars);
        let from =
            move |point: Point| Point { x: point.x - x0, y: point.y - y0, sx: point.sx / bars, sy: point.sy / bars };
        self.frame.iter().map(from).enumerate()
    }

    /// The lines of the greatest and of the least slope.
    fn extremes(&self) -> Result<[Held; 2], NoLine> {
        let (Some(rising), Some(falling)) = (self.range(1.0), self.range(-1.0)) else { return Err(NoLine::AnySlope) };
        match (rising.fitting, falling.fitting) {
            (Some((greatest, _)), Some((least, _))) => Ok([greatest, mirrored(least)]),
            (Some((greatest, least)), None) => Ok([greatest, least]),
            (None, Some((least, greatest))) => Ok([mirrored(greatest), mirrored(least)]),
            (None, None) => Err(self.none_through_all(&rising, &falling)),
        }
    }

    /// The slopes of one sign that are allowed; falling ones in the mirror.
    fn range(&self, sign: f64) -> Option<Range> {
        let corner = |x, y, row, sign| Corner { x, y, row: Some(row), sign };
        let (mut upper, mut lower) = (Vec::new(), Vec::new());
        for (row, Point { x, y, sx, sy }) in self.boxes() {
            upper.push(corner(sign * x - sx, y + sy, row, 1.0));
            match self.through_origin {
                true => upper.push(corner(-(sign * x + sx), -(y - sy), row, -1.0)),
                false => lower.push(corner(sign * x + sx, y - sy, row, 1.0)),
            }
        }
        if self.through_origin {
            lower.push(Corner { x: 0.0, y: 0.0, row: None, sign: 1.0 });
        }
        let [by_slope, level] = self.reach.map(|reach| ROUNDINGS * f64::EPSILON * reach);
        hull::walk(upper, lower, Slack { level, by_slope })
    }

    fn none_through_all(&self, rising: &Range, falling: &Range) -> NoLine {
        let (room, corners) = match rising.roomiest.0 >= falling.roomiest.0 {
            true => rising.roomiest,
            false => falling.roomiest,
        };
        // Between two corners half of what is missing helps; the origin does not give way.
        let each = if self.through_origin { -room } else { -room / 2.0 };
        // The origin has no row.
        let any = corners.iter().find_map(|corner| corner.row).unwrap_or(0);
        let rows = corners.map(|corner| corner.row.unwrap_or(any));
        NoLine::NoneThroughAll { miss: self.frame.scale.height(each), rows }
    }

    /// Out of the frame.
    fn in_units(&self, held: Held) -> Extreme {
        let scale = self.frame.scale;
        let (x0, y0) = self.origin;
        let [one, other] = held.by;
        // Both corners say the same but for rounding.
        let height = one.y + (other.y - one.y) / 2.0 - held.slope * (one.x + (other.x - one.x) / 2.0);
        let intercept = if self.through_origin { 0.0 } else { y0 + height - held.slope * x0 };
        let corners =
            held.by.map(|corner| Corner { x: (corner.x + x0) / scale.x, y: scale.height(corner.y + y0), ..corner });
        Extreme { slope: scale.slope(held.slope), intercept: scale.height(intercept), corners }
    }
}

/// A line of the mirror image.
fn mirrored(held: Held) -> Held {
    Held { slope: -held.slope, by: held.by.map(|corner| Corner { x: -corner.x, ..corner }) }
}
