//! The derivatives of slope and intercept by every coordinate, against central differences.

use meniscus::evaluate::fit::{Line, Method, Options, Point, Sensitivity, Uncertainty, line};
use proptest::prelude::*;

use crate::{METHODS, assert_near, scattered};

/// (f(+h) − f(−h))/2h with h, improved by h/2 (Richardson): the error falls as h⁴.
fn differences(points: &[Point], options: Options, row: usize, of: fn(&mut Point) -> &mut f64) -> Option<(f64, f64)> {
    let at = |step: f64| {
        let mut moved = points.to_vec();
        *of(&mut moved[row]) += step;
        line(&moved, options).ok().map(|line| (line.slope, line.intercept))
    };
    let central = |h: f64| {
        let ((up, up_a), (down, down_a)) = (at(h)?, at(-h)?);
        Some(((up - down) / (2.0 * h), (up_a - down_a) / (2.0 * h)))
    };
    let ((wide, wide_a), (narrow, narrow_a)) = (central(2e-4)?, central(1e-4)?);
    Some(((4.0 * narrow - wide) / 3.0, (4.0 * narrow_a - wide_a) / 3.0))
}

/// The extremes turn on other corners where those that hold them change: there is no derivative there.
fn held_alike(points: &[Point], options: Options, row: usize) -> bool {
    let held = |step: (f64, f64)| {
        let mut moved = points.to_vec();
        moved[row].x += step.0;
        moved[row].y += step.1;
        let rows = |line: Line| line.extremes.map(|both| both.map(|extreme| extreme.corners.map(|corner| corner.row)));
        line(&moved, options).ok().and_then(rows)
    };
    let steps = [(0.0, 0.0), (4e-4, 0.0), (-4e-4, 0.0), (0.0, 4e-4), (0.0, -4e-4)];
    steps.windows(2).all(|pair| held(pair[0]).is_some() && held(pair[0]) == held(pair[1]))
}

/// How many derivatives were compared.
fn assert_derivatives(points: &[Point], options: Options) -> usize {
    let Ok(fitted) = line(points, options) else { return 0 };
    // A line that its points hardly determine bends too fast for differences of this step.
    let vague = |u: Uncertainty| u.slope > 0.2 * (1.0 + fitted.slope.abs());
    if options.method == Method::BothErrors
        && (fitted.uncertainty.is_some_and(vague) || fitted.reduced_chi_squared().is_some_and(|chi| chi > 10.0))
    {
        return 0;
    }
    let mut compared = 0;
    for (row, point) in points.iter().enumerate() {
        if options.method == Method::ExtremeLines && !held_alike(points, options, row) {
            continue;
        }
        let Sensitivity { slope_by_x, slope_by_y, intercept_by_x, intercept_by_y } = fitted.sensitivity(row, point);
        let (Some((slope_x, intercept_x)), Some((slope_y, intercept_y))) = (
            differences(points, options, row, |point| &mut point.x),
            differences(points, options, row, |point| &mut point.y),
        ) else {
            continue;
        };
        let what = format!("{options:?}, row {row} of {points:?}");
        let near = |ours: f64, theirs: f64| assert_near(ours, theirs, 1e-6 * (1.0 + theirs.abs()), &what);
        near(slope_by_x, slope_x);
        near(slope_by_y, slope_y);
        near(intercept_by_x, intercept_x);
        near(intercept_by_y, intercept_y);
        compared += 4;
    }
    compared
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn derivatives_are_central_differences(points in scattered(3)) {
        for method in METHODS {
            for through_origin in [false, true] {
                assert_derivatives(&points, Options { method, through_origin });
            }
        }
    }

    /// An error that all y share lifts the line and leaves its slope; one that all share in proportion scales
    /// both.
    #[test]
    fn shared_errors_move_the_line_as_a_whole(points in scattered(3)) {
        for method in METHODS {
            let options = Options { method, through_origin: false };
            let Ok(fitted) = line(&points, options) else { continue };
            let rows = points.iter().enumerate();
            let all: Vec<Sensitivity> = rows.map(|(row, point)| fitted.sensitivity(row, point)).collect();
            let sum = |of: fn(&Sensitivity) -> f64| all.iter().map(of).sum::<f64>();
            let size = 1e-9 * (1.0 + fitted.slope.abs()) * (1.0 + points.iter().map(|p| p.x.abs()).fold(0.0, f64::max));
            assert_near(sum(|s| s.slope_by_y), 0.0, size, "slope by all y");
            assert_near(sum(|s| s.intercept_by_y), 1.0, size, "intercept by all y");
            assert_near(sum(|s| s.slope_by_x), 0.0, size, "slope by all x");
            assert_near(sum(|s| s.intercept_by_x), -fitted.slope, size, "intercept by all x");
        }
    }
}

/// Central differences are taken where there are derivatives to compare, of every method.
#[test]
fn every_method_is_compared() {
    let points: Vec<Point> = [(1.0, 2.1), (2.0, 3.8), (3.1, 6.3), (4.0, 7.9), (5.2, 10.1)]
        .map(|(x, y)| Point { x, y, sx: 0.1, sy: 0.3 })
        .to_vec();
    for method in METHODS {
        for through_origin in [false, true] {
            assert_eq!(assert_derivatives(&points, Options { method, through_origin }), 20, "{method:?}");
        }
    }
}
