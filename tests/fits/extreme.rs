//! The steepest and the flattest line, against trying all pairs of corners.

use meniscus::evaluate::fit::{Line, Method, NoLine, Options, Point, line};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRng, TestRunner};

use crate::{assert_near, options, point};

const EXTREME: Options = options(Method::ExtremeLines);
const FROM_ORIGIN: Options = Options { through_origin: true, ..EXTREME };

/// Does the line pass through every box, but for rounding?
fn passes(points: &[Point], slope: f64, intercept: f64) -> bool {
    points.iter().all(|p| {
        let ends = [p.x - p.sx, p.x + p.sx].map(|x| intercept + slope * x);
        let slack = 1e-9 * (1.0 + p.y.abs() + slope.abs() * (p.x.abs() + p.sx));
        ends[0].max(ends[1]) >= p.y - p.sy - slack && ends[0].min(ends[1]) <= p.y + p.sy + slack
    })
}

fn corners(point: &Point) -> [(f64, f64); 4] {
    let Point { x, y, sx, sy } = *point;
    [(x - sx, y - sy), (x - sx, y + sy), (x + sx, y - sy), (x + sx, y + sy)]
}

/// The least and the greatest slope of all lines through two corners (or through the origin and one) that
/// pass through every box.
fn by_trying(points: &[Point], through_origin: bool) -> Option<(f64, f64)> {
    let all: Vec<(f64, f64)> = points.iter().flat_map(corners).collect();
    let others = if through_origin { vec![(0.0, 0.0)] } else { all.clone() };
    let mut found: Option<(f64, f64)> = None;
    for &(x1, y1) in &all {
        for &(x2, y2) in &others {
            let slope = (y1 - y2) / (x1 - x2);
            if slope.is_finite() && passes(points, slope, y1 - slope * x1) {
                found = Some(found.map_or((slope, slope), |(least, most)| (least.min(slope), most.max(slope))));
            }
        }
    }
    found
}

/// The slopes are bounded unless a vertical line passes; through the origin, unless it is the axis itself.
fn unbounded(points: &[Point], through_origin: bool) -> bool {
    let from = points.iter().map(|p| p.x - p.sx).fold(f64::NEG_INFINITY, f64::max);
    let to = points.iter().map(|p| p.x + p.sx).fold(f64::INFINITY, f64::min);
    if through_origin { from <= 0.0 && to >= 0.0 } else { from <= to }
}

/// By how much the best line misses, by narrowing down its slope among all of them: the miss is least over
/// slope and intercept.
fn least_miss(points: &[Point], through_origin: bool) -> f64 {
    let miss = |slope: f64| {
        let rise = |p: &Point| [slope * (p.x - p.sx), slope * (p.x + p.sx)];
        let highest = points.iter().map(|p| p.y + p.sy - rise(p)[0].min(rise(p)[1])).fold(f64::INFINITY, f64::min);
        let lowest = points.iter().map(|p| p.y - p.sy - rise(p)[0].max(rise(p)[1])).fold(f64::NEG_INFINITY, f64::max);
        if through_origin { lowest.max(-highest) } else { (lowest - highest) / 2.0 }
    };
    let halves = [(-1e4, 0.0), (0.0, 1e4)].map(|(mut from, mut to)| {
        for _ in 0..300 {
            let (one, other) = (from + (to - from) / 3.0, to - (to - from) / 3.0);
            if miss(one) <= miss(other) { to = other } else { from = one }
        }
        miss(from)
    });
    halves[0].min(halves[1])
}

/// Small sets of every kind: on a coarse grid and off it, with bars that are often 0, in line and not, some
/// one above the other.
fn small_set() -> impl Strategy<Value = Vec<Point>> {
    let number = prop_oneof![(-4i32..5).prop_map(f64::from), -4.0..4.0];
    let bar = prop_oneof![2 => 0.0..1.5, 1 => Just(0.0), 1 => Just(1.0)];
    let off = prop_oneof![3 => -1.0..1.0, 1 => -4.0..4.0];
    let row = (number.clone(), off, bar.clone(), bar);
    (prop::collection::vec(row, 2..7), number)
        .prop_map(|(rows, slope)| rows.into_iter().map(|(x, off, sx, sy)| point(x, slope * x + off, sx, sy)).collect())
}

fn assert_extremes(points: &[Point], options: Options) -> &'static str {
    let fitted = line(points, options);
    if unbounded(points, options.through_origin) {
        assert!(matches!(fitted, Err(NoLine::AnySlope | NoLine::EqualX)), "{points:?}: {fitted:?}");
        return "any slope";
    }
    match (fitted, by_trying(points, options.through_origin)) {
        (Ok(fitted), Some((least, most))) => {
            let slopes = fitted.extremes.as_ref().unwrap().map(|extreme| extreme.slope);
            let near = |ours: f64, theirs: f64| assert_near(ours, theirs, 1e-7 * (1.0 + theirs * theirs), "slope");
            near(slopes[0], most);
            near(slopes[1], least);
            assert_middle(points, &fitted);
            "a line"
        }
        (Err(NoLine::NoneThroughAll { miss, rows }), None) => {
            let expected = least_miss(points, options.through_origin);
            assert_near(miss, expected, 1e-6 * (1.0 + expected), &format!("miss of {points:?}"));
            assert!(rows.iter().all(|&row| row < points.len()));
            "none"
        }
        // Trying allows more rounding than the fit does.
        (Err(NoLine::NoneThroughAll { miss, .. }), Some(_)) => {
            assert!(miss < 1e-6, "{miss}: {points:?}");
            "a touch"
        }
        (fitted, tried) => panic!("{points:?}: {fitted:?}, {tried:?}"),
    }
}

fn assert_middle(points: &[Point], fitted: &Line) {
    let [most, least] = fitted.extremes.as_deref().unwrap();
    for extreme in [most, least] {
        assert!(passes(points, extreme.slope, extreme.intercept), "{extreme:?} {points:?}");
    }
    let worth = fitted.uncertainty.unwrap();
    assert_near(fitted.slope + worth.slope, most.slope, 1e-12 * (1.0 + most.slope.abs()), "upper slope");
    let ends = [most.intercept, least.intercept];
    let size = 1.0 + ends[0].abs() + ends[1].abs();
    assert_near(fitted.intercept + worth.intercept, ends[0].max(ends[1]), 1e-12 * size, "upper intercept");
    let together = (most.intercept - least.intercept).signum();
    assert!(worth.correlation == 0.0 || worth.correlation == together, "{fitted:?}");
}

#[test]
fn extremes_as_by_trying_all_pairs() {
    let config = Config::with_cases(1);
    let mut runner =
        TestRunner::new_with_rng(config, TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha));
    let mut seen = std::collections::BTreeMap::new();
    for _ in 0..2000 {
        let points = small_set().new_tree(&mut runner).unwrap().current();
        *seen.entry(assert_extremes(&points, EXTREME)).or_insert(0) += 1;
        *seen.entry(assert_extremes(&points, FROM_ORIGIN)).or_insert(0) += 1;
    }
    // Every outcome has been met often, the touch being a matter of rounding.
    for outcome in ["a line", "none", "any slope"] {
        assert!(seen[outcome] > 100, "{seen:?}");
    }
}

/// Bars 0.9 to 1.1, 2.1 to 2.3, 2.9 to 3.1 at 1, 2, 3: one line touches all three. Decimals are not exact in
/// doubles.
#[test]
fn one_line_that_only_touches() {
    let points = [point(1.0, 1.0, 0.0, 0.1), point(2.0, 2.2, 0.0, 0.1), point(3.0, 3.0, 0.0, 0.1)];
    let fitted = line(&points, EXTREME).unwrap();
    assert_near(fitted.slope, 1.0, 1e-14, "slope");
    assert_near(fitted.intercept, 0.1, 1e-14, "intercept");
    assert_near(fitted.uncertainty.unwrap().slope, 0.0, 1e-14, "half-difference");
    let higher = [points[0], point(2.0, 2.22, 0.0, 0.1), points[2]];
    let Err(NoLine::NoneThroughAll { miss, .. }) = line(&higher, EXTREME) else { panic!() };
    assert_near(miss, 0.01, 1e-14, "each bar 0.01 longer");
}

/// One reading far above the others: it is named first, and then the two that hold the line down; in the mirror too.
#[test]
fn who_stands_against_a_line() {
    let up = [5.0, 10.1, 18.9, 20.2, 25.1].into_iter().zip(1..).map(|(y, x)| point(f64::from(x), y, 0.01, 0.2));
    let up: Vec<Point> = up.collect();
    for sign in [1.0, -1.0] {
        let points: Vec<Point> = up.iter().map(|p| Point { y: sign * p.y, ..*p }).collect();
        let Err(NoLine::NoneThroughAll { rows: [alone, one, other], .. }) = line(&points, EXTREME) else { panic!() };
        assert_eq!((alone, one.min(other), one.max(other)), (2, 0, 4));
    }
}

/// By hand: from 1 ± 0.5 at 1 to 3 ± 0.5 at 3 the slope is (2 ± 1)/2, through y = 2 at x = 2.
#[test]
fn extremes_by_hand() {
    let points = [point(1.0, 1.0, 0.0, 0.5), point(3.0, 3.0, 0.0, 0.5)];
    let fitted = line(&points, EXTREME).unwrap();
    let worth = fitted.uncertainty.unwrap();
    assert_eq!((fitted.slope, fitted.intercept), (1.0, 0.0));
    assert_eq!((worth.slope, worth.intercept, worth.correlation), (0.5, 1.0, -1.0));
    assert_near(worth.at(2.0), 0.0, 1e-15, "both pass there");
    // Bars in x as well: (2 + 1)/(2 − 0.5) and (2 − 1)/(2 + 0.5).
    let wide = points.map(|p| Point { sx: 0.25, ..p });
    let slopes = line(&wide, EXTREME).unwrap().extremes.unwrap().map(|extreme| extreme.slope);
    assert_eq!(slopes, [2.0, 0.4]);
}

/// Two boxes one above the other, and a tall one aside: steep rising and steep falling lines, none that is
/// level.
#[test]
fn slopes_of_both_signs_and_none_between() {
    let points = [point(0.0, 0.5, 1.0, 0.5), point(0.0, 2.5, 1.0, 0.5), point(2.5, 0.0, 0.5, 100.0)];
    assert_extremes(&points, EXTREME);
    let fitted = line(&points, EXTREME).unwrap();
    let [most, least] = fitted.extremes.as_deref().unwrap();
    assert!(most.slope > 30.0 && least.slope < -30.0, "{fitted:?}");
    assert!(!passes(&points, fitted.slope, fitted.intercept), "the middle of such extremes is no allowed line");
}

/// A point without bars is one that every line passes through; two bars that touch each other at one x are
/// such a point too: the slope is still free, whatever rounding says of the touch.
#[test]
fn a_point_to_turn_on() {
    let ends = [point(1.0, 1.0, 0.0, 0.5), point(3.0, 3.0, 0.0, 0.5)];
    let fixed = [ends[0], point(2.0, 2.0, 0.0, 0.0), ends[1]];
    let touching = [ends[0], point(2.0, 1.9, 0.0, 0.1), point(2.0, 2.3, 0.0, 0.3), ends[1]];
    for points in [&fixed[..], &touching[..]] {
        let slopes = line(points, EXTREME).unwrap().extremes.unwrap().map(|extreme| extreme.slope);
        assert_near(slopes[0], 1.5, 1e-13, "steepest");
        assert_near(slopes[1], 0.5, 1e-13, "flattest");
    }
}

/// Exact points: the line itself, without a width.
#[test]
fn points_without_bars() {
    let points: Vec<Point> = (0..50).map(|n| f64::from(n) * 0.1).map(|x| point(x, 0.7 * x + 0.3, 0.0, 0.0)).collect();
    let fitted = line(&points, EXTREME).unwrap();
    assert_near(fitted.slope, 0.7, 1e-14, "slope");
    assert_near(fitted.intercept, 0.3, 1e-14, "intercept");
    assert_near(fitted.uncertainty.unwrap().slope, 0.0, 1e-14, "half-difference");
}
