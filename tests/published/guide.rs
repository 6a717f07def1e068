//! Whole evaluations of JCGM 100:2008, from the readings to the expanded uncertainty: `data/gum-h1.yaml`,
//! `data/gum-h2.yaml`, the example of G.4.1 (`data/gum-g.yaml`), and H.3.

use meniscus::course::{Combine, Course, CourseKind, Coverage};
use meniscus::evaluate::Quantity;
use meniscus::evaluate::coverage::whole;
use meniscus::evaluate::expanded::Expanded;
use meniscus::parse;
use meniscus::report::Report;
use serde_yaml::Value;

use crate::{cases, list, read, text};

fn standard(coverage: Option<Coverage>) -> Course {
    let kinds = ["repeated", "random", "systematic"].map(|word| (word.to_owned(), CourseKind::default()));
    Course { combine: Combine::Standard, coverage, kinds: kinds.into(), ..Course::default() }
}

fn find<'r>(report: &'r Report<'_>, symbol: &str) -> &'r Quantity {
    report.sheet.find(&parse::symbol(symbol).unwrap()).unwrap().1
}

/// One unit of the last digit of a figure.
fn last_digit(figure: &str) -> f64 {
    let (mantissa, power) = figure.split_once('e').unwrap_or((figure, "0"));
    let places = mantissa.split_once('.').map_or(0, |(_, places)| places.len());
    let exponent = power.parse::<i32>().unwrap() - i32::try_from(places).unwrap();
    format!("1e{exponent}").parse().unwrap()
}

/// To half a unit of its last digit.
fn assert_agrees(ours: f64, figure: &str, what: &str) {
    let off = (ours - figure.parse::<f64>().unwrap()).abs();
    assert!(off <= 0.51 * last_digit(figure), "{what}: {ours}, not {figure}");
}

/// A published figure where the source rounded only at the end, else what was recomputed.
fn assert_case(ours: f64, case: &Value, what: &str) {
    assert_agrees(ours, &text(&case["recomputed"]), what);
    let published = text(&case["published"]);
    let agrees = (ours - published.parse::<f64>().unwrap()).abs() <= 0.51 * last_digit(&published);
    assert_eq!(agrees, case["agrees_to_half_a_last_digit"].as_bool().unwrap(), "{what}: {ours}, {published}");
}

/// Standard uncertainty in the quantity's unit, effective degrees of freedom, expanded uncertainty in that unit.
fn worth(report: &Report<'_>, quantity: &Quantity) -> (f64, f64, Option<Expanded>) {
    let (measure, factor) = (quantity.measure.unwrap(), quantity.unit.factor());
    let expanded = report.sheet.expanded(&measure);
    let expanded = expanded.map(|e| Expanded { uncertainty: e.uncertainty / factor, ..e });
    (measure.uncertainty / factor, report.sheet.dof(&measure), expanded)
}

/// In the small terms the gauge has its nominal length, as in the figures that were recomputed.
///
/// H.1: u = 32 nm, ν = 16.7 cut to 16, t₉₉ = 2.92, U₉₉ = 92.5 nm (printed 93, which is 2.92 × 32).
const END_GAUGE: &str = "\
~{l_S = 50.000623 mm; instrument 0.075 µm k 3 dof 18 \"certificate\"}
~{d = 215 nm; repeated 5.813777 nm dof 24 \"five of pooled 13 nm\"; random 0.01 µm level 95 % dof 5 \"comparator\"; systematic 0.02 µm k 3 dof 8 \"comparator\"}
~{alpha_S = 11.5e-6 1/K; instrument 2e-6 1/K rectangular \"handbook\"}
~{theta = -0.1 K; random 0.2 K normal \"bed\"; systematic 0.5 K arcsine \"cycle\"}
~{delta_alpha = 0.0 1/K; instrument 1e-6 1/K rectangular dof 50 \"both of steel\"}
~{delta_theta = 0.00 K; instrument 0.05 K rectangular dof 2 \"side by side\"}
~{l = l_S + d - 50[mm] * (delta_alpha * theta + alpha_S * delta_theta) in nm}
";

#[test]
fn end_gauge() {
    let file = cases("gum-h1.yaml");
    let expect = &file["expect"];
    let report = read(END_GAUGE, standard(Some(Coverage::Level(0.99))));
    let quantity = find(&report, "l");
    let (u, dof, expanded) = worth(&report, quantity);
    let expanded = expanded.unwrap();
    assert_case(quantity.unit.from_si(quantity.measure.unwrap().value) / 1e6, &expect["l"], "l");
    assert_case(u, &expect["combined_standard_uncertainty"], "u");
    assert_case(u * u, &expect["combined_variance"], "u²");
    assert_case(dof, &expect["effective_dof"], "ν");
    assert_case(whole(dof), &expect["effective_dof_truncated"], "ν, cut");
    assert_case(expanded.factor, &expect["coverage_factor"], "k");
    assert_case(expanded.uncertainty, &expect["expanded_uncertainty"], "U");
    assert_eq!(expanded.level, Some(0.99));
    let difference = worth(&report, find(&report, "d"));
    let given = list(&file["given"]).iter().find(|given| given["symbol"] == "d").unwrap();
    assert_case(difference.0, &given["standard_uncertainty"], "u(d)");
    assert_case(difference.1, &given["dof"], "ν(d)");
    let node = quantity.measure.unwrap().node;
    let contributions = report.sheet.propagation.contributions(node, 1_000).unwrap();
    for symbol in ["l_S", "d", "delta_alpha", "delta_theta", "alpha_S", "theta"] {
        let owner = find(&report, symbol).symbol.as_str();
        let of = contributions.iter().filter(|part| report.sheet.cause_of(part).unwrap().of.words() == owner);
        let together = of.fold(0.0, |sum: f64, part| sum.hypot(part.contribution)) / 1e-9;
        assert_case(together, &expect[&*format!("contribution_{symbol}")], symbol);
    }
    // With a factor of 2 there is no level.
    let twice = read(END_GAUGE, standard(Some(Coverage::Factor(2.0))));
    let (u, _, expanded) = worth(&twice, find(&twice, "l"));
    assert_eq!(expanded.unwrap(), Expanded { level: None, factor: 2.0, uncertainty: expanded.unwrap().uncertainty });
    assert!((expanded.unwrap().uncertainty / u - 2.0).abs() < 1e-12);
}

/// G.4.1: Y = bX₁X₂X₃ with relative standard uncertainties of 0.25, 0.57 and 0.82 % from 10, 5 and 15 readings. Carried
/// unrounded, ν is 18.9987, which is cut to 18, not the printed 19; U is 2.2 % either way.
#[test]
fn a_product_of_three_means() {
    let file = cases("gum-g.yaml");
    let case = &file["welch_satterthwaite"][0];
    let given = list(&case["given"]["relative_standard_uncertainties_percent"]).iter().zip(list(&case["given"]["dof"]));
    let readings = (1..)
        .zip(given)
        .map(|(n, (u, dof))| format!("~{{X_{n} = 10.00 m; repeated {} % dof {} \"readings\"}}\n", text(u), text(dof)));
    let source = readings.collect::<String>() + "~{Y = 3 * X_1 * X_2 * X_3}\n";
    let report = read(&source, standard(Some(Coverage::Level(0.95))));
    let quantity = find(&report, "Y");
    let (u, dof, expanded) = worth(&report, quantity);
    let value = quantity.measure.unwrap().value;
    assert_case(100.0 * u / value, &case["expect"]["relative_combined_percent"], "u/Y");
    assert_case(dof, &case["expect"]["effective_dof"], "ν");
    let expanded = expanded.unwrap();
    // t₉₅(18) = 2.10 in table G.2.
    assert_agrees(expanded.factor, "2.10", "k");
    assert_agrees(
        100.0 * expanded.uncertainty / value,
        &text(&case["expect"]["relative_expanded_percent"]["published"]),
        "U/Y",
    );
}

/// H.2: means of columns of one table are correlated as their rows are, and so are the results.
#[test]
fn resistance_and_reactance() {
    let file = cases("gum-h2.yaml");
    let row = |row: &Value| format!("| {} | {} | {} |\n", text(&row["V"]), text(&row["I"]), text(&row["phi"]));
    let rows: String = list(&file["rows"]).iter().map(row).collect();
    let source = format!(
        "| ~{{V [V]; repeat}} | ~{{I [mA]; repeat}} | ~{{phi [rad]; repeat}} |\n|--|--|--|\n{rows}\n\
         ~{{V_m = mean(V)}} ~{{I_m = mean(I) in A}} ~{{phi_m = mean(phi) in rad}}\n\
         ~{{R = V_m / I_m * cos(phi_m) in ohm}} ~{{X = V_m / I_m * sin(phi_m) in ohm}} ~{{Z = V_m / I_m in ohm}}\n"
    );
    let report = read(&source, standard(None));
    assert!(report.sheet.faults.is_empty(), "{:?}", report.sheet.faults);
    for part in ["means", "results"] {
        for (symbol, case) in file[part].as_mapping().unwrap() {
            let symbol = symbol.as_str().unwrap();
            let quantity = find(&report, symbol);
            assert_agrees(quantity.unit.from_si(quantity.measure.unwrap().value), &text(&case["value"]), symbol);
            let (u, dof, expanded) = worth(&report, quantity);
            assert_agrees(u, &text(case.get("recomputed").unwrap_or(&case["uncertainty"])), symbol);
            // Five sets of readings, observed together.
            assert!((dof - 4.0).abs() < 1e-9 && expanded.is_none(), "{symbol}: {dof}");
        }
    }
    for case in list(&file["correlations"]) {
        let pair: Vec<_> = list(&case["of"])
            .iter()
            .map(|symbol| find(&report, symbol.as_str().unwrap()).measure.unwrap().node)
            .collect();
        let matrix = report.sheet.propagation.correlations(&pair, 10_000).unwrap();
        assert_agrees(matrix[0][1], &text(&case["r"]), &format!("{case:?}"));
    }
}

/// H.2.4, the second approach: the results row by row, and their means. It gives the same figures.
#[test]
fn resistance_and_reactance_row_by_row() {
    let file = cases("gum-h2.yaml");
    let row = |row: &Value| format!("| {} | {} | {} | | | |\n", text(&row["V"]), text(&row["I"]), text(&row["phi"]));
    let rows: String = list(&file["rows"]).iter().map(row).collect();
    let source = format!(
        "| ~{{V [V]; repeat}} | ~{{I [mA]; repeat}} | ~{{phi [rad]; repeat}} | ~{{r [ohm] = V / I * cos(phi)}} | \
         ~{{x [ohm] = V / I * sin(phi)}} | ~{{z [ohm] = V / I}} |\n|--|--|--|--|--|--|\n{rows}\n\
         ~{{R = mean(r) in ohm}} ~{{X = mean(x) in ohm}} ~{{Z = mean(z) in ohm}}\n"
    );
    let report = read(&source, standard(None));
    assert!(report.sheet.faults.is_empty(), "{:?}", report.sheet.faults);
    for (symbol, case) in file["results"].as_mapping().unwrap() {
        let symbol = symbol.as_str().unwrap();
        let quantity = find(&report, symbol);
        assert_agrees(quantity.unit.from_si(quantity.measure.unwrap().value), &text(&case["value"]), symbol);
        let (u, dof, _) = worth(&report, quantity);
        assert_agrees(u, &text(&case["uncertainty"]), symbol);
        assert!((dof - 4.0).abs() < 1e-9, "{symbol}: {dof}");
    }
    let nodes = ["R", "X", "Z"].map(|symbol| find(&report, symbol).measure.unwrap().node);
    let matrix = report.sheet.propagation.correlations(&nodes, 10_000).unwrap();
    for (at, r) in [((0, 1), "-0.588"), ((0, 2), "-0.485"), ((1, 2), "0.993")] {
        assert_agrees(matrix[at.0][at.1], r, &format!("{at:?}"));
    }
}

/// H.2 again, its means as readings whose correlations are stated: the same results, as H.2.3 has them.
#[test]
fn resistance_and_reactance_from_stated_correlations() {
    let file = cases("gum-h2.yaml");
    let source = "~{V = 4.9990 V; repeated 0.00320936 V dof 4 \"five\"} ~{I = 0.0196610 A; repeated 9.471008e-6 A dof 4 \"five\"} \
                  ~{phi = 1.04446 rad; repeated 7.520638e-4 rad dof 4 \"five\"}\n\
                  ~{R = V / I * cos(phi) in ohm} ~{X = V / I * sin(phi) in ohm} ~{Z = V / I in ohm}\n";
    let mut course = standard(None);
    course.correlations = ["V I -0.355311", "V phi 0.857624", "I phi -0.645111"]
        .map(|tied| format!("correlated {tied} \"read together\""))
        .to_vec();
    let report = read(source, course);
    assert!(report.sheet.ties.untied.is_empty(), "{:?}", report.sheet.ties);
    for (symbol, case) in file["results"].as_mapping().unwrap() {
        let quantity = find(&report, symbol.as_str().unwrap());
        let (u, dof, _) = worth(&report, quantity);
        assert_agrees(u, &text(case.get("recomputed").unwrap_or(&case["uncertainty"])), "u");
        assert!((dof - 4.0).abs() < 1e-9, "{dof}");
    }
}

/// H.3, table H.6 (readings and results from memory): the correction of a thermometer at 30 °C, −0.1494(41) °C, with
/// 9 degrees of freedom (H.3.4); t₉₅(9) is 2.26 in table G.2.
#[test]
fn a_thermometer_by_a_line() {
    let rows: String = [
        ("21.521", "-0.171"),
        ("22.012", "-0.169"),
        ("22.512", "-0.166"),
        ("23.003", "-0.159"),
        ("23.507", "-0.164"),
        ("23.999", "-0.165"),
        ("24.513", "-0.156"),
        ("25.002", "-0.157"),
        ("25.503", "-0.159"),
        ("26.010", "-0.161"),
        ("26.511", "-0.160"),
    ]
    .iter()
    .map(|(t, b)| format!("| {t} | {b} |\n"))
    .collect();
    let source = format!(
        "| ~{{t [K]; exact \"set\"}} | ~{{b [K]; exact \"read\"}} |\n|--|--|\n{rows}\n\
         ~{{c = intercept(b against t) + slope(b against t) * 30[K]}} ~{{s = slope(b against t)}}\n"
    );
    let report = read(&source, standard(Some(Coverage::Level(0.95))));
    let quantity = find(&report, "c");
    assert_agrees(quantity.measure.unwrap().value, "-0.1494", "b(30 °C)");
    let (u, dof, expanded) = worth(&report, quantity);
    assert_agrees(u, "0.0041", "u");
    assert!((dof - 9.0).abs() < 1e-9, "{dof}");
    assert_agrees(expanded.unwrap().factor, "2.26", "k");
    assert!((expanded.unwrap().uncertainty / u / expanded.unwrap().factor - 1.0).abs() < 1e-12);
    let (slope, dof, _) = worth(&report, find(&report, "s"));
    assert_agrees(slope, "0.00067", "u(y₂)");
    assert!((dof - 9.0).abs() < 1e-9, "{dof}");
}
