//! What is right, and what it means.

use super::*;
use meniscus::parse::ast::{Against, Attached, Derived, GraphOption, Head, Limit, Mention, Reading, Style, Total};
use meniscus::quantity::Shape;

fn reading(inner: &str) -> Reading {
    match sound(inner) {
        Item::Reading(reading) => reading,
        other => panic!("{inner}: {other:?}"),
    }
}

fn result(inner: &str) -> Derived {
    match sound(inner) {
        Item::Result(derived) => derived,
        other => panic!("{inner}: {other:?}"),
    }
}

fn spelled(unit: Option<&Spanned<Spelling>>) -> String {
    unit.map_or("-".into(), |unit| unit.value.to_string())
}

/// Value, unit, uncertainty, in one line.
fn estimate_of(reading: &Reading) -> String {
    let values: Vec<_> = reading.values.iter().map(|value| number(&value.value)).collect();
    let total =
        reading.total.as_ref().map_or(String::new(), |total| format!(" ± {}", steps_of_amount(&total.value.amount)));
    format!("{} {}{total}", values.join(", "), spelled(reading.unit.as_ref()))
}

/// The name of an item's form.
fn form(setting: Setting, inner: &str) -> &'static str {
    let parsed = read_in(setting, inner);
    assert_eq!(parsed.faults, [], "{inner}");
    match parsed.item {
        Some(Item::Reading(reading)) if reading.values.len() > 1 => "repeated reading",
        Some(Item::Reading(_)) => "reading",
        Some(Item::Result(_)) => "result",
        Some(Item::Mention(_)) => "mention",
        Some(Item::Comparison(_)) => "comparison",
        Some(Item::Column(column)) if column.formula.is_some() => "result column",
        Some(Item::Column(_)) => "column",
        Some(Item::Graph(_)) => "graph",
        Some(Item::Budget(_)) => "budget",
        Some(Item::Rationale) => "rationale",
        Some(Item::Summary) => "summary",
        None => "nothing",
    }
}

#[test]
fn the_examples_of_the_items() {
    for (inner, wanted) in [
        (r#"d "rod diameter" = 12.42 mm; reading 1/4 of 0.5 mm "both jaws seated""#, "reading"),
        ("t = 1.32, 1.28, 1.35, 1.30 s; with stopwatch", "repeated reading"),
        (r#"v "speed" = d / t in cm/s"#, "result"),
        ("v", "mention"),
        ("v in km/h", "mention"),
        ("v as relative", "mention"),
        (r#"g against 9.81 m/s^2 "survey value""#, "comparison"),
        ("g against g_0", "comparison"),
        (r#"graph F against x; line; title "Load against extension""#, "graph"),
        ("budget of g", "budget"),
        ("rationale", "rationale"),
        (" summary ", "summary"),
        ("x = 2 * 3", "result"),
        ("n = 17", "reading"),
        ("in_1 = 5 A", "reading"),
        ("k = 3 N/m; k 2 mm", "reading"),
    ] {
        assert_eq!(form(Setting::Text, inner), wanted, "{inner}");
    }
}

#[test]
fn the_examples_of_a_heading_cell() {
    for (inner, wanted) in [
        (r#"x "extension" [cm]; with rule"#, "column"),
        (r#"F "load" [N]; ± 0.05 N"#, "column"),
        (r#"k "stiffness" [N/m] = F / x"#, "result column"),
        ("k = F / x", "result column"),
        ("k = F / x in N/m", "result column"),
        ("n [1]", "column"),
        (r#"n "turns""#, "column"),
        ("x; with rule", "column"),
        ("x", "mention"),
        ("x in cm as short", "mention"),
        ("p = 101.3 kPa", "reading"),
        ("k [N/m] = 5", "result column"),
        ("x [cm]; repeat; reading 1 mm", "column"),
    ] {
        assert_eq!(form(HEADING_CELL, inner), wanted, "{inner}");
    }
}

#[test]
fn every_form_of_the_same_estimate() {
    for (typed, wanted) in [
        ("14.30 cm ± 0.15 cm", "14.30 cm ± 0.15 [cm]"),
        ("(14.30 ± 0.15) cm", "14.30 cm ± 0.15"),
        ("(14.30 cm ± 0.15 cm)", "14.30 cm ± 0.15 [cm]"),
        ("14.30 ± 0.15 cm", "14.30 cm ± 0.15"),
        ("14.30 +- 0.15 cm", "14.30 cm ± 0.15"),
        ("14.30 +/- 0.15 cm", "14.30 cm ± 0.15"),
        ("14.30+/−0.15 cm", "14.30 cm ± 0.15"),
        ("14.30(15) cm", "14.30 cm ± 0.15"),
        ("14.30(0.15) cm", "14.30 cm ± 0.15"),
    ] {
        assert_eq!(estimate_of(&reading(&format!("x = {typed}"))), wanted, "{typed}");
        let alone = estimate(typed).unwrap();
        assert_eq!(alone.value.value.decimal.to_string(), "14.30");
        assert!(alone.total.is_some());
    }
}

#[test]
fn other_estimates() {
    for (typed, wanted) in [
        // JCGM 100:2008, 7.2.2.
        ("100.02147(35) g", "100.02147 g ± 0.00035"),
        ("100.02147(0.00035) g", "100.02147 g ± 0.00035"),
        ("14.30 cm ± 1.2 %", "14.30 cm ± 1.2 [%]"),
        ("(5 J/(kg*K) ± 1 J/(kg*K))", "5 J/(kg*K) ± 1 [J/(kg*K)]"),
        ("14.30(15) cm k 2 \"a\"", "14.30 cm ± 0.15"),
        ("14.30 ± 1.2 %", "14.30 % ± 1.2"),
        ("1.602e-19 C", "1602e-22^-19 C"),
        ("1.602×10^-19 C", "1602e-22^-19 C"),
        ("1.602*10^−19 C", "1602e-22^-19 C"),
        ("1.602 · 10⁻¹⁹ C", "1602e-22^-19 C"),
        ("(9.11 ± 0.02) × 10^-31 kg", "911e-33^-31 kg ± 2e-33^-31"),
        ("9.11(2)e-31 kg", "911e-33^-31 kg ± 2e-33^-31"),
        ("(5 ± 1 %)×10^3 m", "5e3^3 m ± 1 [%]"),
        ("(5.0 ± 1/4) × 10^3 m", "50e2^3 m ± 1 4 / 1e3^3 ×"),
        ("-5 °C", "-5 °C"),
        ("− 5.0 °C", "-5.0 °C"),
        ("+5 °C", "5 °C"),
        ("5°", "5 °"),
        ("30′ ± 1′", "30 ′ ± 1 [′]"),
        ("50 1/s", "50 1/s"),
        ("17", "17 -"),
        ("17 ± 2", "17 - ± 2"),
        (".5 %", "0.5 %"),
        ("12.40", "12.40 -"),
        ("3 cm ± 0", "3 cm ± 0"),
        ("14.3 ± 1/4 of 1 cm", "14.3 cm ± 1 4 / 1 of"),
        ("20.1 V ± (0.5 % + 2 digits)", "20.1 V ± 0.5 [%] 2 [digits] +"),
        ("1.32, 1.28 s", "1.32, 1.28 s"),
        ("-1, − 2,\n3", "-1, -2, 3 -"),
        ("5\u{a0}cm\u{2009}±\u{202f}1\u{a0}cm", "5 cm ± 1 [cm]"),
        ("3 inch", "3 inch"),
        ("1 kg * m / s^2", "1 kg*m/s^2"),
        ("5 mmH2O", "5 mmH2O"),
        ("2 gal_US", "2 gal_US"),
    ] {
        assert_eq!(estimate_of(&reading(&format!("x = {typed}"))), wanted, "{typed}");
    }
}

#[test]
fn an_estimate_carries_its_form_its_shape_and_its_reason() {
    let Reading { total, remark, .. } = reading(r#"x = 14.30 ± 0.15 cm k 2 dof 9 "both ends""#);
    let Total { attached, shape, reason, .. } = total.unwrap().value;
    assert_eq!(attached, Attached::Sign(Span::new(12, 14)));
    assert_eq!(shape.unwrap().value, Limit { shape: Shape::Expanded(2.0), dof: Some(9.0) });
    assert_eq!((&*reason.unwrap().value, remark), ("both ends", None));
    let attached = |inner| reading(inner).total.unwrap().value.attached;
    assert_eq!(attached("x = 14.30(15) cm"), Attached::LastDigits);
    assert_eq!(attached("x = 14.30(0.15) cm"), Attached::InBrackets);
    assert_eq!(&*reading(r#"x = 5 cm "by eye""#).remark.unwrap().value, "by eye");
}

#[test]
fn names_and_symbols() {
    for (typed, wanted) in [
        ("L_0", "L_0"),
        ("t_fall", "t_fall"),
        ("ΔT", "ΔT"),
        ("theta", "θ"),
        ("theta_0", "θ_0"),
        ("Omega", "Ω"),
        ("Ω", "Ω"),
        ("\u{2126}", "Ω"),
        ("\u{b5}_k", "μ_k"),
        ("mu_k", "μ_k"),
        ("thetas", "thetas"),
        ("v'", "v′"),
        ("v’", "v′"),
        ("v′", "v′"),
        ("v''", "v′′"),
        ("v″", "v′′"),
        ("v'_0", "v′_0"),
        ("v_0'", "v′_0"),
        ("a1b", "a1b"),
        ("pi_0", "π_0"),
        ("sin_1", "sin_1"),
        ("reading", "reading"),
        ("line", "line"),
    ] {
        let Item::Mention(Mention { symbol, .. }) = sound(typed) else { panic!("{typed}") };
        assert_eq!(symbol.value.as_str(), wanted, "{typed}");
        assert_eq!(symbol.span, Span::new(2, 2 + typed.len()));
    }
}

#[test]
fn prose_is_literal_and_its_line_breaks_are_blanks() {
    let name = |setting, inner: &str| match read_in(setting, inner).item {
        Some(Item::Reading(Reading { head: Head { name, .. }, .. })) => name.unwrap().value,
        other => panic!("{other:?}"),
    };
    let cases = [
        (Setting::Text, r#"x "a;b} \" = 5"#, r"a;b} \"),
        (Setting::Text, "x “a \"b\"  c” = 5", "a \"b\"  c"),
        (Setting::Text, "x „a“ = 5", "a"),
        (Setting::Text, "x \"a  \n   b\" = 5", "a b"),
        (Setting::Text, "x \"a\r\nb\" = 5", "a b"),
        (Setting::Text, r#"x "a \| b" = 5"#, r"a \| b"),
        (Setting::Cell, r#"x "a \| b" = 5"#, "a | b"),
        (HEADING_CELL, r#"x "a \| b" = 5"#, "a | b"),
    ];
    for (setting, inner, wanted) in cases {
        assert_eq!(&*name(setting, inner), wanted, "{inner}");
    }
}

#[test]
fn amounts_in_the_order_of_a_stack() {
    for (typed, wanted) in [
        ("0.5 mm", "0.5 [mm]"),
        ("1/4 mm", "1 4 / [mm]"),
        ("2 × 1/4 mm", "2 1 4 / [mm] ×"),
        ("1/2 of 2 mm", "1 2 / 2 [mm] of"),
        ("1/4 of 0.5 mm", "1 4 / 0.5 [mm] of"),
        ("(5 + 1) mm", "5 1 + [mm]"),
        ("5 mm + 1 mm", "5 [mm] 1 [mm] +"),
        ("5 mm - 1 mm − 2 mm", "5 [mm] 1 [mm] - 2 [mm] -"),
        ("1 mm / 2", "1 [mm] 2 /"),
        ("1 mm * 2", "1 [mm] 2 ×"),
        ("1 mm / (2 + 2)", "1 [mm] 2 2 + /"),
        ("1/4 mm / 2", "1 4 / [mm] 2 /"),
        ("1 V / 2 A", "1 [V] 2 [A] /"),
        ("1/2/4 mm", "1 2 / 4 / [mm]"),
        ("0", "0"),
        ("0.5 %", "0.5 [%]"),
        ("0.5 % of 20 V", "0.5 [%] 20 [V] of"),
        ("0.5 % + 2 digits", "0.5 [%] 2 [digits] +"),
        ("1 digit", "1 [digit]"),
        ("0.5 % + 0.02 V", "0.5 [%] 0.02 [V] +"),
        ("0.5 % of range", "0.5 [%] range of"),
        ("1e-3 m", "1e-3^-3 [m]"),
        ("2 × 10^-3 m", "2e-3^-3 [m]"),
        ("2 × 10 mm", "2 10 [mm] ×"),
        ("0.1 m/s^2", "0.1 [m/s^2]"),
        ("-1 mm", "-1 [mm]"),
        ("2 1/s", "2 [1/s]"),
    ] {
        assert_eq!(amount(typed).map(|amount| steps_of_amount(&amount)), Ok(wanted.to_owned()), "{typed}");
        let clauses = clauses_of(&format!("reading {typed}"));
        let [Clause::Source { amount: Some(amount), .. }] = clauses.as_slice() else { panic!("{typed}: {clauses:?}") };
        assert_eq!(steps_of_amount(&amount.value), wanted, "{typed}");
    }
    assert_eq!(amount("1/4").map(|amount| steps_of_amount(&amount)), Ok("1 4 /".to_owned()));
}

#[test]
fn a_unit_ends_at_a_shape_and_a_shape_may_carry_degrees_of_freedom() {
    use Shape::{Arcsine, Expanded, Level, Normal, Rectangular, Trapezoidal, Triangular};
    for (typed, shape, dof) in [
        ("normal", Normal, None),
        ("rectangular", Rectangular, None),
        ("triangular", Triangular, None),
        ("arcsine", Arcsine, None),
        ("trapezoidal 0.5", Trapezoidal(0.5), None),
        ("k 2", Expanded(2.0), None),
        ("level 95 %", Level(0.95), None),
        ("level 95.45%", Level(0.9545), None),
        ("dof 18", Normal, Some(18.0)),
        ("rectangular dof 18", Rectangular, Some(18.0)),
        ("k 2 dof 9.5", Expanded(2.0), Some(9.5)),
    ] {
        for clause in [format!("instrument 0.1 mm {typed} \"sheet\""), format!("± 0.1 mm {typed} \"sheet\"")] {
            let limit = match clauses_of(&clause).as_slice() {
                [Clause::Source { limit, reason: Some(reason), .. }] if &*reason.value == "sheet" => limit.clone(),
                [Clause::Total(Total { shape, reason: Some(_), .. })] => shape.clone(),
                other => panic!("{clause}: {other:?}"),
            };
            assert_eq!(limit.map(|limit| limit.value), Some(Limit { shape, dof }), "{clause}");
        }
    }
}

#[test]
fn clauses_of_every_kind() {
    let one = |inner: &str| clauses_of(inner).into_iter().next();
    assert!(matches!(one("with meter-2"), Some(Clause::With(name)) if name.value == "meter-2"));
    assert!(matches!(one("exact"), Some(Clause::Exact(None))));
    assert!(matches!(one(r#"exact "defined""#), Some(Clause::Exact(Some(why))) if &*why.value == "defined"));
    assert!(matches!(one("counting"), Some(Clause::Source { amount: None, .. })));
    assert!(matches!(one("parallax"), Some(Clause::Source { amount: None, .. })));
    assert!(matches!(one("reading ± 0.5 mm"), Some(Clause::Source { amount: Some(_), .. })));
    assert!(matches!(one("zero-point 0.5 mm"), Some(Clause::Source { kind, .. }) if kind.value == "zero-point"));
    let Reading { clauses, .. } = reading(r#"t = 6.40, 6.31 s; without 6.40 "knocked"; repeat "by hand""#);
    assert!(matches!(&clauses[0].value, Clause::Without { value, .. } if value.value.decimal.to_string() == "6.40"));
    assert!(matches!(&clauses[1].value, Clause::Source { amount: None, reason: Some(_), .. }));
    let Derived { clauses, .. } = result("v = d / t; stated 1.24 ± 0.04 m/s");
    assert!(matches!(&clauses[0].value, Clause::Stated(estimate) if estimate.total.is_some()));
}

#[test]
fn formulas_in_the_order_of_a_stack() {
    for (typed, wanted) in [
        ("a + b - c", "a b Add‹+› c Subtract‹-›"),
        ("a - b * c", "a b c Multiply‹*› Subtract‹-›"),
        ("a / b × c · d", "a b Divide‹/› c Multiply‹×› d Multiply‹·›"),
        ("(a + b) * c", "a b Add‹+› c Multiply‹*›"),
        ("-x^2", "x 2 Power‹^› neg‹-›"),
        ("(-x)^2", "x neg‹-› 2 Power‹^›"),
        ("2^-3", "2 3 neg‹-› Power‹^›"),
        ("a^b^c", "a b c Power‹^› Power‹^›"),
        ("a^-b^c", "a b c Power‹^› neg‹-› Power‹^›"),
        ("a^b * c", "a b Power‹^› c Multiply‹*›"),
        ("v²", "v 2‹²› Power‹²›"),
        ("v⁻¹", "v -1‹⁻¹› Power‹⁻¹›"),
        ("(a)²^b", "a 2‹²› Power‹²› b Power‹^›"),
        ("a * −b", "a b neg‹−› Multiply‹*›"),
        ("--a", "a"),
        ("---a", "a neg‹---›"),
        ("+a", "a"),
        ("a + - b", "a b neg‹-› Add‹+›"),
        ("9.81[m/s^2] * t", "9.81[m/s^2] t Multiply‹*›"),
        ("9.81 [m/s^2] * t", "9.81[m/s^2]‹9.81 [m/s^2]› t Multiply‹*›"),
        ("1.6×10^-19[C] * U", "16e-20^-19[C]‹1.6×10^-19[C]› U Multiply‹*›"),
        ("a / 2*10^3", "a 2 Divide‹/› 10 3 Power‹^› Multiply‹*›"),
        ("T - -5[°C]", "T -5[°C] Subtract‹-›"),
        ("-5[m]^2", "5[m] 2 Power‹^› neg‹-›"),
        ("pi * r^2", "π‹pi› r 2 Power‹^› Multiply‹*›"),
        ("π * 2", "π 2 Multiply‹*›"),
        ("theta_0 * 2", "θ_0‹theta_0› 2 Multiply‹*›"),
        ("sqrt(2 * h / g)", "2 h Multiply‹*› g Divide‹/› sqrt(1)‹sqrt(2 * h / g)›"),
        ("sin (x)", "x sin(1)‹sin (x)›"),
        ("atan2(y, x)", "y x atan2(2)‹atan2(y, x)›"),
        ("mean(a,b,c)", "a b c mean(3)‹mean(a,b,c)›"),
        ("row(x, 3)", "x 3 row(2)‹row(x, 3)›"),
        ("slope(y against x)", "y x slope(2)‹slope(y against x)›"),
        ("slope(y against x through 0)", "y x SlopeThroughOrigin(2)‹slope(y against x through 0)›"),
        (
            "slope( y against 2*xthrough through 0 )",
            "y 2 xthrough Multiply‹*› SlopeThroughOrigin(2)‹slope( y against 2*xthrough through 0 )›",
        ),
        ("2 * intercept(ln(y) against x)", "2 y ln(1)‹ln(y)› x intercept(2)‹intercept(ln(y) against x)› Multiply‹*›"),
        ("ln(F / 1[N])", "F 1[N] Divide‹/› ln(1)‹ln(F / 1[N])›"),
    ] {
        assert_eq!(formula_of(typed), wanted, "{typed}");
    }
}

#[test]
fn every_function_takes_what_the_notation_says() {
    for function in ast::Function::ALL {
        let arguments = match function.word() {
            "slope" | "intercept" => "(y against x)",
            "atan2" | "row" => "(x, 3)",
            _ => "(x)",
        };
        assert!(formula_of(&format!("{}{arguments}", function.word())).contains(function.word()));
    }
}

#[test]
fn unit_and_style_follow_a_formula() {
    let Derived { unit, style, .. } = result("v = d / t in cm/s as full");
    assert_eq!((spelled(unit.as_ref()).as_str(), style.map(|style| style.value)), ("cm/s", Some(Style::Full)));
    for (style, word) in Style::ALL {
        let Item::Mention(mention) = sound(&format!("v as {word}")) else { panic!("{word}") };
        assert_eq!(mention.style.map(|style| style.value), Some(style));
    }
}

#[test]
fn units_alone() {
    for (typed, wanted) in [
        ("kg*m/s^2", "kg*m/s^2"),
        ("kg·m×s", "kg*m*s"),
        ("J/(kg*K)", "J/(kg*K)"),
        ("J/( kg · K )", "J/(kg*K)"),
        ("1/s", "1/s"),
        ("1", "1"),
        ("min^-1", "min^-1"),
        ("m²", "m^2"),
        ("s⁻¹", "s^-1"),
        ("%", "%"),
        ("°C", "°C"),
        ("°", "°"),
        ("kW*h", "kW*h"),
        ("  N  ", "N"),
    ] {
        assert_eq!(unit(typed).map(|unit| unit.to_string()), Ok(wanted.to_owned()), "{typed}");
    }
}

#[test]
fn graphs_and_comparisons() {
    let Item::Graph(graph) = sound(r#"graph F against x; line through 0; extreme; residuals; log x; log y; title "T""#)
    else {
        panic!("no graph")
    };
    assert_eq!((graph.y.value.as_str(), graph.x.value.as_str()), ("F", "x"));
    let options: Vec<_> = graph.options.into_iter().map(|option| option.value).collect();
    assert!(matches!(
        options.as_slice(),
        [
            GraphOption::Line { through_origin: true },
            GraphOption::Extreme,
            GraphOption::Residuals,
            GraphOption::LogX,
            GraphOption::LogY,
            GraphOption::Title(_),
        ]
    ));
    let Item::Comparison(comparison) = sound(r#"g against 9.81 ± 0.02 m/s^2 k 2 "survey""#) else { panic!("none") };
    let Against::Estimate { estimate, reason } = comparison.right else { panic!("no estimate") };
    assert_eq!(reason.map(|reason| reason.value).as_deref(), Some("survey"));
    assert!(estimate.value.total.unwrap().value.shape.is_some());
}

#[test]
fn a_correlation_is_two_symbols_a_coefficient_and_a_reason() {
    let read = |text: &str| {
        let read = correlation(text).ok()?;
        let [a, b] = read.symbols.map(|symbol| symbol.value.to_string());
        Some((a, b, read.coefficient.value.decimal.to_f64(), read.reason.map(|reason| reason.value.to_string())))
    };
    let whole = |a: &str, b: &str, r, reason: Option<&str>| Some((a.into(), b.into(), r, reason.map(str::to_owned)));
    assert_eq!(read(r#"correlated a b 0.8 "same scale""#), whole("a", "b", 0.8, Some("same scale")));
    assert_eq!(read("correlated V_1  phi −0.36"), whole("V_1", "φ", -0.36, None));
    assert_eq!(read("correlated a b 1.5 „Skala“"), whole("a", "b", 1.5, Some("Skala")));
    for wrong in ["", "a b 0.8", "correlated a 0.8", "correlated a b", "correlated a b 0.8 same", "correlated a sin 1"]
    {
        assert_eq!(read(wrong), None, "{wrong}");
    }
}
