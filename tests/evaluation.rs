//! Small reports, worked out whole: what amounts, instruments, results, columns and lines come to. Figures
//! that are not said to be published are worked out by hand.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use meniscus::course::{Agree, Combine, Course, Instrument};
use meniscus::evaluate::fault::{Doing, FaultKind, Undefined};
use meniscus::evaluate::sheet::{Compared, Origin, View};
use meniscus::evaluate::{Sheet, evaluate};
use meniscus::locate::locate;
use meniscus::parse::ast::Symbol;
use meniscus::parse::parse;

fn worked(source: &str, course: &Course) -> Sheet {
    let document = locate(source);
    let items: Vec<_> = document.places.iter().map(parse).collect();
    let broken: Vec<_> = items.iter().flat_map(|parsed| &parsed.faults).collect();
    assert!(broken.is_empty(), "{source}: {broken:?}");
    evaluate(&document, &items, course)
}

fn sheet(source: &str) -> Sheet {
    worked(source, &course(Combine::Sum))
}

/// A course with a rule, a stopwatch, a systematic balance and a multimeter.
fn course(combine: Combine) -> Course {
    let text = |s: &str| Some(s.to_owned());
    let kinds = |list: &[(&str, &str)]| list.iter().map(|&(k, a)| (k.to_owned(), a.to_owned())).collect();
    let rule = Instrument { division: text("1 mm"), read_to: text("1/4"), ends: Some(2), ..Instrument::default() };
    let stopwatch = Instrument {
        name: text("stopwatch"),
        display: text("0.01 s"),
        kinds: kinds(&[("instrument", "0.01 s"), ("reaction", "0.2 s")]),
        ..Instrument::default()
    };
    let balance = Instrument {
        display: text("0.1 g"),
        kinds: kinds(&[("instrument", "0.2 % + 0.2 g")]),
        systematic: true,
        ..Instrument::default()
    };
    let meter = Instrument {
        display: text("0.01 V"),
        range: text("0 V to 20 V"),
        kinds: kinds(&[("instrument", "0.5 % of range + 2 digits")]),
        ..Instrument::default()
    };
    let instruments = [("rule", rule), ("stopwatch", stopwatch), ("balance", balance), ("meter", meter)];
    let instruments = instruments.into_iter().map(|(word, i)| (word.to_owned(), i)).collect();
    Course { combine, instruments, ..Course::default() }
}

/// Value and uncertainty in the quantity's own unit, to nine figures: these are tests of meaning.
fn figures(sheet: &Sheet, symbol: &str) -> (String, String) {
    let (_, quantity) = sheet.find(&Symbol::new(symbol)).unwrap();
    let measure = quantity.measure.unwrap_or_else(|| panic!("{symbol} has no value: {:?}", sheet.faults));
    let digits = |x: f64| {
        meniscus::quantity::round::to_figures(
            meniscus::quantity::Decimal::of_f64(x).unwrap(),
            9,
            meniscus::quantity::Rounding::Nearest,
        )
        .trimmed()
        .to_string()
    };
    (digits(quantity.unit.from_si(measure.value)), digits(measure.uncertainty / quantity.unit.factor()))
}

fn is(sheet: &Sheet, symbol: &str, value: &str, uncertainty: &str) {
    assert_eq!(figures(sheet, symbol), (value.to_owned(), uncertainty.to_owned()), "{symbol}, {:?}", sheet.faults);
}

fn kinds(sheet: &Sheet) -> Vec<&FaultKind> {
    sheet.faults.iter().map(|fault| &fault.kind).collect()
}

#[test]
fn amounts_in_every_form() {
    let of = |clauses: &str| {
        let sheet = sheet(&format!("~{{x = 12.34 V; {clauses}}}"));
        assert!(sheet.faults.is_empty(), "{clauses}: {:?}", sheet.faults);
        figures(&sheet, "x").1
    };
    assert_eq!(of("reading 1/4 of 0.5 V"), "0.125");
    assert_eq!(of("reading 2 × 1/4 × 1 mV"), "0.0005");
    assert_eq!(of("reading (5 + 1) mV"), "0.006");
    assert_eq!(of("reading 5 mV + 1 mV"), "0.006");
    assert_eq!(of("reading 1 V / 2"), "0.5");
    assert_eq!(of("reading 0"), "0");
    assert_eq!(of("instrument 0.5 %"), "0.0617");
    assert_eq!(of("instrument 0.5 % + 2 digits"), "0.0817");
    assert_eq!(of("instrument 0.5 % + 0.02 V"), "0.0817");
    assert_eq!(of("instrument 0.5 % of 20 V"), "0.1");
    assert_eq!(of("instrument 1 digit"), "0.01");
    assert_eq!(of("with meter"), "0.12");
    assert_eq!(of("± 0.15 V"), "0.15");
    assert_eq!(of("± 0.15 V; reading 0.1 V; definition 0.1 V"), "0.2");
}

#[test]
fn estimates_in_every_form() {
    for form in [
        "14.30 cm ± 0.15 cm",
        "(14.30 ± 0.15) cm",
        "14.30 ± 0.15 cm",
        "14.30(15) cm",
        "14.30(0.15) cm",
        "14.30 cm ± 1.5 mm",
    ] {
        is(&sheet(&format!("~{{x = {form}}}")), "x", "14.3", "0.15");
    }
    is(
        &sheet("~{m = (9.11 ± 0.02) × 10^-31 kg}"),
        "m",
        "0.000000000000000000000000000000911",
        "0.000000000000000000000000000000002",
    );
    is(&sheet("~{V = 20.0 V ± 1.5 %}"), "V", "20", "0.3");
    is(&sheet("~{eta = 60.0 ± 1.5 %}"), "η", "60", "1.5");
}

#[test]
fn instruments_bring_their_sources_and_the_author_has_the_last_word() {
    is(&sheet("~{L = 14.3 cm; with rule}"), "L", "14.3", "0.05");
    is(&worked("~{L = 14.3 cm; with rule}", &course(Combine::Quadrature)), "L", "14.3", "0.0353553391");
    is(&sheet("~{t = 14.20 s; with stopwatch}"), "t", "14.2", "0.21");
    for order in ["with stopwatch; reaction 0.1 s", "reaction 0.1 s; with stopwatch"] {
        is(&sheet(&format!("~{{t = 14.20 s; {order}}}")), "t", "14.2", "0.11");
    }
}

#[test]
fn systematic_errors_cancel_and_add_up_as_in_the_laboratory() {
    let both = "~{a = 50.0 g; with balance}, ~{b = 20.0 g; with balance}, ~{d = a - b in g}, ~{s = a + b in g}";
    let sheet = sheet(both);
    is(&sheet, "a", "50", "0.3");
    is(&sheet, "d", "30", "0.06");
    is(&sheet, "s", "70", "0.54");
}

#[test]
fn repeated_readings() {
    let t = "~{t = 1.32, 1.28, 1.35, 1.30 s; reaction 0.02 s}";
    is(&sheet(t), "t", "1.3125", "0.0349303941");
    let without = "~{t = 1.32, 1.28, 6.40, 1.35, 1.30 s; reaction 0.02 s; without 6.40 \"knocked\"}";
    is(&sheet(without), "t", "1.3125", "0.0349303941");
    is(&sheet("~{t = 1.32, 1.32, 1.32 s; reaction 0.02 s}"), "t", "1.32", "0.02");
    let wrong = sheet("~{t = 1.32, 1.28 s; without 6.40 \"knocked\"}");
    assert!(matches!(kinds(&wrong)[..], [FaultKind::NothingLeftOut]));
}

#[test]
fn results_in_any_order_with_units() {
    let sheet =
        sheet("~{rho = m / V in g/cm^3}\n\n~{V = 2 * a^3}\n\n~{a = 2.00 cm; ± 0.01 cm}, ~{m = 16.0 g; ± 0.1 g}");
    is(&sheet, "V", "0.000016", "0.00000024");
    is(&sheet, "ρ", "1", "0.02125");
    let speed =
        worked("~{v = d / t in km/h}, ~{d = 100 m; ± 1 m}, ~{t = 10.0 s; ± 0.2 s}", &course(Combine::Quadrature));
    is(&speed, "v", "36", "0.804984472");
}

#[test]
fn celsius_points_and_differences() {
    let both = "~{a = 71.3 °C; ± 0.5 °C}, ~{b = 19.3 °C; ± 0.5 °C}";
    let sheet = sheet(&format!("{both}, ~{{ΔT = a - b}}, ~{{f = a - b in °C}}, ~{{c = a + f in °C}}, ~{{r = a / b}}"));
    is(&sheet, "ΔT", "52", "1");
    is(&sheet, "f", "52", "1");
    is(&sheet, "c", "123.3", "1.5");
    is(&sheet, "r", "1.17780817", "0.00372338549");
    assert!(matches!(kinds(&sheet)[..], [FaultKind::PointMultiplied, FaultKind::PointMultiplied]));
}

#[test]
fn cycles_are_paths_and_what_follows_is_silent() {
    let sheet = sheet("~{a = b + 1}, ~{b = c * 2}, ~{c = a}, ~{d = a + 1}, ~{e = e}");
    let cycles = kinds(&sheet).into_iter().filter_map(|kind| match kind {
        FaultKind::Cycle { path, .. } => Some(path.iter().map(Symbol::as_str).collect::<String>()),
        _ => None,
    });
    assert_eq!(cycles.collect::<Vec<_>>(), ["abc", "e"]);
    assert!(kinds(&sheet).iter().all(|kind| matches!(kind, FaultKind::Cycle { .. } | FaultKind::Follows { .. })));
}

#[test]
fn faults_stand_where_the_trouble_is() {
    let at = |source: &str| {
        let sheet = sheet(source);
        let found = sheet.faults.iter().filter(|fault| !matches!(fault.kind, FaultKind::Follows { .. }));
        found.map(|fault| (fault.span.of(source).to_owned(), fault.kind.clone())).collect::<Vec<_>>()
    };
    let one = |source: &str| {
        let mut found = at(source);
        assert_eq!(found.len(), 1, "{source}: {found:?}");
        found.remove(0)
    };
    let (place, kind) = one("~{rho = 1.0 kg; ± 0.1 kg} ~{y = roh * 2}");
    assert_eq!(place, "roh");
    assert!(matches!(kind, FaultKind::UnknownSymbol { .. }), "{kind:?}");
    let (place, kind) = one("~{a = 1.0 m; ± 0.1 m} ~{b = 1.0 s; ± 0.1 s} ~{c = a + b}");
    assert_eq!(place, "+");
    assert!(matches!(kind, FaultKind::UnitsDiffer { doing: Doing::Adding, .. }));
    assert_eq!(one("~{a = 1.0 m; ± 0.1 m} ~{c = a^2 in cm}").0, "cm");
    assert_eq!(one("~{a = 1.0 m; ± 0.1 m} ~{a in s}").0, "s");
    assert_eq!(one("~{a = 1.0 m; ± 0.1 m} ~{a against 3.0 s}").0, "3.0 s");
    assert_eq!(one("~{a = 1.0 mtres; ± 0.1}").0, "mtres");
    assert_eq!(one("~{a = 1.0 m; raeding 0.1 m}").0, "raeding");
    assert_eq!(one("~{a = 1.0 m; with rull}").0, "rull");
    assert_eq!(one("~{a = 1.0 m; ± 0.1 m} ~{a = 2.0 m; ± 0.1 m}").0, "a");
    assert_eq!(one("~{a = 1.0 m; reading 0.1 s}").0, "reading 0.1 s");
    let (place, kind) = one("~{x = -1.0; ± 0.1} ~{y = 2 * ln(x)}");
    assert_eq!(place, "ln(x)");
    assert!(matches!(kind, FaultKind::OutsideDomain { what: Undefined::Function("ln"), .. }));
    let (place, kind) = one("~{t = 2 h} ~{h = 1.2 m; ± 0.1 m}");
    assert_eq!(place, "h");
    assert!(matches!(kind, FaultKind::UnitOrSymbol { .. }));
}

#[test]
fn comparisons_keep_what_both_sides_share() {
    let compared = |source: &str| {
        let sheet = sheet(source);
        let view = sheet.views.values().find_map(|view| match view {
            View::Comparison(compared) => Some(compared.clone()),
            View::Mention { .. } | View::Graph(_) => None,
        });
        view.unwrap_or_else(|| panic!("{:?}", sheet.faults))
    };
    let Compared { difference, uncertainty, agree, reference, .. } =
        compared("~{g = 9.7 m/s^2; ± 0.2 m/s^2} ~{g against 9.81 ± 0.02 m/s^2}");
    assert!(
        (difference + 0.11).abs() < 1e-12
            && (uncertainty - 0.22).abs() < 1e-12
            && agree
            && (reference.1 - 0.02).abs() < 1e-12
    );
    let shared = compared("~{a = 1.0 m; ± 0.1 m} ~{b = a + 0.05[m]} ~{a against b}");
    assert!(shared.uncertainty == 0.0 && !shared.agree);
}

#[test]
fn columns_row_by_row_and_over_their_rows() {
    let table = "
| ~{x \"extension\" [cm]; with rule} | ~{F \"load\" [N]; ± 0.05 N} | ~{k \"stiffness\" [N/m] = F / x} |
|---:|---:|---:|
| 2.00 | 0.50 | |
| 4.00 | 1.00 | 25.1 |
| - | 1.50 | |
| 8.00 ± 0.10 | 2.00 | |

~{m = mean(k)}, ~{n = count(x)}, ~{last_x = last(x) in cm}, ~{r = row(F, 3)}, ~{s = sd(F)}
";
    let sheet = sheet(table);
    let (_, k) = sheet.find(&Symbol::new("k")).unwrap();
    let Origin::Column(column) = &k.origin else { panic!() };
    let rows: Vec<_> = column.rows.iter().map(|row| row.measure.map(|m| (m.value, m.uncertainty))).collect();
    let near = |row: Option<(f64, f64)>, value: f64, uncertainty: f64| {
        let (v, u) = row.unwrap();
        assert!((v - value).abs() < 1e-9 && (u - uncertainty).abs() < 1e-9, "{v} ± {u}");
    };
    near(rows[0], 25.0, 25.0 * (0.05 / 2.0 + 0.05 / 0.5));
    near(rows[1], 25.0, 25.0 * (0.05 / 4.0 + 0.05));
    assert!(rows[2].is_none());
    near(rows[3], 25.0, 25.0 * (0.1 / 8.0 + 0.05 / 2.0));
    assert_eq!(column.rows[1].typed.unwrap().decimal.to_string(), "25.1");
    is(&sheet, "n", "3", "0");
    is(&sheet, "last_x", "8", "0.1");
    is(&sheet, "r", "1.5", "0.05");
    assert_eq!(figures(&sheet, "m").0, "25");
    assert_eq!(figures(&sheet, "s").0, "0.645497224");
    assert!(matches!(kinds(&sheet)[..], [FaultKind::MissingReading]));
}

#[test]
fn a_column_with_repeat_has_the_scatter_of_its_mean() {
    let table =
        "| ~{t [s]; repeat; reaction 0.1 s} |\n|--|\n| 1.32 |\n| 1.28 |\n| 1.35 |\n| 1.30 |\n\n~{T = mean(t)}\n";
    is(&sheet(table), "T", "1.3125", "0.114930394");
    let without = table.replace("repeat; ", "");
    is(&sheet(&without), "T", "1.3125", "0.1");
}

#[test]
fn a_line_through_two_columns() {
    let table = |systematic: bool| {
        format!(
            "| ~{{x [m]{}}} | ~{{y [m]}} |\n|--|--|\n| 1.0 | 2.1 |\n| 2.0 | 3.9 |\n| 3.0 | 6.2 |\n| 4.0 | 7.8 |\n\n\
             ~{{b = slope(y against x)}} ~{{a = intercept(y against x)}} ~{{p = a + b * 2.5[m]}}\n",
            if systematic { "; ± 0.1 m" } else { "" }
        )
    };
    // By hand: Sxx = 5, Sxy = 9.7, ȳ = 5; residuals 0.01, -0.13, 0.23, -0.11, their squares 0.082.
    let sheet = sheet(&table(false));
    is(&sheet, "b", "1.94", "0.0905538514");
    is(&sheet, "a", "0.15", "0.247991935");
    // At the mean of x only the scatter of the mean is left: s/√n.
    is(&sheet, "p", "5", "0.101242284");
    // Independent errors of the rows are in the scatter already.
    is(&self::sheet(&table(true)), "b", "1.94", "0.0905538514");
}

#[test]
fn two_points_carry_their_own_errors_and_shared_ones_shift_the_intercept() {
    let two = "| ~{x [m]} | ~{y [m]; ± 0.1 m} |\n|--|--|\n| 1.0 | 2.0 |\n| 3.0 | 6.0 |\n\n~{b = slope(y against x)}\n";
    is(&sheet(two), "b", "2", "0.1");
    let shared = "| ~{x [m]} | ~{y [g]; with balance} |\n|--|--|\n| 1.0 | 25.0 |\n| 2.0 | 45.0 |\n| 3.0 | 65.0 |\n\n\
                  ~{b = slope(y against x) in g/m} ~{a = intercept(y against x) in g}\n";
    is(&sheet(shared), "b", "20", "0.04");
    is(&sheet(shared), "a", "5", "0.21");
}

/// CODATA 2022: the electron's mass and its relative uncertainty; c is exact.
#[test]
fn constants_of_the_course_are_known_by_their_symbols() {
    let course = Course { constants: vec!["c".into(), "m_e".into(), "mu_0".into()], ..course(Combine::Sum) };
    let sheet = worked("~{E = m_e * c^2 in keV} ~{k = 2 * mu_0}", &course);
    assert!(sheet.faults.is_empty(), "{:?}", sheet.faults);
    let (value, uncertainty) = figures(&sheet, "E");
    assert!(value.starts_with("510.99895") && uncertainty.starts_with("0.00000015"), "{value} ± {uncertainty}");
    let own = worked("~{c = 343 m/s; ± 1 m/s} ~{d = c * 2[s]}", &course);
    is(&own, "d", "686", "2");
}

#[test]
fn agreement_is_judged_as_the_course_says() {
    let source = "~{a = 10.0 m; ± 0.3 m} ~{b = 10.5 m; ± 0.3 m} ~{a against b}";
    let agree = |agree, combine| {
        let sheet = worked(source, &Course { agree, ..course(combine) });
        sheet.views.values().any(|view| matches!(view, View::Comparison(compared) if compared.agree))
    };
    // 0.5 against 0.6 added up, against 2 × 0.424, against 0.424 in quadrature.
    assert!(agree(Agree::Overlap, Combine::Sum));
    assert!(agree(Agree::TwoSigma, Combine::Sum));
    assert!(!agree(Agree::NormalizedError, Combine::Sum));
    assert!(!agree(Agree::Overlap, Combine::Standard));
}

/// What all rows of a column owe to one instrument has a name in whatever is made of them.
#[test]
fn the_shared_error_of_a_column_is_known_by_its_instrument() {
    let source = "| ~{m [g]; with balance} |\n|---|\n| 10.0 |\n| 20.0 |\n\n~{M = sum(m) in g}\n";
    let sheet = sheet(source);
    let (_, total) = sheet.find(&Symbol::new("M")).unwrap();
    let contributions = sheet.propagation.contributions(total.measure.unwrap().node, 100).unwrap();
    let causes: Vec<_> = contributions.iter().map(|part| sheet.cause(part.source).unwrap()).collect();
    assert!(causes.iter().all(|cause| cause.shared && cause.source.is_some()), "{causes:?}");
    // 0.2 g in each of two rows, and 0.2 % of 30 g.
    assert_eq!(figures(&sheet, "M").1, "0.46");
}
