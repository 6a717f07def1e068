//! What is wrong, where, and what it should be.

use super::*;
use FaultKind::*;
use meniscus::parse::UnitWriting::{FullStop, NoCaret, Per, Split};

fn expected(wanted: &[&'static str], found: &str) -> FaultKind {
    Expected { wanted: wanted.to_vec(), found: found.to_owned() }
}

/// Each line: an item, the kind of its one fault, the characters that it points at. What can mean only one thing
/// leaves the item whole.
fn check(lines: Vec<(&str, FaultKind, &str)>) {
    for (inner, kind, characters) in lines {
        let whole = kind.is_plain() || inner.contains(';');
        assert_eq!(faults(inner), [(kind, characters.to_owned())], "{inner}");
        assert_eq!(read(inner).item.is_some(), whole, "{inner}");
    }
}

#[test]
fn numbers() {
    let comma = |right: &str| DecimalComma { right: Some(right.into()) };
    let thousands = |right: &str| ThousandsSeparator { right: right.into() };
    check(vec![
        ("x = 131,5 cm", comma("131.5"), "131,5"),
        ("x = 0,500 m", comma("0.500"), "0,500"),
        ("x = 1,5e3 m", comma("1.5e3"), "1,5e3"),
        ("x = 14.3 ± 0,1 cm", comma("0.1"), "0,1"),
        ("x = 1,2,3", DecimalComma { right: None }, "1,2,3"),
        ("x = a * 2,5", comma("2.5"), "2,5"),
        ("x = 1,200 m", thousands("1200"), "1,200"),
        ("x = 1 200 m", thousands("1200"), "1 200"),
        ("x = 1\u{202f}234\u{202f}567.8 m", thousands("1234567.8"), "1\u{202f}234\u{202f}567.8"),
        ("x = 1'200 m", thousands("1200"), "1'200"),
        ("x = 12:04:31", ClockTime, "12:04:31"),
        ("x = 1/2 m", FractionAsEstimate, "1/2"),
        ("x = 1/2 m ± 1 cm", FractionAsEstimate, "1/2"),
        ("x = 2 h + 3 min", SumAsEstimate, "2 h + 3 min"),
        ("x = 2 h 3 min", SumAsEstimate, "2 h 3 min"),
        ("x = 12° 30′", SumAsEstimate, "12° 30′"),
        ("x = 5.0 +0.3/−0.1 cm", TwoSided, "+0.3/−0.1"),
        ("x = 5.0 cm +0.3/-0.1 cm", TwoSided, "+0.3/-0.1"),
        ("x = 5.0 (+0.3/−0.1) cm", TwoSided, "(+0.3/−0.1)"),
        ("x = 1e999 m", NumberTooLong, "1e999"),
        ("x = 1×10^-999 m", NumberTooLong, "1×10^-999"),
        ("x = 1(2)×10^-999 m", NumberTooLong, "×10^-999"),
        ("x = 1×10^-999[m] * a", NumberTooLong, "1×10^-999"),
        ("x = 123456789012345678901234567890123456789 m", NumberTooLong, "123456789012345678901234567890123456789"),
    ]);
}

#[test]
fn lists() {
    check(vec![
        ("t = 1.32 s, 1.28 s", UnitInList, "s"),
        ("t = 1.32 ± 0.01, 1.28 s", UncertaintyInList, "± 0.01"),
        ("t = 1.32, 1.28 s ± 0.01 s", UncertaintyInList, "± 0.01 s"),
        ("t = 1.32(1), 1.28 s", UncertaintyInList, "(1)"),
        ("t = 1.32,1.28 s", expected(&["a blank behind the comma of a list"], "1.28"), "1.28"),
        ("t = 1.32, s", expected(&["the next value of the list"], "s"), "s"),
        ("t = 1.32 1.28 s", expected(&["a comma and a blank before the next value", "an operator"], "1.28"), "1.28"),
    ]);
    assert_eq!(faults("t = 1 s, 2 s, 3 s").len(), 2);
    let commas = faults("t = 1,3, 1,4, 1,2 s");
    assert_eq!(commas.iter().map(|(_, at)| at.as_str()).collect::<Vec<_>>(), ["1,3", "1,4", "1,2"]);
}

#[test]
fn units() {
    let blank = |right: &str| BlankProduct { right: right.into() };
    let slashes = |right: &str| TwoSlashes { right: right.into() };
    let open = |right: &str| OpenDenominator { right: right.into() };
    let written = |how, right: &str| UnitWriting { how, right: right.into(), certain: true };
    check(vec![
        ("x = 5 N m", blank("N*m"), "N m"),
        ("x = 5 kg m/s", blank("kg*m/s"), "kg m/s"),
        ("x = 5 J/(kg K)", blank("J/(kg*K)"), "J/(kg K)"),
        ("x = 5 m/s/s", slashes("m/s^2"), "m/s/s"),
        ("x = 5 J/kg/K", slashes("J/(kg*K)"), "J/kg/K"),
        ("x = 5 J/kg*K", open("J/(kg*K)"), "J/kg*K"),
        ("x = a in J/kg*K", open("J/(kg*K)"), "J/kg*K"),
        ("x = 5[J/kg*K] * a", open("J/(kg*K)"), "J/kg*K"),
        ("x = 1 cm; reading 1 N m", blank("N*m"), "N m"),
        ("x = 3 in", InchAsKeyword, "in"),
        ("x = 3 in ± 1 inch", InchAsKeyword, "in"),
        ("x = 1 inch; reading 0.1 in", InchAsKeyword, "in"),
        ("x = 5 m2", written(NoCaret, "m^2"), "m2"),
        ("x = 5 kg m-3", blank("kg*m^-3"), "kg m-3"),
        ("x = 5 kgm-3", written(NoCaret, "kg*m^-3"), "kgm-3"),
        ("x = 5 J kg-1 K-1", blank("J*kg^-1*K^-1"), "J kg-1 K-1"),
        ("x = 5 ms-1", UnitWriting { how: NoCaret, right: "m/s".into(), certain: false }, "ms-1"),
        ("x = 5 cm.", written(FullStop, "cm"), "cm."),
        ("x = 5 N.m", written(FullStop, "N*m"), "N.m"),
        ("x = 5 c.c.", written(FullStop, "cm^3"), "c.c."),
        ("x = 5 m.p.h.", UnitWriting { how: FullStop, right: "m*p*h".into(), certain: false }, "m.p.h."),
        ("x = 5 k m", written(Split, "km"), "k m"),
        ("x = 5 deg C", written(Split, "°C"), "deg C"),
        ("x = 5 cubic cm", written(Split, "cm^3"), "cubic cm"),
        ("x = 5 kg per m^3", written(Per, "kg/m^3"), "kg per m^3"),
        ("x = 5 m^2.5", expected(&["a whole number as a power"], "2.5"), "2.5"),
        ("x = 5 m^", expected(&["a whole number as a power"], ""), ""),
        ("x = 5 J/(kg*K", LoneBracket, "("),
        ("x = a in", expected(&["a unit"], ""), ""),
        ("x = 14.30 cm ± 0.15", expected(&["the unit of the uncertainty"], ""), ""),
        ("x = 5 cm edge", expected(&["`;`", "`±`", "a reason in quotes"], "edge"), "edge"),
    ]);
    assert_eq!(unit("m/s/s").unwrap_err(), Fault { span: Span::new(0, 5), kind: slashes("m/s^2") });
    assert_eq!(unit("").unwrap_err().kind, expected(&["a unit"], ""));
    assert_eq!(amount("1 mm )").unwrap_err().span, Span::new(5, 6));
}

#[test]
fn symbols() {
    let reserved = |word: &str| ReservedWord { word: word.into() };
    check(vec![
        ("T₁ = 5 K", SubscriptCharacter { right: "T_1".into() }, "T₁"),
        ("y = T_a₁ * 2", SubscriptCharacter { right: "T_a1".into() }, "T_a₁"),
        ("x_1_2 = 5", expected(&["one subscript"], "_2"), "_2"),
        ("x_ = 5", expected(&["a subscript of letters or digits"], ""), ""),
        ("mean = 5", reserved("mean"), "mean"),
        ("pi", reserved("pi"), "pi"),
        ("π = 3", reserved("pi"), "π"),
        ("in = 3 cm", reserved("in"), "in"),
        ("graph = 3 cm", reserved("graph"), "graph"),
        ("y = summary * 2", reserved("summary"), "summary"),
        ("d / t", NoSymbol, "d / t"),
        ("5.2 cm", NoSymbol, "5.2 cm"),
        ("sqrt(x)", NoSymbol, "sqrt(x)"),
        ("pi * r^2", NoSymbol, "pi * r^2"),
        ("(a + b)", NoSymbol, "(a + b)"),
    ]);
    assert_eq!(read("T₁ = 5 K").defines.unwrap().value.as_str(), "T_1");
}

/// The brace of the subscript ends the item, so that the edit has to reach over it.
#[test]
fn a_braced_subscript_is_seen_although_it_ends_the_item() {
    let report = "~{x_{max} = 5 cm}";
    let end = report.find('}').unwrap() + 1;
    let parsed = parse(&Place { span: Span::new(0, end), ..place(&report[..end], End::Closed, Setting::Text) });
    let [Fault { span, kind: BracedSubscript { right } }] = parsed.faults.as_slice() else { panic!("{parsed:?}") };
    assert_eq!(span.of(report), "x_{max}");
    assert_eq!(report.replace(span.of(report), right), "~{x_max = 5 cm}");
    assert_eq!(parsed.defines.unwrap().value.as_str(), "x_max");
}

#[test]
fn formulas() {
    let bare = |right: &str| BareUnit { right: right.into() };
    let operand = ["a number", "a symbol", "a function", "`(`"];
    let after = ["an operator", "`in`", "`as`", "`;`"];
    let unknown = |word: &str, nearest| UnknownFunction { word: word.into(), nearest };
    let arguments = |function, takes, given| Arguments { function, takes, given };
    check(vec![
        ("x = 9.81 m/s^2 * t", bare("9.81[m/s^2]"), "9.81 m/s^2"),
        ("x = a * 5 cm", bare("5[cm]"), "5 cm"),
        ("x = 5 cm in mm", bare("5[cm]"), "5 cm"),
        ("x = U * 1.6×10^-19 C", bare("1.6×10^-19[C]"), "1.6×10^-19 C"),
        ("x = a b", SideBySide, "b"),
        ("x = 2 sin(t)", SideBySide, "sin"),
        ("x = 2 (b + c)", SideBySide, "("),
        ("x = (a)(b)", SideBySide, "("),
        ("x = a(b + c)", SideBySide, "("),
        ("x = 2 q1 + b", SideBySide, "q1"),
        ("x = (a + b", LoneBracket, "("),
        ("x = a + b)", LoneBracket, ")"),
        ("x = sqrt(a", LoneBracket, "("),
        ("x = 5[m", LoneBracket, "["),
        ("x = a +", expected(&operand, ""), ""),
        ("x = a * / b", expected(&operand, "/"), "/"),
        ("x = (a in cm)", expected(&["an operator", "`)`"], "in"), "in"),
        ("x = a +- 0.1", expected(&after, "+"), "+"),
        ("x = a ± 0.1", expected(&after, "±"), "±"),
        ("x = sine(y)", unknown("sine", Some("sin")), "sine"),
        ("x = log(y)", unknown("log", Some("log10")), "log"),
        ("x = foo(y)", unknown("foo", None), "foo"),
        ("x = sin y", expected(&["`(`"], "y"), "y"),
        ("x = atan2(y)", arguments("atan2", "two arguments", 1), "atan2(y)"),
        ("x = mean()", arguments("mean", "one argument or more", 0), "mean()"),
        ("x = sin(a, b)", arguments("sin", "one argument", 2), "sin(a, b)"),
        ("x = slope(y, x)", expected(&["`against`"], ","), ","),
        ("x = slope(y against x through 1)", expected(&["`0`"], "1"), "1"),
        ("x = intercept(y against x through 0)", InterceptOfOrigin, "through 0"),
    ]);
}

#[test]
fn heads_and_what_follows_them() {
    let styles = faults("v as shrt");
    assert!(matches!(&styles[0].0, Expected { wanted, .. } if wanted[0] == "`short`" && wanted.len() == 9));
    check(vec![
        ("", Empty, "~{}"),
        ("g againts 9.81", expected(&["`against`"], "againts"), "againts"),
        ("grahp F against x", expected(&["`graph`"], "grahp"), "grahp"),
        ("budgte of g", expected(&["`budget`"], "budgte"), "budgte"),
        ("graph F x", expected(&["`against`"], "x"), "x"),
        ("budget g", expected(&["`of`"], "g"), "g"),
        ("g against", expected(&["a symbol", "a number"], ""), ""),
        ("v as short in cm", expected(&["`in` before `as`"], "in"), "in"),
        ("v in km/h as relative", StyleTakesNoUnit, "in km/h"),
        ("v as relative 5", expected(&["`}`"], "5"), "5"),
        ("rationale now", expected(&["`}`"], "now"), "now"),
        (r#"x "a" [cm]"#, ColumnOutsideHeading, r#"x "a" [cm]"#),
        (r#"x "a"#, OpenQuote, "\""),
        (r#"x "a""#, expected(&["`=`"], ""), ""),
        ("x = 5 ± 1 cm \"a\" \"b\"", expected(&["`;`"], "\""), "\""),
        ("x against 5 ± 1 cm \"a\" \"b\"", expected(&["`}`"], "\""), "\""),
        ("= 5 cm", expected(&["a symbol"], "="), "="),
        ("x = {5", expected(&["a number", "a symbol", "a function", "`(`"], "{"), "{"),
    ]);
    let no_value = faults("x; reading 1 mm");
    assert_eq!(no_value.len(), 1);
    assert!(matches!(&no_value[0].0, Expected { wanted, .. } if wanted[0] == "`=`"));
}

#[test]
fn clauses() {
    let out = |clause: &str, belongs| ClauseOutOfPlace { clause: clause.into(), belongs };
    check(vec![
        ("x = 1 cm; reading", expected(&["an amount"], ""), ""),
        ("x = 1 cm; reading mm", expected(&["an amount"], "mm"), "mm"),
        ("x = 1 cm; ±", expected(&["an amount"], ""), ""),
        ("x = 1 cm; with", expected(&["the name of an instrument"], ""), ""),
        ("x = 1 cm; with rule and dial", expected(&["`;`"], "and"), "and"),
        ("x = 1 cm; reading 1 mm by eye", expected(&["`;`", "a reason in quotes", "a shape"], "by"), "by"),
        ("x = 1 cm; reading 1 mm k 0", expected(&["a coverage factor above 0"], "0"), "0"),
        ("x = 1 cm; reading 1 mm level 95", expected(&["`%`"], ""), ""),
        ("x = 1 cm; reading 1 mm level 100 %", expected(&["a level between 0 % and 100 %"], "100"), "100"),
        ("x = 1 cm; reading 1 mm trapezoidal", expected(&["a number from 0 to 1"], ""), ""),
        ("x = 1 cm; reading (1 mm", LoneBracket, "("),
        ("x = 1 cm; reading 1 mm)", LoneBracket, ")"),
        ("x = 1 cm; reading 1 mm \"eye", OpenQuote, "\""),
        ("x = 1 cm; counting 5", expected(&["`;`", "a reason in quotes"], "5"), "5"),
        ("x = 1 cm; 0.1 mm", expected(&["a kind of uncertainty", "`±`", "`with`", "`exact`"], "0.1"), "0.1"),
        ("x = 1 cm; stated 1 cm", out("stated", "a result"), "stated"),
        ("x = 1 cm; without 1", out("without", "a repeated reading"), "without"),
        ("x = 1 cm; repeat", out("repeat", "a repeated reading or a column"), "repeat"),
        ("x = 1, 2; counting", out("counting", "a reading of one count"), "counting"),
        ("x = a; reading 1 mm", out("reading", "a reading"), "reading"),
        ("x = a; ± 1 mm", out("±", "a reading"), "±"),
        (
            "x = 1 cm; correlated a b 0.8",
            out("correlated", "the list `correlations` of the front matter"),
            "correlated",
        ),
        ("x = 1 cm;", Empty, ";"),
        ("x = 1 cm;; reading 1 mm", Empty, ";"),
        (
            "graph F against x; lien",
            expected(&["`line`", "`extreme`", "`residuals`", "`log`", "`title`"], "lien"),
            "lien",
        ),
        ("graph F against x; log z", expected(&["`x`", "`y`"], "z"), "z"),
    ]);
    let column = faults_in(HEADING_CELL, "k [N/m] = F / x; with rule");
    assert_eq!(column, [(out("with", "a reading"), "with".to_owned())]);
}

#[test]
fn one_broken_clause_leaves_the_others() {
    let parsed = read("x = 1 cm; reading; definition 1 mm; with; exact");
    let Some(Item::Reading(reading)) = parsed.item else { panic!("{parsed:?}") };
    assert_eq!((reading.clauses.len(), parsed.faults.len()), (2, 2));
    let parsed = read("x = (; reading 1 mm; with");
    assert_eq!((parsed.item, parsed.faults.len()), (None, 2));
    assert_eq!(parsed.defines.unwrap().value.as_str(), "x");
}

#[test]
fn a_missing_blank_is_accepted_with_an_advice() {
    for (inner, wanted) in [("x = 5cm", 1), ("x = 5%", 1), ("x = 5°", 0), ("x = 5°C", 1), ("x = 5 cm; reading 1mm", 1)]
    {
        let parsed = read(inner);
        assert!(parsed.item.is_some(), "{inner}");
        assert!(parsed.faults.iter().all(|fault| fault.kind == NoBlankBeforeUnit && fault.span.is_empty()));
        assert_eq!(parsed.faults.len(), wanted, "{inner}");
    }
}

/// What is wrong in the last part of an item without an end follows from that.
#[test]
fn an_unclosed_item_is_read_as_far_as_it_is_sound() {
    let open = |text: &str| parse(&place(text, End::Blank, Setting::Text));
    let whole = open("~{x = 5 cm; reading 1 mm");
    assert!(matches!(whole.item, Some(Item::Reading(reading)) if reading.clauses.len() == 1));
    let part = open("~{x = 5 cm; reading; with rule and then we went home");
    assert!(matches!(part.item, Some(Item::Reading(reading)) if reading.clauses.is_empty()));
    assert_eq!(part.faults.len(), 1);
    assert_eq!(open("~{x = 1,5 and so on"), Parsed { defines: read("x = 1").defines, ..Parsed::default() });
    assert_eq!(open("~{"), Parsed::default());
    assert!(matches!(open("~{x = 1e999 and so on").faults.as_slice(), [Fault { kind: NumberTooLong, .. }]));
}

#[test]
fn places_are_those_of_the_report() {
    let text = "~{x = 1 µm; reading 1,5 mm}";
    let parsed = parse(&Place { span: Span::new(100, 100 + text.len()), ..place(text, End::Closed, Setting::Text) });
    let at = 100 + text.find("1,5").unwrap();
    assert_eq!(parsed.faults[0].span, Span::new(at, at + 3));
    assert_eq!(parsed.defines.unwrap().span, Span::new(102, 103));
}
