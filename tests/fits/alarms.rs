//! Findings about lines and weighted means speak up where something is wrong, and of honest data no more often than
//! the level that their pages name.

use meniscus::course::{Combine, Course, Fit};

use crate::reports::{Random, course, table, times};

const EXACT: &str = "exact \"as set\"";

/// A hundredth, and four standard deviations of the count.
fn most(tables: u32) -> usize {
    let expected = 0.01 * f64::from(tables);
    let most = expected + 4.0 * libm::sqrt(expected);
    (0_usize..).find(|&n| f64::from(u32::try_from(n).unwrap()) > most).unwrap()
}

/// Points at even steps about y = 2x + 3, the scatter a twentieth of a step.
fn straight(random: &mut Random, points: u32) -> Vec<(f64, f64)> {
    (1..=points).map(f64::from).map(|x| (x, 2.0 * x + 3.0 + 0.05 * random.normal())).collect()
}

fn alarms(rule: &str, course: &Course, tables: u32, mut source: impl FnMut(u32) -> String) -> usize {
    (0..tables).map(|number| times(&source(number), course, rule).min(1)).sum()
}

const SLOPE: &str = "~{k = slope(y against x)}\n";

#[test]
fn honest_tables_draw_an_alarm_once_in_a_hundred() {
    let scatter = course(Combine::Sum, Fit::Scatter);
    for rule in ["not-straight", "one-point-pulls"] {
        let mut random = Random(1);
        let tables = 1500;
        let found = alarms(rule, &scatter, tables, |number| {
            let points = straight(&mut random, [6, 8, 12, 25][usize::try_from(number % 4).unwrap()]);
            table(&points, EXACT, EXACT) + SLOPE
        });
        assert!(found <= most(tables), "{rule}: {found} of {tables}");
        // A rule that never spoke would pass as well.
        assert!(found > 0, "{rule}");
    }
}

/// Limits that hold every error leave nothing to be said.
#[test]
fn what_the_bars_explain_is_no_alarm() {
    for fit in [Fit::Scatter, Fit::Weighted, Fit::BothErrors] {
        let (course, mut random) = (course(Combine::Sum, fit), Random(2));
        for rule in ["not-straight", "one-point-pulls"] {
            let found = alarms(rule, &course, 200, |_| {
                let points: Vec<_> = (1..=10)
                    .map(f64::from)
                    .map(|x| (x + 0.2 * (random.even() - 0.5), 2.0 * x + 0.2 * (random.even() - 0.5)))
                    .collect();
                table(&points, "± 0.2 \"rule\"", "± 0.2 \"scale\"") + SLOPE
            });
            assert_eq!(found, 0, "{rule}, {fit:?}");
        }
    }
}

#[test]
fn bends_are_found_by_every_method() {
    for fit in [Fit::Scatter, Fit::Weighted, Fit::BothErrors, Fit::ExtremeLines] {
        let mut random = Random(3);
        let bent: Vec<_> = straight(&mut random, 10).into_iter().map(|(x, y)| (x, y + 0.05 * x * x)).collect();
        // Extreme lines want bars that one line passes through; the others are told of the scatter.
        let bar = if fit == Fit::ExtremeLines { "± 2.00 \"scale\"" } else { "± 0.05 \"scale\"" };
        let source = table(&bent, EXACT, bar) + SLOPE;
        let expected = usize::from(fit != Fit::ExtremeLines);
        assert_eq!(times(&source, &course(Combine::Quadrature, fit), "not-straight"), expected, "{fit:?}");
    }
}

/// A wave is no parabola: the stretches of one sign tell of it.
#[test]
fn a_wave_is_found_by_its_stretches() {
    let wave: Vec<_> = (0..24).map(f64::from).map(|x| (x, x + libm::sin(x * std::f64::consts::TAU / 12.0))).collect();
    let source = table(&wave, EXACT, EXACT) + SLOPE;
    assert_eq!(times(&source, &course(Combine::Sum, Fit::Scatter), "not-straight"), 1);
}

#[test]
fn a_slip_in_one_row_is_found_wherever_it_stands() {
    for row in 0..10 {
        let mut random = Random(4);
        let mut points = straight(&mut random, 10);
        points[row].1 += 1.0;
        let source = table(&points, EXACT, EXACT) + SLOPE;
        assert_eq!(times(&source, &course(Combine::Sum, Fit::Scatter), "one-point-pulls"), 1, "row {row}");
    }
}

#[test]
fn one_point_alone_decides_a_slope() {
    let points: Vec<_> =
        (1..=7).map(f64::from).map(|n| (if n > 6.0 { 9.0 } else { 1.0 }, 0.1 * n * (8.0 - n))).collect();
    let source = table(&points, EXACT, EXACT) + SLOPE;
    assert_eq!(times(&source, &course(Combine::Sum, Fit::Scatter), "one-point-pulls"), 1);
}

#[test]
fn a_line_is_spoken_of_once() {
    let source = table(&[(1.0, 2.0), (2.0, 4.1)], EXACT, EXACT)
        + "~{k = slope(y against x)} ~{a = intercept(y against x)} ~{b = 2 * slope(y against x)}\n";
    assert_eq!(times(&source, &Course::default(), "only-two-points"), 1);
    let source = table(&[(1.0, 2.0)], EXACT, EXACT) + "~{k = slope(y against x through 0)}\n";
    assert_eq!(times(&source, &Course::default(), "only-two-points"), 1);
    let source = table(&[(1.0, 2.0), (2.0, 4.1)], EXACT, EXACT) + "~{k = slope(y against x through 0)}\n";
    assert_eq!(times(&source, &Course::default(), "only-two-points"), 0);
}

/// Three results each with its own, right uncertainty.
#[test]
fn results_that_agree_are_left_alone() {
    let (quadrature, mut random) = (course(Combine::Quadrature, Fit::Scatter), Random(5));
    let tables = 1500;
    let found = alarms("results-apart", &quadrature, tables, |_| {
        let mut result = |symbol: &str, u: f64| {
            format!("~{{{symbol} = {:.6} ± {u:.6} m \"method {symbol}\"}} ", 10.0 + u * random.normal())
        };
        format!("{}{}{}~{{m = wmean(a, b, c)}}\n", result("a", 0.1), result("b", 0.2), result("c", 0.05))
    });
    assert!((1..=most(tables)).contains(&found), "{found} of {tables}");
    let apart = "~{a = 9.70 ± 0.05 m \"one\"} ~{b = 9.95 ± 0.05 m \"other\"} ~{m = wmean(a, b)}\n";
    assert_eq!(times(apart, &quadrature, "results-apart"), 1);
}
