//! `references.yaml`: what mpmath, scipy and statsmodels make of the same points (`make_references.py`).

use meniscus::evaluate::coverage::{chi_squared_tail, two_sided, two_sided_quantile};
use meniscus::evaluate::fit::straightness::{curvature, runs};
use meniscus::evaluate::fit::{Method, Options, Point, line};
use meniscus::evaluate::outlier::{grubbs, grubbs_critical};
use serde_yaml::Value;

use crate::{options, point};

fn file() -> Value {
    let path = format!("{}/tests/fits/references.yaml", env!("CARGO_MANIFEST_DIR"));
    serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_str().unwrap().parse().unwrap()
}

fn whole(value: &Value) -> usize {
    value.as_str().unwrap().parse().unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_sequence().unwrap()
}

fn points(set: &Value) -> Vec<Point> {
    let column = |key: &str| list(&set[key]).iter().map(number).collect::<Vec<f64>>();
    let [x, y, sx, sy] = ["x", "y", "sx", "sy"].map(column);
    (0..x.len()).map(|row| point(x[row], y[row], sx[row], sy[row])).collect()
}

fn assert_close(ours: f64, theirs: f64, relative: f64, what: &str) {
    assert!((ours - theirs).abs() <= relative * theirs.abs(), "{what}: {ours:e} against {theirs:e}");
}

/// Of each line every figure to 12 digits; the tolerance is rounding's, the cancellation in the intercept its
/// largest part.
#[test]
fn weighted_lines_and_lines_with_both_errors() {
    let mut fitted = 0;
    for set in list(&file()["lines"]) {
        for (key, method) in [("weighted", Method::Weighted), ("both_errors", Method::BothErrors)] {
            for through_origin in [false, true] {
                let key = if through_origin { format!("{key}_through_origin") } else { key.to_owned() };
                let Some(expected) = set.get(&key) else { continue };
                let ours = line(&points(set), Options { method, through_origin }).unwrap();
                let worth = ours.uncertainty.unwrap();
                let close = |figure: f64, name: &str| assert_close(figure, number(&expected[name]), 1e-12, name);
                close(ours.slope, "slope");
                close(ours.intercept, "intercept");
                close(worth.slope, "u_slope");
                close(ours.chi_squared.unwrap(), "chi_squared");
                if !through_origin {
                    close(worth.intercept, "u_intercept");
                    close(worth.correlation, "correlation");
                }
                fitted += 1;
            }
        }
    }
    assert_eq!(fitted, 11);
}

/// York's line through Pearson's points, as published in York et al. 2004, table II (from memory):
/// intercept 5.4799, slope −0.4805, σ 0.295 and 0.058, S/(n − 2) = 1.483.
#[test]
fn the_line_through_pearsons_points() {
    let file = file();
    let set = list(&file["lines"]).iter().find(|set| set["name"].as_str() == Some("pearson")).unwrap();
    let ours = line(&points(set), options(Method::BothErrors)).unwrap();
    let worth = ours.uncertainty.unwrap();
    assert_eq!(format!("{:.4} {:.4}", ours.intercept, ours.slope), "5.4799 -0.4805");
    assert_eq!(format!("{:.3} {:.3}", worth.intercept, worth.slope), "0.295 0.058");
    assert_eq!(format!("{:.3}", ours.reduced_chi_squared().unwrap()), "1.483");
}

#[test]
fn bends() {
    for set in list(&file()["lines"]) {
        let points = points(set);
        let ours = curvature(&points, &line(&points, options(Method::Scatter)).unwrap()).unwrap();
        let expected = &set["curvature"];
        assert_close(ours.quadratic, number(&expected["quadratic"]), 1e-11, "quadratic");
        assert_close(ours.t, number(&expected["t"]), 1e-11, "t");
        assert_close(ours.p, number(&expected["p"]), 1e-11, "p");
    }
}

#[test]
fn student_and_chi_squared() {
    let file = file();
    for case in list(&file["student"]) {
        let ours = two_sided(number(&case["t"]), number(&case["dof"]));
        assert_close(ours, number(&case["p"]), 2e-13, &format!("{case:?}"));
    }
    for case in list(&file["quantiles"]) {
        let ours = two_sided_quantile(number(&case["p"]), number(&case["dof"])).unwrap();
        assert_close(ours, number(&case["t"]), 5e-14, &format!("{case:?}"));
    }
    for case in list(&file["chi_squared"]) {
        let dof = whole(&case["dof"]);
        assert_close(
            chi_squared_tail(number(&case["chi_squared"]), dof),
            number(&case["p"]),
            1e-12,
            &format!("{case:?}"),
        );
    }
}

/// The critical values that ISO 5725-2:1994, table 5 prints, from memory: 1.715 and 1.764 for 5 readings,
/// 2.290 and 2.482 for 10.
#[test]
fn critical_values_of_grubbs_test() {
    for case in list(&file()["grubbs"]) {
        let n = whole(&case["n"]);
        let ours = grubbs_critical(n, number(&case["level"])).unwrap();
        assert_close(ours, number(&case["critical"]), 1e-13, &format!("{case:?}"));
    }
    let printed = |n, level| format!("{:.3}", grubbs_critical(n, level).unwrap());
    assert_eq!([printed(5, 0.05), printed(5, 0.01)], ["1.715", "1.764"]);
    assert_eq!([printed(10, 0.05), printed(10, 0.01)], ["2.290", "2.482"]);
}

/// At the critical value, the probability is the level.
#[test]
fn grubbs_probability_meets_its_critical_value() {
    let values = [9.98, 10.02, 10.01, 9.99, 10.00, 10.31];
    let found = grubbs(&values).unwrap();
    assert_eq!(found.index, 5);
    assert_close(grubbs_critical(values.len(), found.p).unwrap(), found.statistic, 1e-12, "G");
    assert!(found.p < 0.01);
    assert!(grubbs(&values[..5]).unwrap().p > 0.05);
}

/// The probability of so few runs, against a count of all orders of the signs.
#[test]
fn numbers_of_runs() {
    for case in list(&file()["runs"]) {
        let [positive, negative, most] = ["positive", "negative", "runs"].map(|key| whole(&case[key]));
        let points = stretches(positive, negative, most);
        // A line along the axis: the sign of y is that of the residual.
        let mut level = line(&points, options(Method::Scatter)).unwrap();
        (level.slope, level.intercept) = (0.0, 0.0);
        let ours = runs(&points, &level).unwrap();
        assert_eq!((ours.positive, ours.negative, ours.runs), (positive, negative, most));
        assert_close(ours.p, number(&case["p"]), 1e-12, &format!("{case:?}"));
    }
}

/// Points of so many signs in so many stretches: single ones first, the rest in the last of each sign.
fn stretches(mut positive: usize, mut negative: usize, runs: usize) -> Vec<Point> {
    let mut signs = Vec::new();
    let mut above = positive >= negative;
    for left in (0..runs).rev() {
        let of_this = if above { &mut positive } else { &mut negative };
        let many = if left < 2 { *of_this } else { 1 };
        *of_this -= many;
        signs.extend(std::iter::repeat_n(if above { 1.0 } else { -1.0 }, many));
        above = !above;
    }
    signs.into_iter().zip(0..).map(|(y, row)| point(f64::from(row), y, 0.0, 0.0)).collect()
}
