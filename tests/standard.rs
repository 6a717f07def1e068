//! Standard uncertainties with degrees of freedom, correlations and coverage, from the report to what is shown: laws,
//! and small reports worked out by hand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use meniscus::course::{Combine, Course, Coverage};
use meniscus::evaluate::sheet::View;
use meniscus::parse::ast::Symbol;
use meniscus::report::{self, Report};
use proptest::prelude::*;
use support::{markdown, meniscus, with_plain_blanks};

fn course(coverage: Option<Coverage>, correlations: &[String]) -> Course {
    Course { combine: Combine::Standard, coverage, correlations: correlations.to_vec(), ..Course::default() }
}

/// Standard uncertainty in SI and effective degrees of freedom.
fn worth(report: &Report<'_>, symbol: &str) -> (f64, f64) {
    let measure = report.sheet.find(&Symbol::new(symbol)).unwrap().1.measure.unwrap();
    (measure.uncertainty, report.sheet.dof(&measure))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

/// Readings `a`, `b`, ... each with its amount and its degrees of freedom.
fn readings(amounts: &[(u32, u32)]) -> String {
    let one = |(letter, (amount, dof)): (char, &(u32, u32))| {
        let dof = if *dof == 0 { String::new() } else { format!(" dof {dof}") };
        format!("~{{{letter} = 10.00 m; instrument 0.{amount:02} m normal{dof} \"sheet\"}}\n")
    };
    ('a'..='z').zip(amounts).map(one).collect()
}

fn amounts() -> impl Strategy<Value = Vec<(u32, u32)>> {
    prop::collection::vec((1..100u32, 0..30u32), 3..7)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Means are linear: that of what is worked out of rows that repeat, and the same worked out of their means.
    #[test]
    fn the_mean_of_a_column_of_differences_is_the_difference_of_the_means(
        rows in prop::collection::vec((100..200u32, 100..200u32), 3..9)
    ) {
        let cells: String = rows.iter().map(|(x, y)| format!("| {}.{:02} | {}.{:02} | | |\n", x / 100, x % 100, y / 100, y % 100)).collect();
        let source = format!(
            "| ~{{x [m]; repeat; instrument 0.03 m normal dof 7 \"sheet\"}} | ~{{y [m]; repeat}} | ~{{z [m] = 2 * x - y}} | ~{{w [m] = z + x}} |\n\
             |--|--|--|--|\n{cells}\n~{{a = 2 * mean(x) - mean(y)}} ~{{b = mean(z)}} ~{{c = 3 * mean(x) - mean(y)}} ~{{d = mean(w)}} ~{{e = mean(w) - c}}\n"
        );
        let report = report::read(&source, &course(None, &[]));
        for pair in [["a", "b"], ["c", "d"]] {
            let [(one, dof), (other, same)] = pair.map(|symbol| worth(&report, symbol));
            prop_assert!((one - other).abs() <= 1e-9 * one && (dof - same).abs() <= 1e-6 * dof, "{one} {other} {dof} {same}");
        }
        prop_assert!(worth(&report, "e").0 <= 1e-6 * worth(&report, "d").0, "{:?}", worth(&report, "e"));
    }

    /// A correlation of 0 changes nothing, to the last bit.
    #[test]
    fn correlations_of_nothing_change_nothing(amounts in amounts()) {
        let source = readings(&amounts) + "~{y = a * b / c} ~{z = y + a - 3 * b}\n";
        let list = ["correlated a b 0 \"x\"", "correlated b c 0.0 \"x\"", "correlated a c -0 \"x\""].map(str::to_owned);
        let (free, tied) = (report::read(&source, &course(None, &[])), report::read(&source, &course(None, &list)));
        for symbol in ["a", "y", "z"] {
            prop_assert_eq!(worth(&free, symbol), worth(&tied, symbol));
        }
    }

    /// With a coefficient of 1 errors add up, with −1 they cancel; between, u² lies between.
    #[test]
    fn whole_correlations_add_and_cancel(amounts in amounts(), r in -99..100i32) {
        let source = readings(&amounts) + "~{S = a + b} ~{D = a - b}\n";
        let by = |r: f64| {
            let list = [format!("correlated a b {r} \"x\"")];
            let report = report::read(&source, &course(None, &list));
            [worth(&report, "S").0, worth(&report, "D").0]
        };
        let [a, b] = [f64::from(amounts[0].0) / 100.0, f64::from(amounts[1].0) / 100.0];
        let ([together, apart], [against, along]) = (by(1.0), by(-1.0));
        prop_assert!(near(together, a + b) && near(along, a + b), "{together} {along}");
        prop_assert!((apart - (a - b).abs()).abs() < 1e-9 && (against - (a - b).abs()).abs() < 1e-9, "{apart} {against}");
        prop_assert!(a != b || (apart, against) == (0.0, 0.0));
        let r = f64::from(r) / 100.0;
        let [sum, difference] = by(r);
        prop_assert!((sum * sum - (a * a + b * b + 2.0 * r * a * b)).abs() < 1e-12);
        prop_assert!((difference * difference - (a * a + b * b - 2.0 * r * a * b)).abs() < 1e-12);
    }

    /// JCGM 100:2008, G.4.1: the effective degrees of freedom are no more than those of the contributions together, and
    /// no fewer than the least of them.
    #[test]
    fn effective_degrees_of_freedom_are_within_those_of_the_sources(
        amounts in prop::collection::vec((1..100u32, 1..30u32), 2..7),
        r in -9..10i32,
    ) {
        let names: Vec<String> = ('a'..='z').take(amounts.len()).map(String::from).collect();
        let source = readings(&amounts) + &format!("~{{y = {}}}\n", names.join(" + "));
        let list = [format!("correlated a b {} \"x\"", f64::from(r) / 10.0)];
        let whole: u32 = amounts.iter().map(|(_, dof)| dof).sum();
        let least = amounts.iter().map(|(_, dof)| *dof).min().unwrap();
        for list in [&[][..], &list] {
            let report = report::read(&source, &course(None, list));
            let (_, dof) = worth(&report, "y");
            prop_assert!(dof <= f64::from(whole) * (1.0 + 1e-12) && dof >= f64::from(least) * (1.0 - 1e-12), "{dof}");
        }
    }

    /// The matrix of a report holds what is stated, is symmetric, and stays within −1 to 1.
    #[test]
    fn the_matrix_holds_what_is_stated(amounts in amounts(), r in -100..101i32) {
        let source = readings(&amounts) + "~{y = a * b - c} ~{z = y / a}\n";
        let r = f64::from(r) / 100.0;
        let report = report::read(&source, &course(None, &[format!("correlated a b {r} \"x\"")]));
        let nodes: Vec<_> =
            report.sheet.quantities.iter().filter_map(|quantity| Some(quantity.measure?.node)).collect();
        let matrix = report.sheet.propagation.correlations(&nodes, 1_000_000).unwrap();
        prop_assert!((matrix[0][1] - r).abs() < 1e-12);
        for (row, values) in matrix.iter().enumerate() {
            for (column, &value) in values.iter().enumerate() {
                prop_assert!((-1.0..=1.0).contains(&value) && value == matrix[column][row]);
            }
        }
    }
}

/// The systematic part of 1 mm each is one error of both readings, the rest has 1/4 mm each: with s² of 1/3 and 1/48,
/// the readings are correlated by 16/17 as they are.
const ONE_RULE: &str = "---\nmeniscus:\n  combine: standard\n  instruments:\n    \
    rule: {division: 1 mm, read_to: 1/4, instrument: 1 mm, systematic: true}\nITEMS---\n\n\
    ~{p = 124 mm; with rule} ~{q = 134 mm; with rule} ~{d = q - p in mm} ~{s = q + p in mm}\n";

#[test]
fn what_is_stated_is_the_whole_correlation() {
    let by = |stated: &str| {
        let items = if stated.is_empty() { String::new() } else { format!("  correlations: [{stated}]\n") };
        let source = ONE_RULE.replace("ITEMS", &items);
        let report = report::read(&source, &Course::default());
        let nodes: Vec<_> =
            ["p", "q"].map(|symbol| report.sheet.find(&Symbol::new(symbol)).unwrap().1.measure.unwrap().node).into();
        let r = report.sheet.propagation.correlations(&nodes, 1_000).unwrap()[0][1];
        (report.sheet.ties.untied.len(), r, worth(&report, "p").0, worth(&report, "d").0)
    };
    let (untied, r, own, apart) = by("");
    assert!(untied == 0 && near(r, 16.0 / 17.0) && near(own, 1e-3 * (17.0f64 / 48.0).sqrt()), "{r} {own}");
    assert!(near(apart, 1e-3 * (2.0f64 / 48.0).sqrt()), "{apart}");
    let (untied, r, same, apart) = by("correlated p q 0.9 \"x\"");
    assert!(untied == 0 && near(r, 0.9) && near(same, own), "{r}");
    assert!(near(apart, own * 0.2f64.sqrt()), "{apart}");
    // 16/17 is as it is, 1 as far as it goes; the shared part alone makes 15/17.
    assert!(near(by("correlated p q 1 \"x\"").1, 1.0));
    let (untied, r, ..) = by("correlated p q 0.5 \"x\"");
    assert!(untied == 1 && near(r, 16.0 / 17.0), "{r}");
}

#[test]
fn results_show_the_expanded_uncertainty_and_readings_the_standard_one() {
    let source = "---\nmeniscus: {combine: standard, coverage: 95 %, digits: 2}\n---\n\n\
         ~{a = 10.00 m; instrument 0.20 m normal dof 5 \"sheet\"}, ~{b = 2 * a}, ~{b as uncertainty}, ~{b as relative},\n\
         ~{b as interval}, ~{c = 1.0, 1.2, 1.1 m}, ~{b against 21.0 m}.\n\n\
         | ~{x [m]; ± 0.1 m \"edge\"} | ~{y [m] = 2 * x} |\n|--|--|\n| 1.0 | |\n\n~{summary}\n";
    // t₉₅(5) = 2.57 in JCGM 100:2008, table G.2: U = 2.571 × 0.4 m = 1.03 m. Of the rows, 1.96 × 0.2 m.
    let shown = with_plain_blanks(&markdown(source));
    for expected in [
        "a = 10.00 ± 0.20 m, b = 20.0 ± 1.0 m, 1.0 m, 5.1 %,\n19.0 m to 21.0 m, c = 1.100 ± 0.058 m, ",
        "they differ by 1.0 ± 1.0 m (4.8 %) and agree",
        "| a: instrument, normal, degrees of freedom 5 | 0.400 m | 100.0 % |",
        "| effective degrees of freedom | 5 |",
        "| expanded uncertainty, level of confidence 95 %, k = 2.57 | 1.03 m |",
        "| 1.0 | 2.00 ± 0.39 |",
        "the rows show expanded uncertainties, level of confidence 95 %",
        "| b | | 20.0 ± 1.0 m | 5.1 % |",
    ] {
        assert!(shown.contains(expected), "no {expected:?} in\n{shown}");
    }
    // Without a coverage there is none of that.
    let plain = with_plain_blanks(&markdown(&source.replace(", coverage: 95 %", "")));
    assert!(plain.contains("b = 20.00 ± 0.40 m") && !plain.contains("expanded"), "{plain}");
}

/// |a − b| is 1: u(a − b) is 0.5, so that they agree with U = 1.96 u or 2 u, and not with u.
#[test]
fn agreement_is_judged_by_the_expanded_uncertainty_of_the_difference() {
    let source = "~{a = 10.0 m; ± 0.3 m \"x\"} ~{b = 10.9 m; ± 0.4 m \"x\"} ~{a against b}\n";
    let agree = |coverage| {
        let report = report::read(source, &course(coverage, &[]));
        report.sheet.views.values().any(|view| matches!(view, View::Comparison(compared) if compared.agree))
    };
    assert!(!agree(None) && agree(Some(Coverage::Level(0.95))) && agree(Some(Coverage::Factor(2.0))));
    assert!(!agree(Some(Coverage::Factor(1.5))));
}

/// A typed figure is held to the uncertainty that the report shows.
#[test]
fn a_stated_result_is_held_to_the_expanded_uncertainty() {
    let stated = |figure: &str| {
        let source = format!(
            "---\nmeniscus: {{combine: standard, coverage: k 2}}\n---\n\n\
             ~{{a = 10.0 m; ± 0.2 m \"edge\"}}, ~{{b = 2 * a; stated {figure}}}, ~{{b as relative}}\n"
        );
        let report = report::read(&source, &Course::default());
        report.findings.iter().map(|finding| finding.rule).collect::<Vec<_>>()
    };
    assert_eq!(stated("20.0 ± 0.8 m"), [""; 0]);
    assert_eq!(stated("20.0 ± 0.4 m"), ["stated"]);
}

/// What was set to different values does not repeat: its spread is no scatter.
#[test]
fn a_column_with_set_values_does_not_repeat() {
    let source = "| ~{n [m]; ± 0.1 m \"x\"} | ~{x [m]; repeat} | ~{z [m^2] = n * x} |\n|--|--|--|\n| 1.0 | 2.0 | |\n| 5.0 | 2.1 | |\n| 9.0 | 1.9 | |\n\n~{m = mean(z)}\n";
    let (u, _) = worth(&report::read(source, &course(None, &[])), "m");
    // (1/3) √Σ ((0.1 x)² + (0.1 n)²): the scatter of x is 0.1 m.
    let squares: f64 =
        [(1.0, 2.0), (5.0, 2.1), (9.0, 1.9)].map(|(n, x): (f64, f64)| 0.01 * (n * n + x * x)).iter().sum();
    assert!(near(u, libm::sqrt(squares) / 3.0), "{u}");
}

#[test]
fn values_tell_degrees_of_freedom_expanded_uncertainties_and_correlations() {
    let source = "---\nmeniscus:\n  combine: standard\n  coverage: 95 %\n  correlations: [correlated a b 0.5 \"same scale\"]\n---\n\n\
         ~{a = 10.00 m; instrument 0.20 m normal dof 5 \"sheet\"} ~{b = 20.00 m; ± 0.20 m \"edge\"} ~{c = a + b} ~{d = 2 * a}\n";
    let run = meniscus(&["values", "--correlations"], source.as_bytes());
    assert_eq!(run.status, 0, "{}", run.stderr);
    let json: serde_json::Value = serde_json::from_str(&run.stdout).unwrap();
    let report = &json["reports"][0];
    let [a, b, c, d] = [0, 1, 2, 3].map(|n| &report["quantities"][n]);
    assert_eq!((&a["dof"], &b["dof"]), (&serde_json::json!(5.0), &serde_json::Value::Null));
    assert!(a["expanded"].is_null() && b["expanded"].is_null());
    assert_eq!(d["expanded"]["level"], 0.95);
    assert!((d["expanded"]["factor"].as_f64().unwrap() - 2.570_582).abs() < 1e-6);
    assert!((d["expanded"]["uncertainty"].as_f64().unwrap() - 0.4 * 2.570_582).abs() < 1e-6);
    assert_eq!(d["sources"][0]["of"], "a");
    // √(0.04 + 0.04 + 2 × 0.5 × 0.04)
    let together = &c["sources"][0];
    assert_eq!((&together["of"], &together["reason"]), (&"a, b".into(), &"same scale".into()));
    assert!((together["contribution"].as_f64().unwrap() - 0.12f64.sqrt()).abs() < 1e-12);
    assert_eq!(together["dof"], 5.0);
    let correlations = &report["correlations"];
    assert_eq!(correlations["symbols"], serde_json::json!(["a", "b", "c", "d"]));
    let at = |row: usize, column: usize| correlations["matrix"][row][column].as_f64().unwrap();
    assert!(
        (at(0, 1) - 0.5).abs() < 1e-12 && (at(0, 3) - 1.0).abs() < 1e-12 && (at(2, 0) - 0.75f64.sqrt()).abs() < 1e-12
    );
    assert_eq!(at(2, 2), 1.0);

    let csv = meniscus(&["values", "--format", "csv"], source.as_bytes()).stdout;
    let last = csv.lines().last().unwrap();
    assert!(last.contains(",5.0,0.95,2.5705818356") && last.contains(",1.02823273425"), "{last}");
    let refused = meniscus(&["values", "--format", "csv", "--correlations"], source.as_bytes());
    assert!(refused.status == 2 && refused.stdout.is_empty(), "{}", refused.stderr);
    let without = meniscus(&["values"], source.as_bytes()).stdout;
    assert!(without.contains("\"correlations\":null"));
}

/// A share of 20 °C is one of 20 K: the two errors of an instrument are the same in size whether its readings share
/// them or not. By hand: 1 % of 20 °C and 0.1 °C are √(0.2² + 0.1²) °C, of 30 °C √(0.3² + 0.1²) °C, of the mean of both
/// √(0.25² + 0.1²) °C, and 0.1 K are left of the difference.
#[test]
fn a_share_of_a_temperature_counts_from_the_zero_of_its_scale() {
    let source = "---\nmeniscus:\n  combine: quadrature\n  instruments:\n    \
                  probe: {name: probe, display: 0.1 degC, instrument: 1 % + 0.1 degC, systematic: true}\n---\n\
                  ~{T = 20.0 degC; with probe} ~{S = 30.0 degC; with probe} ~{D = S - T in K}\n\n\
                  | ~{y \"by minutes\" [degC]; with probe} |\n|--|\n| 20.0 |\n| 30.0 |\n\n~{q = mean(y) in degC}\n";
    let report = report::read(source, &Course::default());
    for (symbol, by_hand) in [("T", 0.05), ("S", 0.10), ("q", 0.0725), ("D", 0.01)] {
        let u = worth(&report, symbol).0;
        assert!((u * u / by_hand - 1.0).abs() < 1e-9, "{symbol}: {u}");
    }
    let told = with_plain_blanks(&markdown(source));
    assert!(told.contains("1 % + 0.1 °C = 0.200 °C + 0.100 °C"), "{told}");
}
