//! What holds for the lines through any points, and what becomes of points that determine none.

use meniscus::course::{Combine, Fit};
use meniscus::evaluate::fit::influence::influence;
use meniscus::evaluate::fit::straightness::{curvature, runs};
use meniscus::evaluate::fit::{Line, Method, NoLine, Options, Point, line};
use meniscus::report;
use proptest::prelude::*;

use crate::reports::{course, figures, table};
use crate::{METHODS, assert_near, options, point, scattered};

fn swapped(points: &[Point]) -> Vec<Point> {
    points.iter().map(|p| point(p.y, p.x, p.sy, p.sx)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// York's line does not care which axis is which; least squares of y do.
    #[test]
    fn the_line_with_both_errors_is_the_same_from_the_other_axis(points in scattered(3)) {
        let both = options(Method::BothErrors);
        if let (Ok(one), Ok(other)) = (line(&points, both), line(&swapped(&points), both)) {
            // Where the points hardly rise, two lines may fit nearly alike and the axes settle on different
            // ones.
            prop_assume!(one.slope.abs() > 0.5);
            assert_near(one.slope * other.slope, 1.0, 1e-9, "slopes");
            let [chi, other_chi] = [one.chi_squared.unwrap(), other.chi_squared.unwrap()];
            assert_near(chi, other_chi, 1e-9 * (1.0 + chi), "χ²");
            let height = -one.intercept / one.slope;
            assert_near(other.intercept, height, 1e-8 * (1.0 + height.abs()), "intercepts");
        }
    }

    /// Where x has no errors, York's line is the weighted one.
    #[test]
    fn without_errors_in_x_the_weighted_line(points in scattered(2)) {
        let bare: Vec<Point> = points.iter().map(|p| Point { sx: 0.0, ..*p }).collect();
        for through_origin in [false, true] {
            let both = line(&bare, Options { method: Method::BothErrors, through_origin }).unwrap();
            let weighted = line(&bare, Options { method: Method::Weighted, through_origin }).unwrap();
            let (u, v) = (both.uncertainty.unwrap(), weighted.uncertainty.unwrap());
            assert_near(both.slope, weighted.slope, 1e-12 * (1.0 + weighted.slope.abs()), "slope");
            assert_near(both.intercept, weighted.intercept, 1e-10, "intercept");
            assert_near(u.slope, v.slope, 1e-12 * v.slope, "u slope");
            assert_near(u.intercept, v.intercept, 1e-12 * v.intercept, "u intercept");
        }
    }

    /// Least squares with equal weights is ordinary least squares.
    #[test]
    fn equal_weights_are_none(points in scattered(2)) {
        let alike: Vec<Point> = points.iter().map(|p| Point { sy: 0.2, ..*p }).collect();
        let weighted = line(&alike, options(Method::Weighted)).unwrap();
        let plain = line(&alike, options(Method::Scatter)).unwrap();
        assert_near(weighted.slope, plain.slope, 1e-13 * (1.0 + plain.slope.abs()), "slope");
        assert_near(weighted.intercept, plain.intercept, 1e-12 * (1.0 + plain.intercept.abs()), "intercept");
    }

    /// Other units: powers of two change no digit of any figure, even where squares of the coordinates leave
    /// the range of doubles.
    #[test]
    fn units_do_not_matter(points in scattered(3), up in -600i32..600, along in -300i32..300) {
        let (x, y) = (libm::ldexp(1.0, along), libm::ldexp(1.0, up));
        let scaled: Vec<Point> = points.iter().map(|p| point(p.x * x, p.y * y, p.sx * x, p.sy * y)).collect();
        for method in METHODS {
            let [near, far] = [&points, &scaled].map(|points| line(points, options(method)));
            let (Ok(near), Ok(far)) = (near, far) else { continue };
            prop_assert_eq!(far.slope, near.slope / x * y);
            prop_assert_eq!(far.intercept, near.intercept * y);
            prop_assert_eq!(far.chi_squared, near.chi_squared);
            prop_assert_eq!(far.r_squared, near.r_squared);
            let (u, v) = (far.uncertainty.unwrap(), near.uncertainty.unwrap());
            prop_assert_eq!(u.slope, v.slope / x * y);
            prop_assert_eq!(u.correlation, v.correlation);
            let (s, t) = (far.sensitivity(1, &scaled[1]), near.sensitivity(1, &points[1]));
            prop_assert_eq!(s.slope_by_y, t.slope_by_y / x);
            prop_assert_eq!(s.intercept_by_x, t.intercept_by_x * y / x);
        }
    }

    /// The variances are those that the derivatives by y give: of weighted lines from sy, of ordinary ones
    /// from the scatter.
    #[test]
    fn variances_follow_from_the_derivatives(points in scattered(3)) {
        for (method, through_origin) in
            [(Method::Weighted, false), (Method::Weighted, true), (Method::Scatter, false), (Method::Scatter, true)]
        {
            let fitted = line(&points, Options { method, through_origin }).unwrap();
            let worth = fitted.uncertainty.unwrap();
            let [mut slope, mut intercept, mut both] = [0.0; 3];
            for (row, p) in points.iter().enumerate() {
                let of = fitted.sensitivity(row, p);
                let u = if method == Method::Weighted { p.sy } else { fitted.residual_sd.unwrap() };
                slope += (of.slope_by_y * u) * (of.slope_by_y * u);
                intercept += (of.intercept_by_y * u) * (of.intercept_by_y * u);
                both += (of.slope_by_y * u) * (of.intercept_by_y * u);
            }
            assert_near(worth.slope, slope.sqrt(), 1e-11 * slope.sqrt(), "u slope");
            assert_near(worth.intercept, intercept.sqrt(), 1e-10 * intercept.sqrt(), "u intercept");
            assert_near(worth.covariance(), both, 1e-10 * (slope * intercept).sqrt(), "covariance");
        }
    }

    /// Any numbers at all: a line whose figures are finite, or a reason.
    #[test]
    fn any_points_have_a_line_or_a_reason(
        rows in prop::collection::vec(prop::array::uniform4(prop::num::f64::ANY), 0..6),
        through_origin in any::<bool>(),
    ) {
        let points: Vec<Point> = rows.iter().map(|&[x, y, sx, sy]| point(x, y, sx.abs(), sy.abs())).collect();
        for method in METHODS {
            if let Ok(fitted) = line(&points, Options { method, through_origin }) {
                assert_finite(&fitted);
            }
        }
    }
}

fn assert_finite(fitted: &Line) {
    assert!(fitted.slope.is_finite() && fitted.intercept.is_finite(), "{fitted:?}");
    if let Some(worth) = fitted.uncertainty {
        assert!(worth.slope.is_finite() && worth.intercept.is_finite(), "{fitted:?}");
        assert!((-1.0..=1.0).contains(&worth.correlation), "{fitted:?}");
    }
    let rest = [fitted.residual_sd, fitted.r_squared, fitted.chi_squared];
    assert!(rest.into_iter().flatten().all(f64::is_finite), "{fitted:?}");
}

#[test]
fn points_that_determine_no_line() {
    let one = [point(1.0, 2.0, 0.1, 0.1)];
    let above = [one[0], point(1.0, 3.0, 0.0, 0.1)];
    let bare = [point(1.0, 2.0, 0.0, 0.0), point(2.0, 3.0, 0.0, 0.0)];
    let odd = [one[0], point(f64::NAN, 3.0, 0.0, 0.1)];
    let negative = [one[0], point(2.0, 3.0, -0.1, 0.1)];
    for method in METHODS {
        assert_eq!(line(&[], options(method)).unwrap_err(), NoLine::TooFewPoints { points: 0 });
        assert_eq!(line(&one, options(method)).unwrap_err(), NoLine::TooFewPoints { points: 1 });
        assert_eq!(line(&odd, options(method)).unwrap_err(), NoLine::NotFinite { row: 1 });
        assert_eq!(line(&negative, options(method)).unwrap_err(), NoLine::NotFinite { row: 1 });
        let expected = if method == Method::ExtremeLines { NoLine::AnySlope } else { NoLine::EqualX };
        assert_eq!(line(&above, options(method)).unwrap_err(), expected);
    }
    assert_eq!(line(&bare, options(Method::Weighted)).unwrap_err(), NoLine::NoUncertainty { row: 0 });
    assert_eq!(line(&bare, options(Method::BothErrors)).unwrap_err(), NoLine::NoUncertainty { row: 0 });
    let axis = [point(0.0, 2.0, 0.0, 0.1), point(0.0, 3.0, 0.0, 0.1)];
    assert_eq!(line(&axis, Options { through_origin: true, ..options(Method::Scatter) }).unwrap_err(), NoLine::EqualX);
}

/// Two points have no scatter: the line is exact, and what it is worth has to come from their own errors.
#[test]
fn two_points_leave_no_scatter() {
    let points = [point(1.0, 2.0, 0.0, 0.1), point(3.0, 6.0, 0.0, 0.1)];
    let fitted = line(&points, options(Method::Scatter)).unwrap();
    assert_eq!((fitted.slope, fitted.intercept, fitted.dof), (2.0, 0.0, 0));
    assert_eq!((fitted.uncertainty, fitted.residual_sd), (None, None));
    let of = fitted.sensitivity(1, &points[1]);
    assert_eq!((of.slope_by_y, of.slope_by_x, of.intercept_by_y, of.intercept_by_x), (0.5, -1.0, -0.5, 1.0));
    let through = Options { through_origin: true, ..options(Method::Scatter) };
    assert_eq!(line(&points[..1], through).unwrap().uncertainty, None);
}

/// Decimals on a line leave residuals of rounding alone: there is no scatter, and nothing bends.
#[test]
fn decimals_on_a_line_have_no_scatter() {
    let points: Vec<Point> = (1..20).map(|n| f64::from(n) / 10.0).map(|x| point(x, 2.7 * x + 0.3, 0.0, 0.0)).collect();
    let fitted = line(&points, options(Method::Scatter)).unwrap();
    assert_eq!((fitted.uncertainty, fitted.residual_sd, fitted.r_squared), (None, Some(0.0), Some(1.0)));
    assert_eq!(curvature(&points, &fitted), None);
    assert_eq!(runs(&points, &fitted), None);
}

/// Such points know no scatter, but they were read off a scale: as of two points, their own uncertainties are carried
/// through. By hand: about x̄ = 2 each y has (x − x̄)/2 of the slope, (1 − 3(x − x̄))/3 of the intercept; in
/// quadrature 0.1·√(1/2) and 0.1·√(1/3 + 4/2), as limits 0.1·1 and 0.1·(4/3 + 1/3 + 2/3).
#[test]
fn points_on_a_line_are_no_better_known_than_their_readings() {
    let source = table(&[(1.0, 2.0), (2.0, 4.0), (3.0, 6.0)], "exact \"set\"", "reading 0.1 \"scale\"")
        + "~{m = slope(y against x)} ~{b = intercept(y against x)} ~{h = b + m * 2}\n";
    let thirds = |sum: f64| 0.1 * sum / 3.0;
    for (combine, slope, intercept, height) in [
        (Combine::Sum, 0.1, thirds(4.0 + 1.0 + 2.0), 0.1),
        (Combine::Quadrature, 0.1 * libm::sqrt(0.5), 0.1 * libm::sqrt(7.0 / 3.0), 0.1 / libm::sqrt(3.0)),
    ] {
        let report = report::read(&source, &course(combine, Fit::Scatter));
        assert_near(figures(&report, "m").1, slope, 1e-12, "slope");
        assert_near(figures(&report, "b").1, intercept, 1e-12, "intercept");
        assert_near(figures(&report, "h").1, height, 1e-12, "correlation kept");
    }
}

#[test]
fn level_points() {
    let points = [1.0, 2.0, 3.0].map(|x| point(x, 0.1, 0.1, 0.1));
    for method in [Method::Scatter, Method::Weighted, Method::BothErrors] {
        let fitted = line(&points, options(method)).unwrap();
        assert_eq!((fitted.slope, fitted.intercept, fitted.r_squared), (0.0, 0.1, None), "{method:?}");
    }
}

/// The height of the line at x, and what it is worth there, from the derivatives of slope and intercept.
#[test]
fn the_worth_of_a_height() {
    let points = [(1.0, 2.0), (2.0, 4.1), (3.0, 5.9)].map(|(x, y)| point(x, y, 0.0, 0.1));
    let fitted = line(&points, options(Method::Weighted)).unwrap();
    let rows = points.iter().enumerate();
    let squares =
        rows.map(|(row, p)| fitted.sensitivity(row, p)).map(|of| 0.1 * (of.intercept_by_y + 5.0 * of.slope_by_y));
    let expected = squares.map(|part| part * part).sum::<f64>().sqrt();
    assert_near(fitted.uncertainty.unwrap().at(5.0), expected, 1e-14, "at 5");
    assert_near(fitted.at(2.0), 4.0, 1e-14, "mean");
}

/// Extreme lines have no least residuals: their straightness, and each point's part, are those of least squares.
#[test]
fn extreme_lines_are_looked_at_as_least_squares() {
    let bent: Vec<Point> = (0..9).map(f64::from).map(|x| point(x, x * x, 0.0, 9.0)).collect();
    let [extreme, plain] = [Method::ExtremeLines, Method::Scatter].map(|m| line(&bent, options(m)).unwrap());
    assert_eq!(runs(&bent, &extreme), runs(&bent, &plain));
    assert_eq!(curvature(&bent, &extreme), curvature(&bent, &plain));
    assert_eq!(influence(&bent, &extreme), influence(&bent, &plain));
    let found = curvature(&bent, &plain).unwrap();
    assert_near(found.quadratic, 1.0, 1e-13, "the parabola itself");
    assert!(found.t > 1e6 && found.p < 1e-20, "{found:?}");
}
