//! What a course file or a report's front matter may say, what is wrong with it, and where.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on stops")]

#[path = "../support/mod.rs"]
mod support;

mod in_force;
mod language;
mod schema;
mod sheets;

use meniscus::course::{
    Agree, Author, Combine, Course, CourseFault, Coverage, DecimalSign, Fit, Layer, Level, Notation, RationalePlace,
    Repeat, merge, of_file, of_front_matter, of_report,
};
use meniscus::quantity::{Figures, Kind, Rounding};
use meniscus::report::NOTATION;

/// The program's own, but for three rules that these tests can rely on.
const RULES: Notation = Notation { rules: || vec!["no-reason", "places-differ", "prose-measurement"], ..NOTATION };

/// A course of files, the farthest first, all of them sound.
fn course(files: &[&str]) -> Course {
    let mut course = Course::default();
    for yaml in files {
        let (layer, faults) = of_file(yaml, RULES);
        assert_eq!(faults, [], "{yaml}");
        assert_eq!(merge(&mut course, layer, Author::Course, RULES), [], "{yaml}");
    }
    course
}

/// The faults of one file, each as the text at its place, message, help.
fn faults(yaml: &str) -> Vec<(String, String, String)> {
    let (layer, mut faults) = of_file(yaml, RULES);
    faults.extend(merge(&mut Course::default(), layer, Author::Course, RULES));
    told(yaml, faults)
}

fn told(text: &str, faults: Vec<CourseFault>) -> Vec<(String, String, String)> {
    faults.into_iter().map(|fault| (fault.span.of(text).to_owned(), fault.message, fault.help)).collect()
}

/// One fault of a file.
fn fault(yaml: &str) -> (String, String, String) {
    let mut all = faults(yaml);
    assert_eq!(all.len(), 1, "{all:?}");
    all.remove(0)
}

/// The block of the notation's page, as a teacher would copy it.
const WHOLE: &str = r#"
combine: standard
digits: leading-one
round: even
repeat: half-range
fit: both-errors
agree: normalized-error
coverage: 95 %
rationale: none
require: [reading, definition, instrument, name]
kinds: {parallax: {says: "eye not square to the scale"}, edge: {like: definition}}
units: {span: 0.2286 m}
decimal: comma
constants: [c, h]
correlations:
  - correlated a b 0.8 "same scale"
instruments:
  rule:      {name: wooden rule, division: 1 mm, read_to: 1/4, ends: 2, parallax: 0.2 mm}
  dial:      {name: dial gauge, division: 0.1 mm, read_to: 1/10}
  stopwatch: {name: stopwatch, display: 0.010 s, instrument: 0, reaction: 0.2 s}
  meter:     {name: multimeter, display: 0.01 V, range: 0 V to 20 V, instrument: 0.5 % + 2 digits, systematic: true}
expected:
  g: {value: 9.81 ± 0.02 m/s^2, required: true}
rules: {prose-measurement: off, no-reason: error}
words: {rationale: Begründung}
fixed: [combine, digits, rules.no-reason]
root: true
"#;

#[test]
fn every_key_is_read() {
    let (layer, faults) = of_file(WHOLE, RULES);
    assert_eq!(faults, []);
    assert!(layer.root);
    let course = course(&[WHOLE]);
    assert_eq!((course.combine, course.digits), (Combine::Standard, Figures::LeadingOne));
    assert_eq!((course.round, course.repeat), (Rounding::Even, Repeat::HalfRange));
    assert_eq!((course.fit, course.agree), (Fit::BothErrors, Agree::NormalizedError));
    assert_eq!((course.coverage, course.rationale), (Some(Coverage::Level(0.95)), RationalePlace::None));
    assert_eq!(course.require, ["reading", "definition", "instrument", "name"]);
    assert_eq!(course.kinds["parallax"].says.as_deref(), Some("eye not square to the scale"));
    assert_eq!(course.units["span"], "0.2286 m");
    assert_eq!(course.decimal, DecimalSign::Comma);
    assert_eq!(course.constants, ["c", "h"]);
    assert_eq!(course.correlations, [r#"correlated a b 0.8 "same scale""#]);
    assert_eq!(course.expected["g"].value.as_deref(), Some("9.81 ± 0.02 m/s^2"));
    assert!(course.expected["g"].required);
    assert_eq!(course.rules["prose-measurement"], Level::Off);
    assert_eq!(course.words["rationale"], "Begründung");
    assert_eq!(course.fixed.iter().map(String::as_str).collect::<Vec<_>>(), ["combine", "digits", "rules.no-reason"]);
}

#[test]
fn instruments_keep_what_was_typed() {
    let course = course(&[WHOLE]);
    let rule = &course.instruments["rule"];
    assert_eq!((rule.division.as_deref(), rule.read_to.as_deref(), rule.ends), (Some("1 mm"), Some("1/4"), Some(2)));
    assert_eq!(rule.kinds["parallax"], "0.2 mm");
    let stopwatch = &course.instruments["stopwatch"];
    assert_eq!(stopwatch.display.as_deref(), Some("0.010 s"));
    assert_eq!(stopwatch.kinds["instrument"], "0");
    let meter = &course.instruments["meter"];
    assert_eq!(meter.range.as_deref(), Some("0 V to 20 V"));
    assert!(meter.systematic);
    assert_eq!(meter.kinds["instrument"], "0.5 % + 2 digits");
}

#[test]
fn nothing_said_is_the_default() {
    for yaml in ["", "# only a remark\n", "---\n", "{}"] {
        assert_eq!(course(&[yaml]), Course::default(), "{yaml}");
    }
    assert_eq!(course(&["kinds:\nrequire:\n"]), Course::default());
}

#[test]
fn the_nearest_file_wins_entry_by_entry_and_lists_replace() {
    let far = "digits: 2\nround: up\nrequire: [reading]\nrules: {no-reason: error, places-differ: off}\n";
    let near = "digits: pdg\nrequire: [definition]\nrules: {no-reason: advice}\n";
    let course = course(&[far, near]);
    assert_eq!((course.digits, course.round), (Figures::Pdg, Rounding::Up));
    assert_eq!(course.require, ["definition"]);
    assert_eq!((course.rules["no-reason"], course.rules["places-differ"]), (Level::Advice, Level::Off));
}

#[test]
fn an_entry_replaces_the_whole_of_another() {
    let far = "instruments: {rule: {division: 1 mm, read_to: 1/4}}";
    let near = "instruments: {rule: {display: 0.1 mm}}";
    let rule = &course(&[far, near]).instruments["rule"];
    assert_eq!((rule.division.as_deref(), rule.display.as_deref()), (None, Some("0.1 mm")));
}

#[test]
fn kinds_are_known_by_their_own_words() {
    let course = course(&["kinds: {rim: {like: edge}, edge: {like: definition}, parallax: {says: eye}}"]);
    assert_eq!(course.kind("rim"), Some(Kind::Definition));
    assert_eq!(course.kind("reading"), Some(Kind::Reading));
    assert_eq!(course.kind("parallax"), Some(Kind::Named("parallax".into())));
    assert_eq!(course.kind("glare"), None);
}

#[test]
fn a_wrong_key_or_word_is_told_at_its_place_with_the_right_one() {
    let (at, message, help) = fault("round: up\ncombin: sum\n");
    assert_eq!(
        (at.as_str(), message.as_str(), help.as_str()),
        ("combin", "`combin` is no key of a course", "write `combine`")
    );
    let (at, message, help) = fault("digits: 3  # too many\n");
    assert_eq!((at.as_str(), message.as_str()), ("3", "`digits` cannot be `3`"));
    assert_eq!(help, "write `1`, `2`, `leading-one` or `pdg`");
    assert_eq!(fault("rules: {no-reson: off}").2, "write `no-reason`");
    assert_eq!(fault("rules: {no-reason: loud}").0, "loud");
    assert_eq!(fault("require: [reading, naem]\n").2, "write `name`");
    assert_eq!(fault("instruments: {tape: {divison: 1 mm}}").2, "write `division`");
    assert_eq!(fault("kinds: {rim: {liek: edge}}").2, "write `like`");
    assert_eq!(fault("kinds: {rim: {like: defintion}}").2, "write `definition`");
    assert_eq!(fault("expected: {g: {vlaue: 9.81 m/s^2}}").2, "write `value`");
    assert_eq!(fault("fixed: [digit]").2, "write `digits`");
    assert_eq!(fault("meniscus: {digits: 2}").1, "the keys of a course file stand at its top, not under `meniscus`");
}

#[test]
fn all_faults_of_a_file_are_told_in_the_order_of_their_places() {
    let all = faults("combine: add\ninstruments:\n  rule: {division: 1 mm}\ndigits: 9\nextra: 1\n");
    assert_eq!(all.iter().map(|(at, ..)| at.as_str()).collect::<Vec<_>>(), ["add", "division", "9", "extra"]);
}

#[test]
fn an_instrument_has_a_whole_scale_or_a_display() {
    assert_eq!(fault("instruments: {a: {division: 1 mm}}").1, "`division` needs `read_to` beside it");
    assert_eq!(fault("instruments: {a: {division: 1 mm, read_to: 1/4, display: 1 mm}}").0, "display");
    assert_eq!(fault("instruments: {a: {display: 1 mm, ends: 2}}").1, "`ends` says nothing without `division`");
    assert_eq!(fault("instruments: {a: {display: 1 mm, read_to: 1/4}}").0, "read_to");
    assert_eq!(fault("instruments: {a: {division: 1 mm, read_to: 1/4, ends: 3}}").0, "3");
    assert_eq!(fault("instruments: {a: {display: 1 s, repeat: 2 s}}").1, "an instrument has no amount of `repeat`");
    assert_eq!(fault("instruments: {two words: {display: 1 s}}").1, "`two words` cannot be typed as one word");
    assert_eq!(fault("instruments: {a: {systematic: no}}").2, "write `false` or `true`");
}

#[test]
fn amounts_are_judged_where_they_stand() {
    let told = |yaml: &str| {
        let (at, message, help) = fault(yaml);
        format!("{at} | {message} | {help}")
    };
    assert_eq!(
        told("instruments: {a: {division: 1 milimetre, read_to: 1/4}}"),
        "1 milimetre | `milimetre` is no known unit | write `mm`"
    );
    assert_eq!(
        told("instruments: {a: {display: 0.01 s, reaction: about 0.2 s}}"),
        "about 0.2 s | `about 0.2 s` is not an amount | write how much, with no shape behind it: `0.5 mm`, `0.5 % + 2 digits`"
    );
    assert_eq!(
        told("instruments: {a: {division: 1 mm, read_to: a quarter}}"),
        "a quarter | `a quarter` is not a share of a division | write `1/10` or `1/4`"
    );
    assert_eq!(
        told("instruments: {a: {display: 1 V, range: 20 V}}"),
        "20 V | `20 V` is not a range | write both ends, each with its unit: `0 V to 20 V`"
    );
    assert_eq!(
        told("expected: {g: {value: about ten}}"),
        "about ten | `about ten` is not an estimate | write it as a reading is written: `9.81 ± 0.02 m/s^2`"
    );
    let constant = told("constants: [c, plank]");
    assert!(constant.starts_with("plank | `plank` is no known constant | the constants are c, h, "), "{constant}");
    assert!(constant.ends_with(" more"), "{constant}");
}

#[test]
fn units_of_the_course_build_on_one_another() {
    let own = course(&["units: {span: 0.2286 m, reach: 2 span}\ninstruments: {a: {display: 1 reach}}\n"]);
    assert_eq!(own.units["reach"], "2 span");
    assert_eq!(fault("units: {span: 0.2286 mtr}").2, "write `m`");
    assert_eq!(fault("units: {my unit: 1 m}").1, "`my unit` cannot be typed as a unit");
    let circle = faults("units: {a_one: 2 a_two, a_two: 3 a_one, good: 1 m}");
    assert_eq!(circle.len(), 2);
    assert_eq!(circle[0].1, "the unit `a_one` is built on itself");
}

#[test]
fn circles_of_kinds_are_told_once_and_broken() {
    let (at, message, _) = fault("kinds: {a: {like: b}, b: {like: c}, c: {like: a}, d: {like: a}}");
    assert_eq!((at.as_str(), message.as_str()), ("b", "the kinds `a`, `b`, `c` are like one another in a circle"));
    assert_eq!(fault("kinds: {a: {like: a}}").1, "the kind `a` is like itself");
    let mut course = Course::default();
    merge(&mut course, of_file("kinds: {a: {like: b}, b: {like: a}}", RULES).0, Author::Course, RULES);
    assert_eq!(course.kind("b"), Some(Kind::Named("a".into())));
}

#[test]
fn a_nearer_file_can_close_a_circle() {
    let mut course = course(&["kinds: {a: {}, b: {like: a}}"]);
    let near = "kinds: {a: {like: b}}";
    let faults = merge(&mut course, of_file(near, RULES).0, Author::Course, RULES);
    assert_eq!(told(near, faults)[0].0, "b");
    assert_eq!(course.kind("b"), Some(Kind::Named("a".into())));
}

#[test]
fn words_of_the_notation_can_be_no_kind() {
    assert_eq!(fault("kinds: {reading: {says: eye}}").1, "the kind `reading` is known everywhere and stays what it is");
    assert_eq!(fault("kinds: {with: {says: eye}}").1, "`with` begins a clause and can be no kind");
}

#[test]
fn coverage_is_a_level_or_a_factor_and_for_standard_alone() {
    let of = |typed: &str| course(&[&format!("combine: standard\ncoverage: {typed}\n")]).coverage;
    assert_eq!(of("95.45%"), Some(Coverage::Level(0.9545)));
    assert_eq!(of("k 2"), Some(Coverage::Factor(2.0)));
    for wrong in ["0.95", "k two", "100 %", "0 %", "k -1", "k inf", "NaN %"] {
        assert_eq!(fault(&format!("combine: standard\ncoverage: {wrong}\n")).0, wrong);
    }
    assert_eq!(fault("coverage: k 2").1, "`coverage` is for `combine: standard` alone");
}

#[test]
fn a_correlation_is_two_readings_and_a_coefficient_stated_once() {
    let wrong = |items: &str| fault(&format!("combine: standard\ncorrelations:\n{items}"));
    let (at, message, help) = wrong("  - tied a b 0.8\n");
    assert_eq!((at.as_str(), message.as_str()), ("tied a b 0.8", "`tied a b 0.8` is no correlation"));
    assert!(help.contains("`correlated a b 0.8 \"same scale\"`"), "{help}");
    for (typed, said) in [("1.2", "1.2"), ("-1.001", "-1.001"), ("1e3", "1000")] {
        let (at, message, _) = wrong(&format!("  - correlated a b {typed}\n"));
        assert_eq!(at, format!("correlated a b {typed}"));
        assert_eq!(message, format!("the correlation of `a` and `b` is {said}, but none is outside −1 to 1"));
    }
    assert_eq!(wrong("  - correlated rho ρ 0.5\n").1, "`ρ` is tied to itself here");
    let (at, message, _) = wrong("  - correlated a b 0.8\n  - correlated b a 0.8\n");
    assert_eq!((at.as_str(), message.as_str()), ("correlated b a 0.8", "`b` and `a` are tied twice"));
    let right = "correlations:\n  - correlated a b -1 \"same scale\"\n  - 'correlated a c 1 „Skala“'\n";
    assert_eq!(course(&[right]).correlations.len(), 2);
}

#[test]
fn broken_yaml_is_told_with_its_place() {
    let (at, message, help) = fault("combine: sum\n\tdigits: 2\n");
    assert_eq!((at.as_str(), message.as_str()), ("\t", "this is not YAML: a tab stands where a line is indented"));
    assert_eq!(help, "indent with blanks, the same number for all keys of a group");
    let (at, message, _) = fault("digits: 2\nround\n");
    assert_eq!((at.as_str(), message.as_str()), ("round", "this is not YAML: could not find expected ':'"));
    let (at, message, _) = fault("a: {b: 1\n");
    assert!(message.starts_with("this is not YAML: ") && !message.contains("line"), "{at}: {message}");
    let yaml = "combine: sum\ndigits: [1\n";
    let (layer, faults) = of_file(yaml, RULES);
    assert_eq!(layer, Layer::default());
    assert!(faults[0].span.start > 12, "{faults:?}");
}

#[test]
fn an_entry_typed_twice_is_told_at_the_second() {
    let yaml = "digits: 1\nround: up\ndigits: 2\n";
    let (_, faults) = of_file(yaml, RULES);
    assert_eq!(faults.len(), 1);
    assert_eq!((faults[0].span.start, faults[0].message.as_str()), (20, "`digits` stands here twice"));
    let yaml = "instruments:\n  rule: {display: 1 mm}\n  rule: {display: 2 mm}\n";
    assert_eq!(of_file(yaml, RULES).1[0].span.start, yaml.rfind("rule").unwrap());
}

#[test]
fn wrong_forms_of_values_are_told() {
    assert_eq!(fault("combine: [sum]").1, "`combine` wants one text");
    assert_eq!(fault("combine:\n").0, "combine");
    assert_eq!(fault("require: reading").2, "put it in square brackets: `require: [a, b]`");
    assert_eq!(fault("rules: off").1, "entries are wanted for `rules`, each `key: value`");
    assert_eq!(fault("- a\n- b\n").1, "entries are wanted for a course's keys, each `key: value`");
    assert_eq!(fault("digits: !odd 1").1, "`digits` wants one text");
}

/// Front matter between other keys, as a site generator has it.
const REPORT: &str = "title: Wachs – ein Block\ntags: [a, b]\nmeniscus:\n  digits: 2\n  combin: sum\n  instruments:\n    rule: {division: 1 mm, read_to: 1/4}\nauthor: é\n";

#[test]
fn of_front_matter_only_the_one_key_is_ours() {
    let report = format!("---\n{REPORT}---\ntext\n");
    let course = of_report(&Course::default(), REPORT, 4, RULES);
    assert_eq!(course.digits, Figures::Two);
    assert_eq!(course.instruments["rule"].division.as_deref(), Some("1 mm"));
    let faults = told(&report, course.faults);
    assert_eq!(
        faults,
        [("combin".to_owned(), "`combin` is no key of a course".to_owned(), "write `combine`".to_owned())]
    );
}

#[test]
fn front_matter_of_others_is_left_alone() {
    assert_eq!(of_front_matter("title: a\ntitle: b\n", RULES), None);
    assert_eq!(of_front_matter("title: [broken\n", RULES), None);
    assert_eq!(of_front_matter("title: [broken, about a meniscus\n", RULES), None);
    assert_eq!(of_front_matter("title: about a meniscus\n", RULES), None);
    assert_eq!(of_front_matter("just a text with meniscus in it", RULES), None);
    assert_eq!(of_front_matter("? [meniscus]\n: 1\n", RULES), None);
    assert_eq!(of_front_matter("a: !include meniscus\n? {b: 1}\n: 2\nmeniscus: {digits: 2}\n", RULES).unwrap().1, []);
}

#[test]
fn a_broken_key_of_ours_is_our_business() {
    let broken = "title: x\nmeniscus:\n  digits: [1\n";
    let (layer, faults) = of_front_matter(broken, RULES).unwrap();
    assert_eq!(layer, Layer::default());
    assert!(faults[0].message.starts_with("`meniscus` cannot be read: this is not YAML: "), "{faults:?}");
    let twice = "meniscus: {digits: 2}\nmeniscus: {round: up}\n";
    let (_, faults) = of_front_matter(twice, RULES).unwrap();
    assert_eq!(faults[0].span.start, 22);
    assert_eq!(told(twice, faults)[0].1, "`meniscus` stands here twice");
    assert_eq!(of_front_matter("meniscus: 3\n", RULES).unwrap().1.len(), 1);
}

#[test]
fn what_the_course_has_fixed_the_report_cannot_change() {
    let course = course(&[
        "fixed: [instruments]\ninstruments: {rule: {display: 1 mm}}\n",
        "digits: 1\nrules: {no-reason: error}\nfixed: [digits, rules.no-reason]\n",
    ]);
    let yaml = "meniscus:\n  digits: 2\n  round: up\n  rules: {no-reason: off, places-differ: off}\n  instruments:\n    rule: {display: 2 mm}\n    tape: {display: 1 cm}\n";
    let own = of_report(&course, yaml, 0, RULES);
    assert_eq!((own.digits, own.round), (Figures::One, Rounding::Up));
    assert_eq!((own.rules["no-reason"], own.rules["places-differ"]), (Level::Error, Level::Off));
    assert_eq!((own.instruments.len(), own.instruments["rule"].display.as_deref()), (1, Some("1 mm")));
    let faults = told(yaml, own.faults);
    assert_eq!(faults.iter().map(|(at, ..)| at.as_str()).collect::<Vec<_>>(), ["digits", "no-reason", "rule", "tape"]);
    assert_eq!(faults[0].1, "the course has fixed `digits`");
}

#[test]
fn to_say_what_the_course_says_changes_nothing() {
    let course = course(&["digits: 2\nfixed: [digits]\n"]);
    assert_eq!(of_report(&course, "meniscus: {digits: 2}", 0, RULES).faults, []);
}

#[test]
fn a_report_cannot_fix_or_end_the_search() {
    let yaml = "meniscus: {fixed: [digits], root: true}";
    let faults = told(yaml, of_report(&Course::default(), yaml, 0, RULES).faults);
    assert_eq!(faults.iter().map(|(at, ..)| at.as_str()).collect::<Vec<_>>(), ["fixed", "root"]);
}

#[test]
fn monstrous_files_are_refused_in_time() {
    let large = "a: 1\n".repeat(300_000);
    assert!(fault(&large).1.contains("more than a course may have"));
    let deep = "[".repeat(100_000);
    assert!(fault(&deep).1.starts_with("this is not YAML"));
    assert!(fault(&format!("combine: {}", "[".repeat(500))).1.starts_with("this is not YAML: recursion limit"));
    let aliases = (1..10).fold("a0: &a0 [x]\n".to_owned(), |yaml, n| {
        yaml + &format!("a{n}: &a{n} [{}]\n", vec![format!("*a{}", n - 1); 9].join(", "))
    });
    assert_eq!(faults(&aliases).len(), 1);
    let many: String = (0..2_000).map(|n| format!("wrong{n}: 1\n")).collect();
    let all = faults(&many);
    assert_eq!(all.len(), 20);
    assert!(all[19].2.ends_with("1980 more like these are not listed"), "{}", all[19].2);
    let chain: String = (0..20_000).map(|n| format!("  k{n}: {{like: k{}}}\n", n + 1)).collect();
    assert_eq!(faults(&format!("kinds:\n{chain}  k20000: {{like: reading}}\n")), []);
}
