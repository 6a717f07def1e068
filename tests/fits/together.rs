//! Several lines through the same points: how their slopes and intercepts are tied, held to what the points' errors do
//! to them together.

use meniscus::course::{Combine, Fit};
use meniscus::report;

use crate::reports::{Random, course, figures};
use crate::{assert_near, square};

/// `t` is `2·x + 3`, `u` is `x²`, and one row lacks its `v`.
fn source(random: &mut Random, results: &str) -> (String, Vec<[f64; 2]>) {
    let mut text = String::from(
        "| ~{x [1]; ± 0.02 \"rule\"} | ~{y [1]; ± 0.3 \"dial\"} | ~{t [1] = 2*x + 3} | ~{u [1] = x^2} | ~{w [1] = 3*y} |\n\
         |--|--|--|--|--|\n",
    );
    let mut points = Vec::new();
    for row in 1..=9 {
        let x = format!("{:.2}", f64::from(row) + random.even());
        let y = format!("{:.2}", 1.0 + 2.0 * x.parse::<f64>().unwrap() + 0.3 * random.normal());
        text.push_str(&format!("| {x} | {y} | | | |\n"));
        points.push([x, y].map(|number| number.parse().unwrap()));
    }
    (text + "\n" + results, points)
}

const RESULTS: &str = "~{m = slope(y against x)} ~{c = intercept(y against x)} ~{o = slope(y against x through 0)}\n\
                       ~{s = slope(y against t)} ~{k = slope(y against u)} ~{h = intercept(y against u)} ~{g = slope(w against x)}\n\
                       ~{a = m - o} ~{b = c + 2*o} ~{d = m - 2*s} ~{e = m + 5*k - h} ~{f = m + g}\n";

/// The derivatives of slope and intercept by every y; through the origin those of the slope.
fn by_y(x: &[f64]) -> ([Vec<f64>; 2], Vec<f64>) {
    let n = x.iter().map(|_| 1.0).sum::<f64>();
    let mean = x.iter().sum::<f64>() / n;
    let spread: f64 = x.iter().map(|x| square(x - mean)).sum();
    let slope: Vec<_> = x.iter().map(|x| (x - mean) / spread).collect();
    let intercept = slope.iter().map(|slope| 1.0 / n - mean * slope).collect();
    let squares: f64 = x.iter().map(|x| x * x).sum();
    ([slope, intercept], x.iter().map(|x| x / squares).collect())
}

fn length(vector: impl Iterator<Item = f64>) -> f64 {
    vector.map(|part| part * part).sum::<f64>().sqrt()
}

/// Of a course that weights, y alone being wrong, every result is Σ c·y, so that its uncertainty is that of y times the
/// length of c.
#[test]
fn weighted_lines_are_the_sums_of_their_points() {
    let (source, points) = source(&mut Random(3), RESULTS);
    let report = report::read(&source, &course(Combine::Standard, Fit::Weighted));
    let x: Vec<_> = points.iter().map(|[x, _]| *x).collect();
    let ([slope, intercept], origin) = by_y(&x);
    let ([bent, high], _) = by_y(&x.iter().map(|x| x * x).collect::<Vec<_>>());
    let near = |symbol: &str, of: &dyn Fn(usize) -> f64| {
        let (_, ours) = figures(&report, symbol);
        let theirs = 0.3 * length((0..x.len()).map(of));
        assert_near(ours, theirs, 1e-12 * theirs, symbol);
    };
    near("m", &|i| slope[i]);
    near("o", &|i| origin[i]);
    near("a", &|i| slope[i] - origin[i]);
    near("b", &|i| intercept[i] + 2.0 * origin[i]);
    near("e", &|i| slope[i] + 5.0 * bent[i] - high[i]);
    assert_eq!(figures(&report, "d").1, 0.0);
}

/// By `scatter` the size of the errors is estimated for each line by itself; the correlation does not depend on it.
#[test]
fn lines_with_their_own_scatter_are_correlated_as_their_points_move_them() {
    let (source, points) = source(&mut Random(5), RESULTS);
    let x: Vec<_> = points.iter().map(|[x, _]| *x).collect();
    let ([slope, intercept], origin) = by_y(&x);
    let correlation = |a: &[f64], b: &[f64]| {
        a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>() / (length(a.iter().copied()) * length(b.iter().copied()))
    };
    // √(Sxx/Σx²), worked out by hand.
    let (mean, squares) = (x.iter().sum::<f64>() / 9.0, x.iter().map(|x| x * x).sum::<f64>());
    assert_near(correlation(&slope, &origin), ((squares - 9.0 * mean * mean) / squares).sqrt(), 1e-12, "by hand");
    for combine in [Combine::Sum, Combine::Quadrature, Combine::Standard] {
        let report = report::read(&source, &course(combine, Fit::Scatter));
        let of = |symbol| figures(&report, symbol).1;
        let together = |a: f64, b: f64, r: f64| (a * a + b * b + 2.0 * r * a * b).sqrt();
        let (m, c, o) = (of("m"), of("c"), of("o"));
        assert_near(of("a"), together(m, -o, correlation(&slope, &origin)), 1e-12 * of("a"), "m - o");
        assert_near(of("b"), together(c, 2.0 * o, correlation(&intercept, &origin)), 1e-12 * of("b"), "c + 2·o");
        // The same line in another unit of x: nothing is left.
        assert!(of("d") <= 1e-7 * m, "{}", of("d"));
        // Another column upright: what ties them is not told by the points.
        let apart = if combine == Combine::Sum { m + of("g") } else { m.hypot(of("g")) };
        assert_near(of("f"), apart, 1e-12 * apart, "m + g");
    }
}

#[test]
fn lines_with_both_errors_are_tied_by_either_column() {
    let results = "~{m = slope(y against x)} ~{o = slope(y against x through 0)} ~{g = slope(w against x)} ~{i = slope(x against y)}\n\
                   ~{a = m - o} ~{f = g - 3*m} ~{p = m*i}\n";
    let (source, _) = source(&mut Random(8), results);
    let report = report::read(&source, &course(Combine::Standard, Fit::BothErrors));
    let of = |symbol| figures(&report, symbol).1;
    assert!(of("a") < 0.9 * of("m").hypot(of("o")));
    // The errors in x are the same, those in y are thought independent.
    assert!(of("f") < 0.9999 * of("g").hypot(3.0 * of("m")));
    // One line, seen from either axis: the product of its slopes is 1, whatever the points' errors.
    assert!((figures(&report, "p").0 - 1.0).abs() < 1e-9 && of("p") < 1e-5, "{}", of("p"));
}

#[test]
fn both_lines_are_named_in_one_row_of_the_sources() {
    let (source, _) = source(&mut Random(5), RESULTS);
    let report = report::read(&source, &course(Combine::Sum, Fit::Scatter));
    let (_, quantity) = report.sheet.find(&meniscus::parse::ast::Symbol::new("a")).unwrap();
    let all = report.sheet.propagation.contributions(quantity.measure.unwrap().node, 1000).unwrap();
    let cause = report.sheet.cause_of(&all[0]).unwrap();
    assert_eq!((all.len(), cause.of.words().as_str(), cause.dof), (1, "y against x, y against x through 0", Some(7.0)));
}
