//! The rules of the room `check`: their names and pages, the examples on the pages, and the fixture
//! files of `tests/cases/`, in which each expectation stands under the place that it is about.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use meniscus::check::{self, Finding, GROUPS, Rule, Severity, fix, rules};
use meniscus::course::Course;
use meniscus::report;
use meniscus::span::Lines;
use proptest::prelude::*;

fn findings(source: &str) -> Vec<Finding> {
    report::read(source, &Course::default()).findings
}

/// One line a finding, for messages of this test.
fn told(findings: &[Finding]) -> String {
    let line = |f: &Finding| format!("  {:?} {} at {:?}: {}\n", f.severity, f.rule, f.span, f.message);
    findings.iter().map(line).collect()
}

/// Rules whose example no report of a few lines can draw, with the reason.
const WITHOUT_EXAMPLE: [(&str, &str); 3] = [
    ("item-in-code", "the symbol that is missing is an error of another rule; a fixture shows both"),
    ("opener-given-up", "what Markdown swallows is tested where items are located"),
    ("not-computed", "every form that the notation has is meant to be computed one day"),
];

fn with_examples() -> impl Iterator<Item = &'static Rule> {
    let spared = |rule: &Rule| WITHOUT_EXAMPLE.iter().any(|(name, _)| *name == rule.name);
    rules().iter().copied().filter(move |rule| !spared(rule))
}

#[test]
fn names_are_kebab_case_and_unique() {
    let mut seen = BTreeSet::new();
    for rule in rules() {
        let plain = rule.name.split('-').all(|word| !word.is_empty() && word.bytes().all(|b| b.is_ascii_lowercase()));
        assert!(plain, "{} is not in kebab case", rule.name);
        assert!(seen.insert(rule.name), "{} is there twice", rule.name);
        assert!(check::rule(rule.name).is_some());
    }
}

#[test]
fn every_rule_file_is_in_the_registry_under_its_own_name() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/check/rules");
    let mut files = BTreeSet::new();
    for entry in fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().path().file_stem().unwrap().to_str().unwrap().replace('_', "-");
        files.extend((name != "mod").then_some(name));
    }
    let registered: BTreeSet<String> = rules().iter().map(|rule| rule.name.to_owned()).collect();
    assert_eq!(files, registered);
}

#[test]
fn every_rule_has_a_whole_page_in_a_known_group() {
    for rule in rules() {
        let page = rule.page;
        assert!(GROUPS.iter().any(|(name, _)| *name == rule.group), "{}: no group {}", rule.name, rule.group);
        for (what, text) in [("does", page.does), ("why", page.why), ("source", page.source)] {
            assert!(text.len() > 20, "{}: `{what}` says too little", rule.name);
            assert!(!text.contains("  ") && !text.contains('\n'), "{}: `{what}` has stray blanks", rule.name);
        }
    }
    for rule in with_examples() {
        assert!(rule.page.wrong.contains("~{") && rule.page.right.contains("~{"), "{} has no example", rule.name);
    }
}

#[test]
fn rules_are_listed_group_by_group() {
    let order = |group: &str| GROUPS.iter().position(|(name, _)| *name == group);
    assert!(rules().is_sorted_by_key(|rule| order(rule.group)));
}

#[test]
fn the_wrong_example_draws_its_finding_and_nothing_worse() {
    let mut failures = String::new();
    for rule in with_examples() {
        let drawn = findings(rule.page.wrong);
        let own = drawn.iter().filter(|f| f.rule == rule.name).count();
        let others = drawn.iter().any(|f| f.rule != rule.name && f.severity > Severity::Advice);
        if own == 0 || others {
            failures += &format!("{}: {}{}", rule.name, rule.page.wrong, told(&drawn));
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

#[test]
fn the_right_example_draws_nothing() {
    let mut failures = String::new();
    for rule in with_examples() {
        let drawn = findings(rule.page.right);
        if !drawn.is_empty() {
            failures += &format!("{}: {}{}", rule.name, rule.page.right, told(&drawn));
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

#[test]
fn a_page_speaks_of_an_edit_where_there_is_one_and_it_settles_the_finding() {
    let mut failures = String::new();
    for rule in with_examples() {
        let drawn = findings(rule.page.wrong);
        let own: Vec<_> = drawn.iter().filter(|f| f.rule == rule.name).collect();
        let Some(after) = fix::with(rule.page.wrong, own.iter().copied()) else {
            if rule.page.edit.is_some() {
                failures += &format!("{} promises an edit and makes none\n", rule.name);
            }
            continue;
        };
        let left = findings(&after);
        let settled = left.iter().all(|f| f.rule != rule.name && f.severity == Severity::Advice);
        if rule.page.edit.is_none() || !settled {
            failures += &format!("{}: {after}{}", rule.name, told(&left));
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

#[test]
fn messages_are_one_sentence_and_help_says_what_to_write() {
    for rule in with_examples() {
        for finding in findings(rule.page.wrong) {
            for text in [&finding.message, &finding.help] {
                assert!(!text.ends_with('.') && !text.contains('\n') && !text.contains("  "), "{}: {text}", rule.name);
                assert!((8..260).contains(&text.chars().count()), "{}: {text}", rule.name);
            }
        }
    }
}

/// 0.05 is 0.1 once rounded, and then no longer the 0.03 that comes out.
#[test]
fn a_stated_figure_is_put_right_by_what_comes_out() {
    let source = "~{a = 12.41 g; ± 0.05 g \"drift\"}, ~{b = 12.38 g; ± 0.05 g \"drift\"}: ~{d = a - b in g; stated 0.05 ± 0.1 g}.\n";
    let found = findings(source);
    let helps: Vec<_> = found.iter().filter(|f| f.rule == "places-differ").map(|f| f.help.as_str()).collect();
    assert_eq!(helps, ["write `0.0 ± 0.1 g`"]);
}

#[test]
fn a_course_sets_how_loudly_a_rule_speaks() {
    let with = |level: &str| {
        let front = format!("---\nmeniscus:\n  rules: {{no-reason: {level}}}\n---\n\n");
        findings(&(front + "~{h = 14.3 cm; reading 0.1 cm}\n")).iter().map(|f| (f.rule, f.severity)).collect::<Vec<_>>()
    };
    assert_eq!(with("off"), []);
    assert_eq!(with("advice"), [("no-reason", Severity::Advice)]);
    assert_eq!(with("warning"), [("no-reason", Severity::Warning)]);
    assert_eq!(with("error"), [("no-reason", Severity::Error)]);
}

/// The fixture files: each finding is expected under its place by an HTML comment whose carets lie
/// under the characters of the line above it, `<!-- ^^^^ rule -->`; a place without width is a `|`.
/// In front matter it is a comment of YAML, `# ^^^^ rule`. Beneath a table, which a comment would end, it
/// says how far up its line is: `<!-- ^^^^ rule, 2 lines up -->`. Findings in the first four columns cannot
/// be pointed at: fixtures begin their lines with words. What is not expected must not be drawn, and
/// what is expected must be.
#[test]
fn fixtures_draw_what_stands_under_their_lines() {
    let mut failures = String::new();
    let files = fixtures();
    assert!(files.len() >= 5, "the fixtures are gone");
    for file in files {
        let source = fs::read_to_string(&file).unwrap();
        let (drawn, expected) = (drawn(&source), expected(&source));
        for missing in expected.difference(&drawn) {
            failures += &format!("{}: not drawn: {missing:?}\n", file.display());
        }
        for stray in drawn.difference(&expected) {
            failures += &format!("{}: not expected: {stray:?}\n", file.display());
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

fn fixtures() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = files.filter(|path| path.extension().is_some_and(|e| e == "md")).collect();
    files.sort();
    files
}

/// Line, first column and width in characters, rule.
type Mark = (usize, usize, usize, String);

fn drawn(source: &str) -> BTreeSet<Mark> {
    let lines = Lines::new(source);
    let mark = |finding: Finding| {
        let (start, end) = (lines.position(finding.span.start), lines.position(finding.span.end));
        let last =
            if end.line == start.line { end.column } else { lines.line(start.line).of(source).chars().count() + 1 };
        (start.line, start.column, last.saturating_sub(start.column), finding.rule.to_owned())
    };
    findings(source).into_iter().map(mark).collect()
}

fn expected(source: &str) -> BTreeSet<Mark> {
    let mut marks = BTreeSet::new();
    let mut lines = Vec::new();
    for (number, line) in source.lines().enumerate() {
        let Some((lead, mark)) = marked(line) else {
            lines.extend((!line.trim().is_empty()).then_some(number + 1));
            continue;
        };
        let blanks = mark.chars().take_while(|c| *c == ' ').count();
        let width = mark.chars().skip(blanks).take_while(|c| *c == '^').count();
        let said = mark.trim().trim_start_matches(['^', '|']).trim();
        let (rule, up) = said.split_once(", ").unwrap_or((said, "0"));
        let up: usize = up.trim_end_matches(" lines up").trim_end_matches(" line up").parse().unwrap();
        assert!(check::rule(rule).is_some(), "line {}: no rule `{rule}`", number + 1);
        marks.insert((lines[lines.len() - 1 - up], lead + blanks + 1, width, rule.to_owned()));
    }
    marks
}

/// A line that expects a finding: how long its beginning is, and what stands behind that.
fn marked(line: &str) -> Option<(usize, &str)> {
    let begins = ["<!--", "#"].into_iter().find(|begin| line.starts_with(begin))?;
    let mark = line[begins.len()..].split("-->").next()?;
    mark.trim_start().starts_with(['^', '|']).then_some((begins.len(), mark))
}

/// Pieces that slips are made of.
const PIECES: [&str; 26] = [
    "~{", "}", "\"", ";", "±", "=", "1", ".", "-", "^", "[", "]", "(", ")", "e9", "µ", "\n", "|", "`", "%", " of ",
    "0", "against", "stated ", "with ", "exact",
];

/// What a course asks for is computed where it belongs, and is out of place elsewhere.
#[test]
fn a_coverage_belongs_to_standard_uncertainties() {
    let source =
        "---\nmeniscus: {combine: standard, coverage: 95 %}\n---\n\n~{x = 3.0 m; ± 0.1 m \"rule, both ends\"}, ~{x}\n";
    assert_eq!(told(&findings(source)), "");
    // Elsewhere the key itself is out of place, which the course's own rule says.
    let elsewhere = findings(&source.replace("standard", "sum"));
    assert!(elsewhere.iter().all(|finding| finding.rule == "course") && !elsewhere.is_empty());
}

/// A report of two screens and a list of what ties them, and what is said of that: rule and beginning of the message.
fn said_of(correlations: &[&str]) -> Vec<(&'static str, String, String)> {
    let items: String = correlations.iter().map(|item| format!("    - {item}\n")).collect();
    let source = format!(
        "---\nmeniscus:\n  combine: standard\n  constants: [c]\n  instruments:\n    \
         rule: {{division: 1 mm, read_to: 1/4, instrument: 1 mm, systematic: true}}\n  correlations:\n{items}---\n\n\
         ~{{a = 12.4 cm; reading 0.1 cm \"edge\"}} ~{{b = 38.1 cm; reading 0.1 cm \"edge\"}} ~{{d = 55.2 cm; reading 0.1 cm \"edge\"}}\n\
         ~{{n = 3; exact \"given\"}} ~{{p = 12.4 cm; with rule}} ~{{q = 13.4 cm; with rule}} ~{{r = a + b + d + n * (p + q)}}\n\n\
         | ~{{x [cm]; ± 0.1 cm \"edge\"}} |\n|--|\n| 1.0 |\n| 2.0 |\n\n~{{y = sum(x) * c}}, ~{{r}}, ~{{y}}\n"
    );
    let found = findings(&source).into_iter().filter(|finding| finding.severity > Severity::Advice);
    found.map(|finding| (finding.rule, finding.span.of(&source).to_owned(), finding.message)).collect()
}

#[test]
fn what_cannot_be_tied_is_said_at_its_place_in_the_list() {
    assert_eq!(said_of(&["correlated a b 0.5 \"rail\"", "correlated b d -0.5 \"rail\""]), []);
    for (item, rule, begins) in [
        ("correlated a bb 0.5 \"rail\"", "correlation", "`bb` is not defined"),
        ("correlated a r 0.5 \"rail\"", "correlation", "`r` is worked out"),
        ("correlated a x 0.5 \"rail\"", "correlation", "`x` is a column"),
        ("correlated a c 0.5 \"rail\"", "correlation", "`c` is a constant"),
        ("correlated a n 0.5 \"rail\"", "correlation", "`n` has no uncertainty"),
        ("correlated p q 0.1 \"rail\"", "correlation", "what the two readings owe to the same instrument"),
        ("correlated a b 0.5", "no-reason", "this correlation has no reason"),
        ("correlated a b 0.5 \"\"", "no-reason", "this correlation has no reason"),
        ("correlated a b 1.5 \"rail\"", "course", "the correlation of `a` and `b` is 1.5"),
        ("correlated a a 0.5 \"rail\"", "course", "`a` is tied to itself"),
        ("correlated a", "course", "`correlated a` is no correlation"),
    ] {
        let said = said_of(&["correlated d b 0.1 \"rail\"", item]);
        assert_eq!(said.len(), 1, "{said:?}");
        assert_eq!((said[0].0, said[0].1.as_str()), (rule, item));
        assert!(said[0].2.starts_with(begins), "{said:?}");
    }
    let twice = said_of(&["correlated a b 0.5 \"rail\"", "correlated b a 0.4 \"rail\""]);
    assert!(matches!(&twice[..], [("course", _, message)] if message.ends_with("are tied twice")), "{twice:?}");
}

#[test]
fn correlations_that_cannot_hold_together_are_told_with_what_would() {
    let list = ["correlated a b 0.9 \"rail\"", "correlated b d 0.9 \"rail\""];
    let said = said_of(&list);
    assert!(
        matches!(&said[..], [("correlation", place, message)]
        if place == list[1] && message == "the correlations of `a`, `b`, `d` cannot all hold together"),
        "{said:?}"
    );
    assert_eq!(said_of(&[list[0], list[1], "correlated a d 0.63 \"rail\""]), []);
    assert_eq!(said_of(&[list[0], list[1], "correlated a d 0.61 \"rail\""]).len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever is cut out of a report and typed into it: places are places of the source, messages are one
    /// line, and making the certain changes comes to an end.
    #[test]
    fn findings_and_their_changes_hold_on_broken_reports(
        file in any::<prop::sample::Index>(),
        from in any::<prop::sample::Index>(),
        slips in prop::collection::vec((any::<prop::sample::Index>(), prop::sample::select(&PIECES[..])), 0..10),
    ) {
        let files = fixtures();
        let source = fs::read_to_string(file.get(&files)).unwrap();
        let mut text: Vec<char> = source.chars().skip(from.index(source.chars().count())).take(1_000).collect();
        for (at, piece) in slips {
            let at = at.index(text.len() + 1);
            text.splice(at..(at + 1).min(text.len()), piece.chars());
        }
        let mut text: String = text.into_iter().collect();
        for round in 0.. {
            prop_assert!(round < 40, "changes without end: {text}");
            let found = findings(&text);
            for finding in &found {
                let places = finding.edits.iter().map(|edit| edit.span).chain(finding.related.iter().map(|r| r.span));
                prop_assert!(places.chain([finding.span]).all(|span| text.get(span.range()).is_some()), "{finding:?}");
                prop_assert!(!finding.message.contains('\n') && !finding.help.contains('\n'), "{finding:?}");
            }
            let Some(changed) = fix::fixed(&text, &found) else { break };
            text = changed;
        }
    }
}

fn messages(source: &str, rule: &str) -> Vec<String> {
    findings(source).into_iter().filter(|found| found.rule == rule).map(|found| found.message).collect()
}

const LENGTHS: &str = "~{a = 4.10 cm; reading 0.05 cm \"edge\"}, ~{b = 4.15 cm; reading 0.05 cm \"edge\"}, \
                       ~{F = 2.40 N; reading 0.05 N \"trembling\"}, ~{t = 1.32 s; reaction 0.20 s \"by hand\"}";

#[test]
fn a_doubtful_divisor_is_told_in_the_units_of_its_author() {
    let told = |formula: &str| messages(&format!("{LENGTHS}: ~{{k = {formula}}}.\n"), "doubtful-divisor").concat();
    assert!(told("F / (b - a)").contains("(0.05 ± 0.1 cm)"), "{}", told("F / (b - a)"));
    assert!(told("F / ((b - a) / t)").contains("cm/s)"), "{}", told("F / ((b - a) / t)"));
    assert!(told("F / (t * (b - a) / b)").contains(" s)"), "{}", told("F / (t * (b - a) / b)"));
    assert!(told("F / abs(b - a)").contains("in SI units)"), "{}", told("F / abs(b - a)"));
    let warmed = "~{T_1 = 20.1 degC; reading 0.1 degC \"scale\"}, ~{T_2 = 20.2 degC; reading 0.1 degC \"scale\"}, \
                  ~{Q = 12 J; ± 1 J \"meter\"}: ~{C = Q / (T_2 - T_1)}.\n";
    assert!(messages(warmed, "doubtful-divisor").concat().contains("(0.1 ± 0.2 K)"));
}

#[test]
fn units_that_differ_are_told_as_their_author_typed_them() {
    let told = |item: &str| messages(&format!("{LENGTHS}: ~{{{item}}}.\n"), "units-differ").concat();
    for (item, said) in [
        ("v = a + t", "a quantity in cm is added to a quantity in s,"),
        ("v = a/t - F", "a quantity in N is taken from a quantity in cm/s,"),
        ("v = a * b in cm", "`cm` is no unit of this result, which is in m^2"),
        ("v = a in mm; stated 41 ms", "stated figure is in ms, but what was computed is in mm"),
        ("v = 12.0 mm; reading 2 ms \"edge\"", "this uncertainty is in `ms`, but its value is in `mm`"),
        ("a against 3 min", "a quantity in cm is compared with a quantity in min,"),
        ("a against t", "a quantity in cm is compared with a quantity in s,"),
        ("v = sqrt(F*a) + t", "a quantity in s,"),
    ] {
        assert!(told(item).contains(said), "{item}: {}", told(item));
    }
}

#[test]
fn millibarns_are_doubted_beside_pressures_alone() {
    let times = |source: &str| messages(source, "doubtful-unit").len();
    assert_eq!(times("~{p = 1013 mb; reading 1 mb \"needle\"}\n"), 1);
    assert_eq!(times("~{q \"barometer\" = 1013 mb; reading 1 mb \"needle\"}\n"), 1);
    assert_eq!(times("~{q = 1013 mb; reading 1 mb \"needle\"}, ~{r = 2.1 kPa; reading 0.1 kPa \"needle\"}\n"), 1);
    assert_eq!(times("~{sigma \"cross-section\" = 66 mb; ± 2 mb \"fit\"}\n"), 0);
    assert_eq!(times("~{p = 1013 mbar; reading 1 mbar \"needle\"}\n"), 0);
}

#[test]
fn shapes_in_other_words_are_understood() {
    for (amount, help) in [
        ("0.3 g k2", "`k 2`"),
        ("0.3 g k = 2", "take the `=` out"),
        ("0.3 g (k = 2)", "without brackets"),
        ("0.3 g uniform", "`rectangular`"),
        ("0.3 g gaussian", "`normal`"),
        ("0.3 g level 95", "in per cent"),
        ("0.3 g; dof 9", "take the `;` before it out"),
    ] {
        let found = findings(&format!("~{{m = 10.1 g; instrument {amount} \"certificate\"}}, so ~{{m}}.\n"));
        assert!(found.iter().any(|f| f.help.contains(help)), "{amount}: {:?}", found.iter().map(|f| &f.help));
    }
    let prose = findings("~{m = 10.1 g; instrument 0.3 g (by hand)}, so ~{m}.\n");
    assert!(prose.iter().any(|f| f.help.contains("put double quotes about it")));
}

#[test]
fn a_scatter_known_from_elsewhere_is_told_its_form() {
    let found = findings("~{m = 10.1 g; repeat 0.3 g \"ten readings last week\"}, so ~{m}.\n");
    assert!(found.iter().any(|f| f.help.contains("`±` and its amount")), "{}", told(&found));
}

#[test]
fn points_are_multiplied_in_columns_too_and_told_once() {
    let source = "| ~{T \"air\" [degC]; instrument 0.5 degC \"sheet\"} | ~{V \"air\" [mL]; instrument 0.5 mL \"sheet\"} | ~{q [mL/K] = V / T} |\n\
                  |--|--|--|\n| 20.0 | 50.1 | |\n| 40.0 | 53.4 | |\n";
    assert_eq!(messages(source, "point-multiplied").len(), 1);
}

#[test]
fn a_negative_number_of_kelvin_is_a_difference() {
    let times =
        |value: &str| messages(&format!("~{{D = {value}; ± 0.4 K \"bed\"}}, so ~{{D}}.\n"), "larger-than-value").len();
    assert_eq!([times("-0.1 K"), times("0.1 K")], [0, 1]);
}
