//! The samples: four reports as a good student writes them, and one in a hurry, whose slips are all found.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use support::{Finding, findings, markdown, meniscus, page, with_plain_blanks};

const GOOD: [&str; 4] =
    ["samples/beeswax/report.md", "samples/gate/report.md", "samples/rubber-band/report.md", "samples/track/report.md"];

/// A report of the samples in Markdown, read by the course file beside it; `text` stands for the file's.
fn rendered(path: &str, text: &str) -> String {
    let run = meniscus(&["render", "-", "--as", path, "--to", "markdown"], text.as_bytes());
    assert_eq!(run.status, 0, "{run:?}");
    run.stdout
}

/// The slips of the hurried report, in the order of the report: rule, and the characters that it points at.
const SLIPS: &[(&str, &str)] = &[
    ("unknown-instrument", "ruler"),
    ("no-reason", "reading 0.5 mm"),
    ("places-differ", "33.05 ± 0.3 mm \"five places, by eye\""),
    ("too-many-figures", "33.250"),
    ("no-uncertainty", "109.6"),
    ("unused", "m_p"),
    ("unit-spelling", "gms"),
    ("unknown-unit", "mmm"),
    ("unknown-kind", "readng"),
    ("defined-twice", "w"),
    ("decimal-comma", "21,5"),
    ("unit-or-symbol", "h"),
    ("syntax", "w"),
    ("units-differ", "cm^2"),
    ("unknown-symbol", "H_2"),
    ("units-differ", "+"),
    ("cycle", "rho_p"),
    ("outside-domain", "acos(L / w)"),
    ("unclosed", "~{"),
];

#[test]
fn a_good_report_has_no_findings() {
    for path in GOOD {
        let run = meniscus(&["check", path], b"");
        assert_eq!((run.status, run.stderr.trim()), (0, "no findings in 1 report"), "{path}");
    }
}

#[test]
fn every_slip_of_the_hurried_report_is_found_at_its_place() {
    let found = findings(&page("samples/hurried/report.md"));
    let found: Vec<(&str, &str)> = found.iter().map(|Finding { rule, place, .. }| (&**rule, &**place)).collect();
    assert_eq!(found, SLIPS);
    let run = meniscus(&["check", "samples/hurried/report.md"], b"");
    assert_eq!(run.status, 1);
}

/// Worked by hand from the readings of the reports.
#[test]
fn the_results_are_those_worked_by_hand() {
    for (path, shown) in [
        // 109.6 g / (71.5 mm × 48.25 mm × 33.05 mm) = 0.9612 g/cm³. Relative amounts: 1.5/71.5 + 0.75/48.25 +
        // (0.5 + 0.146)/33.05 + 0.3/109.6 = 5.88 %, which is 0.0565 g/cm³.
        (GOOD[0], ["0.96 ± 0.06 g/cm³", "(9.6 ± 0.6) × 10² kg/m³", "5.9 %", "1.075 ± 0.003 N"].as_slice()),
        // 3.45 kg × 9.81 m/s² × 0.405 m × 10.4/120 × (5.0303 s / 2π)² = 0.7614 kg m². Relative amounts: mass 0.58 %, radius
        // 0.55 %, offset 2.15 %, length along the post 0.08 %, twice 0.82 % of the period: 2.8 % in quadrature.
        (GOOD[1], ["0.76 ± 0.02", "5.03 ± 0.04 s", "5.0 ± 0.1"].as_slice()),
        // First run: ΣΔxΔF/ΣΔx² = 24.954 N/m, scatter 0.0936 N/m, and 24.954 × 0.01/9.81 = 0.0254 N/m of g; the line meets the
        // axis at 2.0 ± 9.3 mN. Through the origin 24.971 N/m. Second run: 24.947 N/m, scatter 0.0751 N/m.
        (
            GOOD[2],
            [
                "k₁ = 25.0 ± 0.1 N/m",
                "F₀ = 0.002 ± 0.009 N",
                "k₀ = 24.97 ± 0.06 N/m",
                "k₂ = 24.9 ± 0.1 N/m",
                "they differ by 0.0 ± 0.2 N/m (0.027 %) and agree",
                "x_p = 88.1 ± 0.7 mm",
            ]
            .as_slice(),
        ),
        // 5/7 × 9.81 m/s² × 5.90/120.0 = 0.34452 m/s². York's line through the seven points as scipy's ODR has it: slope
        // 0.17212(102) m/s², intercept 0.0016(36) m.
        (
            GOOD[3],
            [
                "b = 0.1721 ± 0.0010 m/s²",
                "d₀ = 0.2 ± 0.4 cm",
                "0.344 ± 0.002 m/s² against 0.3445 ± 0.0019 m/s²",
                "t_p = 2.285 ± 0.004 s",
                "χ² per degree of freedom 0.108",
            ]
            .as_slice(),
        ),
    ] {
        let rendered = with_plain_blanks(&rendered(path, &page(path)));
        for text in shown {
            assert!(rendered.contains(text), "{path}: {text} is not in\n{rendered}");
        }
    }
}

/// What is not an item passes through byte for byte, and there is nothing left to expand afterwards.
#[test]
fn rendering_again_changes_nothing() {
    for path in GOOD {
        let once = rendered(path, &page(path));
        assert_eq!(rendered(path, &once), once, "{path}");
    }
    let once = markdown(&page("samples/hurried/report.md"));
    assert_eq!(markdown(&once), once);
}

/// A broken item stays where it is, as its author wrote it.
#[test]
fn the_hurried_report_is_rendered_all_the_same() {
    let rendered = markdown(&page("samples/hurried/report.md"));
    assert!(rendered.contains("`~{U \"edge all round\" = 2 * (L + A) in cm}`"), "{rendered}");
    assert!(rendered.contains("# Density of beeswax"));
}
