//! What a course says of instruments, units, words: can it be so, and where is it told that it cannot?

use std::time::{Duration, Instant};

use crate::support::{markdown, meniscus, with_plain_blanks};
use crate::{course, fault, faults};

/// `place | message | help` of the one fault of a file.
fn told(yaml: &str) -> String {
    let (at, message, help) = fault(yaml);
    format!("{at} | {message} | {help}")
}

#[test]
fn an_instrument_of_a_course_has_sizes_that_can_be() {
    for (entry, wanted) in [
        ("display: 0 s", "0 s | `0 s` is not above zero"),
        ("display: -1 s", "-1 s | `-1 s` is not above zero"),
        ("display: 1 digit", "1 digit | `digit` is no known unit"),
        ("division: 1 mm, read_to: 5", "5 | `5` is no share of a division"),
        ("division: 1 mm, read_to: 0", "0 | `0` is no share of a division"),
        ("display: 1 V, range: 20 V to 0 V", "20 V to 0 V | the range `20 V to 0 V` does not rise"),
        ("display: 1 V, range: 0 V to 20 s", "0 V to 20 s | `s` does not measure what `V` measures"),
        ("display: 1 V, instrument: 0.5 s", "0.5 s | `s` does not measure what `V` measures"),
        ("display: 1 V, instrument: -1 V", "-1 V | `-1 V` is below zero"),
        // A number between colons is a time to YAML 1.1, a text to YAML 1.2, and no amount.
        ("display: 1:30", "1:30 | `1:30` is not an amount"),
    ] {
        let found = told(&format!("instruments: {{a: {{{entry}}}}}"));
        assert!(found.starts_with(wanted), "{entry}: {found}");
    }
    for entry in [
        "display: 1 mV, instrument: 0.5 % + 2 digits + 1 mV, range: 0 V to 2 V",
        "division: 1 %, read_to: 1/4, instrument: 0.5 %",
        "division: 1 degC, read_to: 1/4, range: -10 degC to 50 degC, instrument: 0.5 K",
        "display: 1e-3 V, instrument: 0",
        "display: 1, instrument: 2 digits",
        "instrument: 1 %",
    ] {
        assert_eq!(faults(&format!("instruments: {{a: {{{entry}}}}}")), [], "{entry}");
    }
}

/// A course's own word for a known kind does what the kind does, in a data sheet too.
#[test]
fn the_words_of_a_course_for_known_kinds_count_in_a_data_sheet() {
    let amount = |sheet: &str| {
        let report = format!(
            "---\nmeniscus:\n  kinds: {{gear: {{like: instrument}}, eye: {{like: reading}}}}\n  instruments: {{a: {{{sheet}}}}}\n---\n~{{x = 3.00 cm; with a}}\n"
        );
        let read = meniscus::report::read(&report, &meniscus::course::Course::default());
        read.sheet.quantities[0].sources.iter().map(|source| source.amount).collect::<Vec<_>>()
    };
    assert_eq!(amount("display: 0.01 cm"), [0.01]);
    assert_eq!(amount("display: 0.01 cm, gear: 2 digits"), [0.02]);
    assert_eq!(amount("division: 1 mm, read_to: 1/4, ends: 2"), [0.025, 0.025]);
    assert_eq!(amount("division: 1 mm, read_to: 1/4, ends: 2, eye: 0.5 mm, gear: 0.1 mm"), [0.05, 0.01]);
}

#[test]
fn the_unit_of_a_course_is_worked_out_or_told() {
    for sound in ["rpm: 1/60 Hz", "span: 0.2286 m", "stone: 14 lb", "pace: 2 ft + 6 inch", "dozen: 12", "part: 0.5 %"] {
        assert_eq!(faults(&format!("units: {{{sound}}}")), [], "{sound}");
    }
    assert_eq!(faults("units: {reach: 2 span}\n").len(), 1);
    assert_eq!(faults("units: {span: 0.2286 m, reach: 2 span, yoke: 3 reach*reach}"), []);
    for (wrong, wanted) in [
        ("span: 0 m", "0 m | `0 m` is not above zero"),
        ("span: -1 m", "-1 m | `-1 m` is not above zero"),
        ("span: 1 m + 2 s", "1 m + 2 s | the units in `1 m + 2 s` do not measure the same thing"),
        ("span: 2 m × 3 m", "2 m × 3 m | `2 m × 3 m` has no size of its own: two amounts with units are multiplied"),
        ("span: 2 digits", "2 digits | `digits` is no known unit"),
        ("span: 2 mtr", "2 mtr | `mtr` is no known unit | write `m`"),
        // What is built on a unit that has no size is not told beside it.
        ("span: 0 m, reach: 2 span", "0 m | `0 m` is not above zero"),
    ] {
        let found = told(&format!("units: {{{wrong}}}"));
        assert!(found.starts_with(wanted), "{wrong}: {found}");
    }
}

/// A course's unit is one wherever units are: in readings, amounts, formulas, and the rules that convert.
#[test]
fn the_rules_know_the_units_of_a_course() {
    let report = |value: &str, extra: &str| {
        format!(
            "---\nmeniscus:\n  units: {{span: 0.2286 m, rpm: 1/60 Hz}}\n  expected: {{L: {{value: 2.0 ± 0.1 span}}}}\n---\n\
             ~{{L = {value}; reading 0.01 m \"thick marks\"}} {extra}\n"
        )
    };
    let rules = |text: &str| {
        let found = crate::support::findings(text);
        found.into_iter().map(|finding| finding.rule).collect::<Vec<_>>()
    };
    // 2.0 span are 0.4572 m.
    assert_eq!(rules(&report("0.46 m", "")), Vec::<String>::new());
    assert_eq!(rules(&report("0.57 m", "")), ["expected-disagrees"]);
    let shown = with_plain_blanks(&markdown(&report("0.46 m", "~{L in span}")));
    assert!(shown.contains("2.01 ± 0.04 span"), "{shown}");
    // 33 1/3 turns a minute are 5/9 Hz.
    let turns = "---\nmeniscus: {units: {rpm: 1/60 Hz}}\n---\n~{f = 45 rpm; reading 3 rpm \"ticks\"}, ~{f in Hz}\n";
    let shown = with_plain_blanks(&markdown(turns));
    assert!(shown.contains("0.75 ± 0.05 Hz"), "{shown}");
}

#[test]
fn the_words_of_a_course_have_the_parts_of_the_texts_they_replace() {
    assert_eq!(
        told("words: {others: \"und {coutn} weitere\"}"),
        "\"und {coutn} weitere\" | nothing is put in place of `{coutn}` in `others` | write `{count}`"
    );
    assert!(told("words: {rationale: \"{a}\"}").ends_with("take it out: this text has no such part"));
    assert_eq!(faults("words: {others: weitere, constant-m_e: Masse des Elektrons}"), []);
    assert!(told("words: {constant-m_x: Masse}").contains("write `constant-m_"));
}

#[test]
fn symbols_kinds_and_what_is_fixed_are_looked_up() {
    for symbol in ["1x", "in", "mean", "a b"] {
        assert!(
            told(&format!("expected: {{\"{symbol}\": {{required: true}}}}")).contains("can be no symbol"),
            "{symbol}"
        );
    }
    assert!(told("kinds: {display: {says: x}}").contains("is a key of instruments and can be no kind"));
    assert!(told("fixed: [rules.no-reson]").ends_with("`rules` has no entry `no-reson` | write `rules.no-reason`"));
    assert!(
        told("instruments: {tape: {display: 1 m}}\nfixed: [instruments.tpae]").ends_with("write `instruments.tape`")
    );
    assert!(told("fixed: [words.nothing-of-that-name]").contains("has no entry"));
    assert!(told("fixed: [digits.x]").ends_with("write `digits`"));
    assert!(told("fixed: [root]").starts_with("root | `root` is no key that could be fixed"));
    // Its instrument may stand in a nearer file.
    assert_eq!(faults("fixed: [instruments.balance, digits, expected.g]"), []);
}

/// A number is what was typed, not what YAML makes of it.
#[test]
fn yaml_of_a_course_has_no_traps() {
    for (yaml, wanted) in [
        ("rules: {no-reason: no}", "no | `no-reason` cannot be `no`"),
        ("root: yes", "yes | `root` cannot be `yes`"),
        ("digits: 0x2", "0x2 | `digits` cannot be `0x2`"),
        ("digits: 2.0", "2.0 | `digits` cannot be `2.0`"),
        ("digits: 1e0", "1e0 | `digits` cannot be `1e0`"),
        ("digits: 1\n---\ndigits: 2\n", "--- | a second YAML document begins here, and a course has one"),
        ("instruments:\n  a:\n\tdisplay: 1 s\n", "\t | this is not YAML: a tab stands where a line is indented"),
    ] {
        let found = told(yaml);
        assert!(found.starts_with(wanted), "{yaml}: {found}");
    }
    assert_eq!(course(&["rules: {no-reason: off}"]).rules["no-reason"], meniscus::course::Level::Off);
    assert_eq!(course(&["digits: '2'\r\nround: up\r\n"]).digits, meniscus::quantity::Figures::Two);
    assert_eq!(
        course(&["\u{feff}digits: 2".trim_start_matches('\u{feff}'), "# only remarks\n\n", "---\n...\n"]).digits,
        meniscus::quantity::Figures::Two
    );
}

/// The largest that is still read, filled with what costs most. A second is ten times what they take in a build
/// without optimisation.
#[test]
fn monsters_of_course_files_are_refused_in_time() {
    let aliases = format!("kinds: &x [{}]\nunits: [{}]\n", "1,".repeat(100_000), "*x,".repeat(100_000));
    let chain: String = (0..250).map(|n| format!("  u_{}: 2 u_{}\n", word(n), word(n + 1))).collect();
    let monsters = [
        aliases,
        "- ".repeat(400_000),
        format!("kinds:\n{}", (0..50_000).map(|n| format!(" k{n}: {{syas: x}}\n")).collect::<String>()),
        format!("a: {}{}\n", "[".repeat(999), "]".repeat(999)),
        format!("units:\n{chain}  u_{}: 1 m\n", word(250)),
        format!("rules: {{{}}}", "x: off,".repeat(100_000)),
        "x: 1\n".repeat(2_000_000),
    ];
    for monster in monsters {
        let start = Instant::now();
        let found = faults(&monster);
        let took = start.elapsed();
        assert!(took < Duration::from_secs(10), "{took:?}: {}", &monster[..40]);
        assert!(!found.is_empty() || monster.starts_with("units"), "{}", &monster[..40]);
    }
}

/// Letters for a number: a unit has no digits.
fn word(n: u32) -> String {
    [n / 26, n % 26].map(|digit| char::from_u32(u32::from('a') + digit).unwrap()).iter().collect()
}

/// Nothing is written where a course file cannot be used.
#[test]
fn a_broken_course_file_is_status_2_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(at("report.md"), "~{h = 14.3 cm; reading 0.1 cm \"rim\"}\n").unwrap();
    for (yaml, wanted) in [
        (&b"digits: 3\n"[..], "meniscus.yaml:1:9"),
        (b"root: true\ndigits: [1\n", "this is not YAML"),
        (b"\xff\xfed\0", "save the file as UTF-8"),
        (b"digits: 2\ncaf\xe9: 1\n", "meniscus.yaml:2:4: not UTF-8"),
        (b"\xef\xbb\xbfround: dwon\r\n", "write `nearest`, `even` or `up`"),
    ] {
        std::fs::write(at("meniscus.yaml"), yaml).unwrap();
        let run = meniscus(&["render", &at("report.md"), "-o", &at("out.html")], b"");
        assert_eq!(run.status, 2, "{run:?}");
        assert!(run.stderr.contains(wanted), "{wanted}: {}", run.stderr);
        assert!(!std::path::Path::new(&at("out.html")).exists());
    }
    std::fs::write(at("meniscus.yaml"), "x".repeat(10_000_000)).unwrap();
    let run = meniscus(&["check", &at("report.md")], b"");
    assert_eq!(run.status, 2);
    assert!(run.stderr.contains("is too large: 10000000 bytes"), "{}", run.stderr);
}
