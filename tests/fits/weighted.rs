//! Weighted means of several results, by hand and by laws.

use meniscus::course::{Combine, Fit};
use meniscus::evaluate::fault::{FaultKind, Weightless};
use meniscus::report;

use crate::assert_near;
use crate::reports::{course, figures};

const THREE: &str = "~{a = 9.70 ± 0.10 m \"one\"} ~{b = 9.90 ± 0.20 m \"two\"} ~{c = 9.80 ± 0.10 m \"three\"} ";

/// Weights 4, 1, 4: (4·9.7 + 9.9 + 4·9.8)/9 = 87.9/9; u = 0.2/3 in quadrature, (4·0.1 + 0.2 + 4·0.1)/9 where limits
/// add. χ² = (0.0667/0.1)² + (0.1333/0.2)² + (0.0333/0.1)² = 1, two degrees of freedom.
#[test]
fn three_results_by_hand() {
    for (combine, uncertainty) in
        [(Combine::Sum, 1.0 / 9.0), (Combine::Quadrature, 0.2 / 3.0), (Combine::Standard, 0.2 / 3.0)]
    {
        let source = format!("{THREE}~{{m = wmean(a, b, c)}}\n");
        let report = report::read(&source, &course(combine, Fit::Scatter));
        let (value, worth) = figures(&report, "m");
        assert_near(value, 87.9 / 9.0, 1e-12, "mean");
        assert_near(worth, uncertainty, 1e-12, "uncertainty");
        let mean = &report.sheet.weighted_means.values().next().unwrap().mean;
        assert_eq!(mean.dof, 2);
        assert_near(mean.chi_squared, 1.0, 1e-9, "chi squared");
        assert_near(mean.birge_ratio().unwrap(), libm::sqrt(0.5), 1e-9, "Birge ratio");
    }
}

/// The mean keeps what it shares with its results: a − m of two results of equal weight is (a − b)/2.
#[test]
fn correlation_with_its_results_is_kept() {
    let source = "~{a = 9.70 ± 0.10 m \"one\"} ~{b = 9.90 ± 0.10 m \"two\"} ~{m = wmean(a, b)} ~{d = a - m} ~{z = 2 * m - a - b} \
                  ~{s = wmean(a, a)}\n";
    let report = report::read(source, &course(Combine::Quadrature, Fit::Scatter));
    assert_near(figures(&report, "d").0, -0.1, 1e-12, "difference");
    assert_near(figures(&report, "d").1, libm::hypot(0.05, 0.05), 1e-12, "its uncertainty");
    assert_near(figures(&report, "z").1, 0.0, 1e-12, "nothing is left");
    assert_near(figures(&report, "s").1, 0.1, 1e-12, "one result twice is no better known");
}

/// An error that all results share does not average out: with a common scale of 1 % the mean has 1 % as well.
#[test]
fn a_shared_error_stays() {
    let source = "~{f = 1.00; ± 0.01 \"scale factor\"} ~{p = 5.00; exact \"set\"} ~{a = f * p} ~{b = p * f} ~{m = wmean(a, b)}\n";
    let report = report::read(source, &course(Combine::Quadrature, Fit::Scatter));
    assert_near(figures(&report, "m").1, 0.05, 1e-12, "uncertainty");
}

#[test]
fn row_by_row_and_over_a_column() {
    let source = "| ~{a [m]; ± 0.1 m \"one\"} | ~{b [m]; ± 0.2 m \"two\"} | ~{m [m] = wmean(a, b)} |\n|---|---|---|\n| 1.0 | 1.5 | |\n\
                  | 2.0 ± 0.2 | 2.5 | |\n| - | 2.5 | |\n\n~{w = wmean(a)} ~{n = wmean(m)}\n";
    let report = report::read(source, &course(Combine::Quadrature, Fit::Scatter));
    let means: Vec<_> = report.sheet.weighted_means.values().map(|weighted| weighted.mean.mean).collect();
    // (4·1 + 1.5)/5, (2 + 2.5)/2, and of the column (4·1 + 2)/5.
    assert_near(means[0], 1.1, 1e-12, "first row");
    assert_near(means[1], 2.25, 1e-12, "second row");
    assert_eq!(means.len(), 4, "the third row has no reading in one column");
    assert_near(figures(&report, "w").0, 1.2, 1e-12, "column");
    assert_near(figures(&report, "w").1, 0.2 / libm::sqrt(5.0), 1e-12, "its uncertainty");
}

#[test]
fn what_has_no_uncertainty_has_no_weight() {
    for (source, at) in [
        ("~{a = 3 m; exact \"given\"} ~{b = 3.0 ± 0.1 m \"rule\"} ~{m = wmean(b, a)}\n", (Some("a"), None)),
        ("| ~{x [m]; exact \"given\"} |\n|---|\n| - |\n| 2 |\n\n~{m = wmean(x)}\n", (None, Some(1))),
    ] {
        let report = report::read(source, &course(Combine::Sum, Fit::Scatter));
        let found: Vec<_> = (report.sheet.faults.iter())
            .filter_map(|fault| match &fault.kind {
                FaultKind::NoWeight { symbol, row, why: Weightless::NoUncertainty } => {
                    Some((symbol.as_ref().map(|symbol| symbol.as_str().to_owned()), *row))
                }
                _ => None,
            })
            .collect();
        assert_eq!(found, [(at.0.map(str::to_owned), at.1)], "{source}");
    }
}

/// Ten thousand rows, each beside one result that rests on all of them: looked through once.
#[test]
fn a_long_table_beside_one_result() {
    let rows: String = (0..10_000).map(|n| format!("| {}.{:02} | |\n", n % 7 + 1, n % 100)).collect();
    let source =
        format!("| ~{{x [m]; ± 0.1 m \"one\"}} | ~{{w [m] = wmean(x, m)}} |\n|---|---|\n{rows}\n~{{m = mean(x)}}\n");
    let report = report::read(&source, &course(Combine::Sum, Fit::Scatter));
    assert_eq!(report.sheet.weighted_means.len(), 10_000);
}
