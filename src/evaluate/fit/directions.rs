//! How the errors of single coordinates move a line, so that two lines through the same points can be held against
//! each other.
//!
//! To first order a slope's error is Σ c·ε over the coordinates' errors ε, and so is an intercept's. With each c times
//! the size of its error the two are vectors, whose angle is their correlation; and so is the angle between those of
//! two lines over the errors that both know. By [`Method::Scatter`] all errors in y are of one size, whatever it is: the
//! correlation of two lines does not depend on it.

use super::{Line, Method, Point, Sensitivity};
use crate::evaluate::statistics::Sum;

/// Of a line the two independent variables of size one that its errors come to: the first moves slope and
/// intercept, the second the intercept alone. Each is a unit vector, or nothing where it moves nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Directions {
    /// Of each variable: its part in the error in y of each point.
    pub by_y: [Vec<f64>; 2],
    /// The same of the errors in x; empty where the method knows none.
    pub by_x: [Vec<f64>; 2],
}

impl Line {
    /// How the errors of the points that it was fitted to move it; `None` of a line that does not follow from the
    /// errors of all its points, as those midway between extremes.
    pub fn directions(&self, points: &[Point]) -> Option<Directions> {
        let size = |point: &Point| match self.options.method {
            Method::Scatter => Some([1.0, 0.0]),
            Method::Weighted => Some([point.sy, 0.0]),
            Method::BothErrors => Some([point.sy, point.sx]),
            Method::ExtremeLines => None,
        };
        let (mut slope, mut intercept) = (Vec::new(), Vec::new());
        for (row, point) in points.iter().enumerate() {
            let ([sy, sx], by) = (size(point)?, self.sensitivity(row, point));
            let Sensitivity { slope_by_x, slope_by_y, intercept_by_x, intercept_by_y } = by;
            slope.push([slope_by_y * sy, slope_by_x * sx]);
            intercept.push([intercept_by_y * sy, intercept_by_x * sx]);
        }
        let slope = unit(slope);
        let intercept = unit(without(unit(intercept), &slope));
        let side = |which: usize| [&slope, &intercept].map(|vector| vector.iter().map(|part| part[which]).collect());
        let by_x = if self.options.method == Method::BothErrors { side(1) } else { [Vec::new(), Vec::new()] };
        Some(Directions { by_y: side(0), by_x })
    }
}

/// What is shorter than this part of what it is the rest of is the noise of doubles.
const NOTHING: f64 = 1e-7;

/// A vector of length one, or nothing.
fn unit(mut vector: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    let largest = vector.iter().flatten().fold(0.0_f64, |most, part| most.max(part.abs()));
    if largest > 0.0 {
        vector.iter_mut().flatten().for_each(|part| *part /= largest);
        let length = libm::sqrt(dot(&vector, &vector));
        vector.iter_mut().flatten().for_each(|part| *part /= length);
    }
    vector
}

/// What a unit vector has across another.
fn without(mut vector: Vec<[f64; 2]>, along: &[[f64; 2]]) -> Vec<[f64; 2]> {
    // Twice, so that what the first leaves by its rounding is taken out as well.
    for _ in 0..2 {
        let share = dot(&vector, along);
        vector.iter_mut().flatten().zip(along.iter().flatten()).for_each(|(part, other)| *part -= share * other);
    }
    let left = libm::sqrt(dot(&vector, &vector));
    if left > NOTHING { vector } else { vec![[0.0; 2]; vector.len()] }
}

fn dot(one: &[[f64; 2]], other: &[[f64; 2]]) -> f64 {
    one.iter().flatten().zip(other.iter().flatten()).map(|(a, b)| a * b).collect::<Sum>().value()
}

#[cfg(test)]
mod tests {
    use super::super::{Options, line};
    use super::*;

    const POINTS: [(f64, f64, f64, f64); 5] =
        [(1.0, 2.1, 0.1, 0.2), (2.0, 3.9, 0.1, 0.1), (3.5, 7.2, 0.2, 0.3), (4.0, 7.8, 0.1, 0.2), (6.0, 12.3, 0.1, 0.1)];

    fn fitted(method: Method, through_origin: bool) -> (Line, Directions) {
        let points = POINTS.map(|(x, y, sx, sy)| Point { x, y, sx, sy });
        let line = line(&points, Options { method, through_origin }).unwrap();
        let directions = line.directions(&points).unwrap();
        (line, directions)
    }

    fn along(one: &[f64], other: &[f64]) -> f64 {
        one.iter().zip(other).map(|(a, b)| a * b).sum()
    }

    #[test]
    fn directions_are_of_length_one_and_at_right_angles() {
        for method in [Method::Scatter, Method::Weighted, Method::BothErrors] {
            let (_, Directions { by_y, by_x }) = fitted(method, false);
            let of = |one: usize, other: usize| along(&by_y[one], &by_y[other]) + along(&by_x[one], &by_x[other]);
            assert!((of(0, 0) - 1.0).abs() < 1e-15 && (of(1, 1) - 1.0).abs() < 1e-15 && of(0, 1).abs() < 1e-15);
        }
    }

    #[test]
    fn a_line_and_the_one_through_the_origin_by_hand() {
        // Σx²: Σ over the five is 69.25; n·x̄² is 16.5²/5 = 54.45. The correlation of the slopes is √(Sxx/Σx²).
        let (free, origin) = (fitted(Method::Scatter, false).1, fitted(Method::Scatter, true).1);
        let slopes = along(&free.by_y[0], &origin.by_y[0]);
        assert!((slopes - libm::sqrt((69.25 - 54.45) / 69.25)).abs() < 1e-15);
        // A slope through the origin and what the free line has across its slope: the mean, 1/√n along x/√Σx².
        let across = along(&free.by_y[1], &origin.by_y[0]);
        assert!((across - 16.5 / libm::sqrt(5.0 * 69.25)).abs() < 1e-15);
        assert_eq!(origin.by_y[1], vec![0.0; 5]);
    }
}
