//! Means, scatters, straight lines and Student's t against published figures: NIST's reference data
//! (`data/strd/`), Anscombe's four sets (`data/anscombe.yaml`), the tables of JCGM 100:2008, annex G
//! (`data/gum-g.yaml`).

use meniscus::evaluate::coverage::{coverage_factor, effective_dof};
use meniscus::evaluate::fit::influence::influence;
use meniscus::evaluate::fit::straightness::{curvature, runs};
use meniscus::evaluate::fit::{Line, Method, Options, Point, line};
use meniscus::evaluate::statistics::{mean, standard_deviation, standard_error};
use serde_yaml::Value;

use crate::{cases, text};

const SCATTER: Options = Options { method: Method::Scatter, through_origin: false };

fn number(value: &Value) -> f64 {
    text(value).parse().unwrap()
}

fn list(value: &Value) -> &[Value] {
    value.as_sequence().unwrap()
}

/// How many digits agree: −log₁₀ of the relative difference, as NIST counts them; exact agreement is 16.
fn digits(ours: f64, certified: f64) -> f64 {
    match ours == certified {
        true => 16.0,
        false => -libm::log10(((ours - certified) / certified).abs()),
    }
}

fn assert_digits(ours: f64, certified: f64, least: f64, what: &str) {
    let reached = digits(ours, certified);
    assert!(reached >= least, "{what}: {ours} has {reached:.1} digits of {certified}, not {least}");
}

/// The numbers of a data file, a row a line; `#` begins a remark.
fn rows(name: &str) -> Vec<Vec<f64>> {
    let path = format!("{}/tests/published/data/strd/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let rows = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    rows.map(|line| line.split_whitespace().map(|word| word.parse().unwrap()).collect()).collect()
}

fn bare(x: f64, y: f64) -> Point {
    Point { x, y, sx: 0.0, sy: 0.0 }
}

/// NIST StRD, univariate. What is certified has 15 digits, and so have our figures, of all sets: NumAcc1 is
/// three whole numbers, which doubles hold exactly, and the decimals of NumAcc2 (1.1, 1.2, 1.3) are rounded
/// when they become doubles by 10⁻¹⁶, 10⁻¹⁵ of their deviations. Those of Mavro, near 2, are rounded by up to
/// 2·10⁻¹⁶, which is 5·10⁻¹³ of their deviation: of that, 13 digits are left.
#[test]
fn means_and_deviations_of_reference_data() {
    let certified = cases("strd/certified.yaml");
    let sets = list(&certified["univariate"]["sets"]);
    assert_eq!(sets.len(), 5);
    for set in sets {
        let name = text(&set["name"]);
        let values = rows(&text(&set["data"])).concat();
        assert_eq!(values.len().to_string(), text(&set["n"]), "{name}");
        assert_digits(mean(&values).unwrap(), number(&set["certified_mean"]["published"]), 14.8, &name);
        let least = if name == "Mavro" { 13.0 } else { 14.5 };
        assert_digits(standard_deviation(&values).unwrap(), number(&set["certified_sd"]["published"]), least, &name);
        let computed = number(&set["standard_error_of_the_mean_computed"]);
        assert_digits(standard_error(&values).unwrap(), computed, least, &name);
    }
}

/// NIST StRD, NumAcc3 and NumAcc4 (data and certified values from memory: 1001 values, mean 1000000.2 and
/// 10000000.2, standard deviation 0.1). Doubles hold 1000000.1 to 6·10⁻¹¹ and 10000000.1 to 10⁻⁹, which is
/// 6·10⁻¹⁰ and 10⁻⁸ of the deviations: nothing that begins with doubles can certify more than the digits
/// asserted here, and all of those are reached, so that none is lost by the sums.
#[test]
fn deviations_as_far_as_doubles_carry() {
    for (size, least) in [(1e6, 9.0), (1e7, 8.0)] {
        let offsets = std::iter::once(0.2).chain([0.1, 0.3].into_iter().cycle().take(1000));
        // Parsed as decimals, as a report's would be: a sum of doubles would be rounded twice.
        let values: Vec<f64> =
            offsets.map(|offset: f64| format!("{}{}", size, &format!("{offset}")[1..]).parse().unwrap()).collect();
        assert_eq!(values.len(), 1001);
        assert_digits(mean(&values).unwrap(), size + 0.2, 15.0, "mean");
        assert_digits(standard_deviation(&values).unwrap(), 0.1, least, "deviation");
        // Given those doubles, the deviation is right to the last digits: twice the distance of the outer two
        // is exact.
        let exact = (values[2] - values[1]) / 2.0;
        assert_digits(standard_deviation(&values).unwrap(), exact, 14.0, "deviation of the doubles");
    }
}

/// NIST StRD, linear: Norris with an intercept, NoInt1 and NoInt2 through the origin.
#[test]
fn lines_of_reference_data() {
    let certified = cases("strd/certified.yaml");
    let sets = list(&certified["linear"]["sets"]);
    assert_eq!(sets.len(), 3);
    for set in sets {
        let name = text(&set["name"]);
        let points: Vec<Point> = rows(&text(&set["data"])).iter().map(|row| bare(row[1], row[0])).collect();
        assert_eq!(points.len().to_string(), text(&set["n"]));
        let through_origin = name != "Norris";
        let fitted = line(&points, Options { through_origin, ..SCATTER }).unwrap();
        assert_eq!(fitted.dof.to_string(), text(&set["dof"]));
        let worth = fitted.uncertainty.unwrap();
        let published = |key: &str| number(&set[key]["published"]);
        assert_digits(fitted.slope, published("slope"), 14.3, &name);
        assert_digits(worth.slope, published("sd_slope"), 13.5, &name);
        assert_digits(fitted.residual_sd.unwrap(), published("residual_sd"), 13.5, &name);
        assert_digits(fitted.r_squared.unwrap(), published("r_squared"), 14.5, &name);
        if through_origin {
            assert_eq!((fitted.intercept, worth.intercept, worth.correlation), (0.0, 0.0, 0.0));
            with_an_intercept(&points, &set["with_an_intercept_computed"]);
        } else {
            assert_digits(fitted.intercept, published("intercept"), 12.5, &name);
            assert_digits(worth.intercept, published("sd_intercept"), 13.5, &name);
            let correlation = number(&set["correlation_of_slope_and_intercept_computed"]);
            assert_digits(worth.correlation, correlation, 14.5, &name);
        }
    }
}

fn with_an_intercept(points: &[Point], computed: &Value) {
    let free = line(points, SCATTER).unwrap();
    assert_digits(free.slope, number(&computed["slope"]), 14.5, "slope");
    assert_digits(free.intercept, number(&computed["intercept"]), 13.5, "intercept");
    let ours = free.uncertainty.map(|worth| worth.slope);
    match number(&computed["u_slope"]) {
        // All points lie on the line: there is no scatter that could tell its worth.
        0.0 => assert_eq!((ours, free.residual_sd), (None, Some(0.0))),
        computed => assert_digits(ours.unwrap(), computed, 14.0, "u"),
    }
}

fn anscombe() -> Vec<(String, Vec<Point>, Line, Value)> {
    let file = cases("anscombe.yaml");
    let sets = list(&file["sets"]).iter().map(|set| {
        let point = |point: &Value| bare(number(&point["x"]), number(&point["y"]));
        let points: Vec<Point> = list(&set["points"]).iter().map(point).collect();
        let fitted = line(&points, SCATTER).unwrap();
        (text(&set["id"]), points, fitted, set.clone())
    });
    sets.collect()
}

/// F. J. Anscombe, The American Statistician 27 (1973) 17–21: one line, four sets.
#[test]
fn one_line_of_four_sets() {
    let sets = anscombe();
    assert_eq!(sets.len(), 4);
    for (id, points, fitted, set) in sets {
        let worth = fitted.uncertainty.unwrap();
        let figures = [
            (fitted.slope, &set["slope"]["recomputed"]),
            (fitted.intercept, &set["intercept"]["recomputed"]),
            (worth.slope, &set["u_slope"]["recomputed"]),
            (worth.intercept, &set["u_intercept_computed"]),
            (fitted.residual_sd.unwrap(), &set["residual_sd_computed"]),
            (fitted.r_squared.unwrap(), &set["r_squared"]["recomputed"]),
            (fitted.at(number(&set["mean_x"])), &set["mean_y"]),
        ];
        for (ours, theirs) in figures {
            assert_digits(ours, number(theirs), 9.0, &id);
        }
        let parts = influence(&points, &fitted);
        for (part, point) in parts.iter().zip(list(&set["points"])) {
            assert!((part.residual - number(&point["residual"])).abs() <= 0.6e-5, "{id}");
            assert!((part.leverage - number(&point["leverage"])).abs() <= 0.6e-5, "{id}");
            let near = |ours: Option<f64>, key: &str| match text(&point[key]).parse::<f64>() {
                Ok(theirs) => assert!((ours.unwrap() - theirs).abs() <= 0.6e-4, "{id}: {ours:?}, {theirs}"),
                Err(_) => assert_eq!((ours, text(&point[key]).as_str()), (None, "undefined")),
            };
            near(part.standardized, "standardized_residual");
            near(part.left_out, "left_out_residual");
        }
    }
}

/// What the four sets are known for: I is a scatter about a line, II a parabola, III a line with one point
/// off it, IV one point that alone holds the line.
#[test]
fn four_sets_told_apart() {
    let sets = anscombe();
    let hard = |set: usize| {
        let (_, points, fitted, _) = &sets[set];
        let parts = influence(points, fitted);
        let rows: Vec<f64> = points.iter().zip(&parts).filter(|(_, p)| p.pulls_hard()).map(|(p, _)| p.x).collect();
        rows
    };
    assert_eq!([hard(0), hard(1), hard(2), hard(3)], [vec![], vec![], vec![13.0], vec![19.0]]);
    let bent = |set: usize| curvature(&sets[set].1, &sets[set].2).map(|bend| bend.p);
    assert!(bent(0).unwrap() > 0.05, "{:?}", bent(0));
    assert!(bent(1).unwrap() < 1e-10, "{:?}", bent(1));
    assert_eq!(bent(3), None, "two different x cannot show a bend");
    // Of II, five points above the line in the middle: − + −.
    let found = runs(&sets[1].1, &sets[1].2).unwrap();
    assert_eq!(found.runs, 3);
    assert!(found.p < 0.05, "{found:?}");
    assert!(runs(&sets[0].1, &sets[0].2).unwrap().p > 0.05);
}

/// JCGM 100:2008, tables G.1 and G.2: every cell, to half a unit of what was recomputed.
#[test]
fn coverage_factors_of_the_guide() {
    let file = cases("gum-g.yaml");
    let mut cells = 0;
    for row in list(&file["table_G2"]["rows"]) {
        let dof = text(&row["dof"]).parse().unwrap_or(f64::INFINITY);
        for percent in ["68.27", "90", "95", "95.45", "99", "99.73"] {
            let cell = &row[format!("p_{percent}").as_str()];
            let ours = coverage_factor(percent.parse().unwrap(), dof).unwrap();
            assert!((ours - number(&cell["recomputed"])).abs() <= 0.51e-5, "{dof}, {percent}: {ours}");
            let published = text(&cell["published"]);
            let places = published.split_once('.').map_or(0, |(_, places)| places.len());
            let agrees = format!("{ours:.places$}") == published;
            assert_eq!(agrees, cell["agrees_to_half_a_last_digit"].as_bool().unwrap(), "{dof}, {percent}: {ours}");
            cells += 1;
        }
    }
    assert_eq!(cells.to_string(), text(&file["table_G2"]["cells"]));
    for case in list(&file["table_G1"]["cases"]) {
        let ours = coverage_factor(number(&case["p_percent"]), f64::INFINITY).unwrap();
        assert!((ours - number(&case["k"]["recomputed"])).abs() <= 0.51e-6, "{ours}");
    }
}

/// JCGM 100:2008, G.4.1: unrounded the degrees of freedom are 18.9987, printed 19.0.
#[test]
fn effective_degrees_of_freedom_of_the_guide() {
    let file = cases("gum-g.yaml");
    let given = &file["welch_satterthwaite"][0]["given"];
    let shares = list(&given["relative_standard_uncertainties_percent"]).iter().map(number);
    let contributions: Vec<(f64, f64)> = shares.zip(list(&given["dof"]).iter().map(number)).collect();
    let ours = effective_dof(&contributions);
    let expected = number(&file["welch_satterthwaite"][0]["expect"]["effective_dof"]["recomputed"]);
    assert!((ours - expected).abs() <= 0.51e-5, "{ours}");
    assert_eq!(effective_dof(&[(1.0, f64::INFINITY), (2.0, f64::INFINITY)]), f64::INFINITY);
    assert_eq!(effective_dof(&[(0.0, 3.0)]), f64::INFINITY);
}
