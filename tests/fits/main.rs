//! Straight lines and the distributions under them, against other ways of working them out: figures
//! made by `make_references.py`, brute force, central differences, and laws that hold for any points.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod alarms;
mod extreme;
mod laws;
mod prediction;
mod references;
mod reports;
mod sensitivities;
mod shared;
mod together;
mod weighted;

use meniscus::evaluate::fit::{Method, Options, Point};
use proptest::prelude::*;

const METHODS: [Method; 4] = [Method::Scatter, Method::Weighted, Method::BothErrors, Method::ExtremeLines];

const fn options(method: Method) -> Options {
    Options { method, through_origin: false }
}

const fn point(x: f64, y: f64, sx: f64, sy: f64) -> Point {
    Point { x, y, sx, sy }
}

/// Points about a line, as of a course's experiment: x apart from each other, bars of some size.
fn scattered(fewest: usize) -> impl Strategy<Value = Vec<Point>> {
    let rows = prop::collection::vec((0.6..1.4, -1.0..1.0, 0.05..0.3, 0.05..0.5), fewest..12);
    (rows, -3.0..3.0, -5.0..5.0, -10.0..10.0).prop_map(|(rows, slope, intercept, first): (Vec<_>, f64, f64, f64)| {
        let mut x = first;
        let place = |(step, off, sx, sy): (f64, f64, f64, f64)| {
            x += step;
            point(x, intercept + slope * x + off * sy, sx, sy)
        };
        rows.into_iter().map(place).collect()
    })
}

fn assert_near(ours: f64, theirs: f64, tolerance: f64, what: &str) {
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} against {theirs}, off by {:e}", ours - theirs);
}

fn square(x: f64) -> f64 {
    x * x
}
