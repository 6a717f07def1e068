//! What a line says of y at a given x, and of x at a given y: values and uncertainties with the correlation of slope
//! and intercept, against published formulas and figures and against working them out again for every reading moved.

use meniscus::course::{Combine, Fit};
use meniscus::report;

use crate::assert_near;
use crate::reports::{Random, course, figures, table};

/// The calibration of a thermometer (JCGM 100:2008, H.3, table H.6; readings and results from memory): correction b
/// in °C against temperature less 20 °C. Published are y₁ = −0.1712(29), y₂ = 0.00218(67), r = −0.930 and the
/// correction at 30 °C, −0.1494(41), whose uncertainty without the correlation would be 0.0073.
#[test]
fn a_predicted_correction_of_the_guide() {
    let readings = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];
    let readings = readings.map(|(t, b)| (t - 20.0, b));
    let source = table(&readings, "exact \"as set\"", "exact \"as read\"")
        + "~{b_1 = intercept(y against x)} ~{b_2 = slope(y against x)} ~{c = b_1 + b_2 * 10}\n";
    for combine in [Combine::Sum, Combine::Quadrature, Combine::Standard] {
        let report = report::read(&source, &course(combine, Fit::Scatter));
        for (symbol, value, uncertainty, places) in
            [("b_1", -0.1712, 0.0029, 5e-5), ("b_2", 0.00218, 0.00067, 5e-6), ("c", -0.1494, 0.0041, 5e-5)]
        {
            let (ours, worth) = figures(&report, symbol);
            assert_near(ours, value, places, symbol);
            assert_near(worth, uncertainty, places, symbol);
        }
        let fitted = &report.sheet.lines.values().next().unwrap().line;
        assert_near(fitted.uncertainty.unwrap().correlation, -0.930, 5e-4, "r");
    }
}

/// Moved with each reading by its standard deviation, and combined: the law of propagation by differences.
fn by_moving(points: &[(f64, f64)], deviation: f64, of: impl Fn(f64, f64) -> f64) -> f64 {
    let fitted = |points: &[(f64, f64)]| {
        let n = f64::from(u32::try_from(points.len()).unwrap());
        let (x, y) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
        let spread: f64 = points.iter().map(|p| (p.0 - x) * (p.0 - x)).sum();
        let slope = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum::<f64>() / spread;
        of(slope, y - slope * x)
    };
    let step = 1e-4;
    let part = |row: usize| {
        let moved = |by: f64| {
            let mut moved = points.to_vec();
            moved[row].1 += by;
            fitted(&moved)
        };
        (moved(step) - moved(-step)) / (2.0 * step) * deviation
    };
    (0..points.len()).map(part).fold(0.0, libm::hypot)
}

/// The uncertainty of a height, s·√(1/n + (x₀ − x̄)²/S_xx), and of the x of a measured height y₀ whose own standard
/// uncertainty is u: √(u² + s²(1/n + (x̂ − x̄)²/S_xx))/|b| (J. N. Miller, J. C. Miller, Statistics and Chemometrics for
/// Analytical Chemistry, 5.6; from memory; there u is s/√m of m readings).
#[test]
fn heights_and_what_is_read_back_from_them() {
    let mut random = Random(11);
    for _ in 0..40 {
        let points: Vec<_> =
            (0..9).map(f64::from).map(|x| (x, 1.5 + 0.8 * x + 0.1 * random.normal())).map(rounded).collect();
        let (at, height) = (rounded((12.0 * random.even(), 0.0)).0, rounded((2.0 + 6.0 * random.even(), 0.0)).0);
        let source = table(&points, "exact \"as set\"", "exact \"as read\"")
            + &format!(
                "~{{a = intercept(y against x)}} ~{{b = slope(y against x)}} ~{{h = a + b * {at}}} \
                 ~{{y_0 = {height}; ± 0.12 \"unknown sample\"}} ~{{z = (y_0 - a) / b}}\n"
            );
        let report = report::read(&source, &course(Combine::Quadrature, Fit::Scatter));
        let fitted = &report.sheet.lines.values().next().unwrap().line;
        let (s, b, a) = (fitted.residual_sd.unwrap(), fitted.slope, fitted.intercept);
        let spread: f64 = points.iter().map(|(x, _)| (x - 4.0) * (x - 4.0)).sum();
        let lever = |x: f64| s * libm::sqrt(1.0 / 9.0 + (x - 4.0) * (x - 4.0) / spread);
        let (height_at, worth) = figures(&report, "h");
        assert_near(height_at, a + b * at, 1e-12, "height");
        assert_near(worth, lever(at), 1e-12, "uncertainty of a height");
        assert_near(worth, by_moving(&points, s, |b, a| a + b * at), 1e-7, "height moved");
        let (back, worth) = figures(&report, "z");
        assert_near(back, (height - a) / b, 1e-12, "read back");
        assert_near(worth, libm::hypot(0.12, lever(back)) / b.abs(), 1e-12, "uncertainty read back");
        let moved = by_moving(&points, s, |b, a| (height - a) / b);
        assert_near(worth, libm::hypot(0.12 / b, moved), 1e-6, "read back, moved");
    }
}

/// As the table writes it.
fn rounded((x, y): (f64, f64)) -> (f64, f64) {
    let six = |number: f64| format!("{number:.6}").parse().unwrap();
    (six(x), six(y))
}

/// At the mean of x the line is as good as the mean of y, and slope and height there are independent: s²/n.
#[test]
fn the_line_is_best_known_in_the_middle() {
    let source = table(&[(1.0, 1.1), (2.0, 1.9), (3.0, 3.2), (4.0, 3.9)], "exact \"set\"", "exact \"read\"")
        + "~{a = intercept(y against x)} ~{b = slope(y against x)} ~{m = a + b * mean(x)} ~{y_m = mean(y)} ~{d = a + b * mean(x) - m}\n";
    let report = report::read(&source, &course(Combine::Sum, Fit::Scatter));
    let s = report.sheet.lines.values().next().unwrap().line.residual_sd.unwrap();
    assert_near(figures(&report, "m").0, figures(&report, "y_m").0, 1e-12, "height");
    assert_near(figures(&report, "m").1, s / 2.0, 1e-12, "uncertainty");
    assert_eq!(figures(&report, "d"), (0.0, 0.0));
}

/// Through the origin: Σxy/Σx² with s/√Σx², s² of n − 1 degrees of freedom.
#[test]
fn a_slope_through_the_origin() {
    let points = [(1.0, 2.1), (2.0, 3.9), (3.0, 6.2)];
    let source =
        table(&points, "exact \"set\"", "exact \"read\"") + "~{b = slope(y against x through 0)} ~{h = 2 * b}\n";
    let report = report::read(&source, &course(Combine::Sum, Fit::Scatter));
    // Σxy = 28.5, Σx² = 14, Σy² = 58.06.
    let b = 28.5 / 14.0;
    let u = libm::sqrt((58.06 - b * 28.5) / 2.0 / 14.0);
    assert_near(figures(&report, "b").0, b, 1e-12, "slope");
    assert_near(figures(&report, "b").1, u, 1e-12, "uncertainty");
    assert_near(figures(&report, "h").1, 2.0 * u, 1e-12, "twice");
}

/// The origin of a Celsius scale is 0 °C, upright as well as across.
#[test]
fn the_origin_of_a_temperature_scale() {
    let text = |unit: &str| {
        format!(
            "| ~{{t [min]; exact \"clock\"}} | ~{{T [{unit}]; ± 0.5 {unit} \"scale\"}} |\n|---|---|\n| 1 | 2.0 |\n| 2 | 4.1 |\n| 3 | 5.9 |\n\n\
             ~{{r = slope(T against t through 0) in K/min}} ~{{q = slope(t against T through 0) in min/K}}\n"
        )
    };
    let [celsius, kelvin] = ["degC", "K"]
        .map(|unit| ["r", "q"].map(|s| figures(&report::read(&text(unit), &course(Combine::Sum, Fit::Scatter)), s)));
    for (ours, theirs) in celsius.iter().zip(kelvin) {
        assert_near(ours.0, theirs.0, 1e-10, "slope");
        assert_near(ours.1, theirs.1, 1e-10, "uncertainty");
    }
}
