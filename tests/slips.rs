//! The marker's eye on whole reports. `tests/cases/slips/` holds reports as first-year students write them,
//! each with a list of what a careful instructor circles in it; `tests/cases/clean/` holds reports in which
//! there is nothing to circle. Run with `--nocapture` for the table.
//!
//! Beside `pot.md` stands `pot.slips`, one line a slip: `line:column severity rule place`, the place as it
//! stands in the report, `⏎` for the end of a line. What is not listed must not be drawn.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]
#![allow(clippy::print_stdout, reason = "the table is what this test is for")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use meniscus::check::{Certainty, Finding, Severity, fix, rules};
use meniscus::course::Course;
use meniscus::evaluate::sheet::{Column, Origin};
use meniscus::report::{self, Report};
use meniscus::span::{Lines, Span};

/// A slip of a list, or a finding put in the same words.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Slip {
    line: usize,
    column: usize,
    severity: &'static str,
    rule: String,
    place: String,
}

impl Slip {
    fn read(line: &str) -> Self {
        let mut words = line.splitn(4, ' ');
        let mut word = || words.next().unwrap_or("");
        let (at, severity, rule, place) = (word(), word(), word(), word());
        let (line_number, column) = at.split_once(':').unwrap();
        let severity = SEVERITIES.into_iter().map(|(_, name)| name).find(|name| *name == severity);
        Self {
            line: line_number.parse().unwrap(),
            column: column.parse().unwrap(),
            severity: severity.unwrap(),
            rule: rule.to_owned(),
            place: place.trim_end().to_owned(),
        }
    }

    fn of(finding: &Finding, source: &str, lines: &Lines) -> Self {
        let at = lines.position(finding.span.start);
        let place = finding.span.of(source).replace("\r\n", "\n").replace('\n', "⏎");
        Self {
            line: at.line,
            column: at.column,
            severity: named(finding.severity),
            rule: finding.rule.to_owned(),
            place: place.trim_end().to_owned(),
        }
    }

    fn row(&self, report: &str, found: &str) -> String {
        let Self { line, column, severity, rule, place } = self;
        format!("{report:<20} {:>7}  {severity:<7}  {rule:<24} {found:<10} {place}\n", format!("{line}:{column}"))
    }
}

const SEVERITIES: [(Severity, &str); 3] =
    [(Severity::Advice, "advice"), (Severity::Warning, "warning"), (Severity::Error, "error")];

fn named(severity: Severity) -> &'static str {
    SEVERITIES.into_iter().find(|(known, _)| *known == severity).unwrap().1
}

/// A report of the corpus and its list.
struct Case {
    name: String,
    source: String,
    slips: BTreeSet<Slip>,
}

fn cases(folder: &str) -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(folder);
    let paths = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
    let mut reports: Vec<PathBuf> = paths.filter(|path| path.extension().is_some_and(|e| e == "md")).collect();
    reports.sort();
    let case = |path: &PathBuf| Case {
        name: path.file_stem().unwrap().to_str().unwrap().to_owned(),
        source: fs::read_to_string(path).unwrap(),
        slips: fs::read_to_string(path.with_extension("slips")).unwrap_or_default().lines().map(Slip::read).collect(),
    };
    reports.iter().map(case).collect()
}

fn read(source: &str) -> Report<'_> {
    report::read(source, &Course::default())
}

fn drawn(source: &str) -> BTreeSet<Slip> {
    let lines = Lines::new(source);
    read(source).findings.iter().map(|finding| Slip::of(finding, source, &lines)).collect()
}

#[test]
fn slips() {
    let (mut table, mut wrong, mut planted) = (String::new(), String::new(), 0);
    let cases = cases("slips");
    for Case { name, source, slips } in &cases {
        let drawn = drawn(source);
        planted += slips.len();
        for slip in slips {
            let found = drawn.contains(slip);
            let row = slip.row(name, if found { "found" } else { "MISSED" });
            table += &row;
            wrong += if found { "" } else { &row };
        }
        for stray in drawn.difference(slips) {
            let row = stray.row(name, "UNPLANTED");
            table += &row;
            wrong += &row;
        }
    }
    println!("{table}\n{planted} slips in {} reports", cases.len());
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(planted >= 120 && cases.len() >= 30, "only {planted} slips in {} reports", cases.len());
}

/// Advices that honest reports draw all the same, each with the reason why it stands.
const FAIR_ADVICE: [(&str, &str, &str); 0] = [];

#[test]
fn reports_without_slips_draw_nothing() {
    let cases = cases("clean");
    let mut wrong = String::new();
    for Case { name, source, .. } in &cases {
        for stray in drawn(source) {
            let fair = FAIR_ADVICE.iter().any(|(report, rule, _)| report == name && *rule == stray.rule);
            wrong += &if fair && stray.severity == "advice" { String::new() } else { stray.row(name, "UNPLANTED") };
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(cases.len() >= 25, "only {} clean reports", cases.len());
}

/// Rules that no report of this version has to draw, with the reason.
const NOT_PLANTED: [(&str, &str); 1] =
    [("not-computed", "every form that the notation has is meant to be computed one day")];

#[test]
fn slips_of_every_rule_are_planted() {
    let cases = cases("slips");
    let planted: BTreeSet<&str> = cases.iter().flat_map(|case| &case.slips).map(|slip| &*slip.rule).collect();
    let spared = |name: &str| NOT_PLANTED.iter().any(|(known, _)| *known == name);
    let missing: Vec<_> =
        rules().iter().map(|rule| rule.name).filter(|name| !planted.contains(name) && !spared(name)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// What a report's quantities come to, by their symbols: value and uncertainty, to the last bit.
fn values(report: &Report<'_>) -> BTreeMap<String, (u64, u64)> {
    let quantities = report.sheet.quantities.iter().filter_map(|quantity| {
        let measure = quantity.measure?;
        Some((quantity.symbol.as_str().to_owned(), (measure.value.to_bits(), measure.uncertainty.to_bits())))
    });
    quantities.collect()
}

/// The quantities that have another value, or none any more.
fn changed(before: &BTreeMap<String, (u64, u64)>, after: &BTreeMap<String, (u64, u64)>) -> BTreeSet<String> {
    before
        .iter()
        .filter(|&(symbol, value)| after.get(symbol) != Some(value))
        .map(|(symbol, _)| symbol.clone())
        .collect()
}

/// The quantities that stand where the finding does, in their item or in their table, and all that is worked out of
/// them.
fn about(finding: &Finding, report: &Report<'_>) -> BTreeSet<String> {
    let holds = |span: Span| span.start <= finding.span.start && finding.span.end <= span.end;
    let mut about = BTreeSet::new();
    // Once more for each step that one quantity may be away from another.
    for _ in 0..report.sheet.quantities.len() {
        for (id, quantity) in report.sheet.quantities.iter().enumerate() {
            let in_table =
                |column: &Column| report.document.tables.get(column.table).is_some_and(|table| holds(table.span));
            let here = holds(report.document.places[quantity.item].span)
                || matches!(&quantity.origin, Origin::Column(column) if in_table(column));
            if here || quantity.operands.iter().any(|operand| about.contains(operand)) {
                about.insert(id);
            }
        }
    }
    about.into_iter().map(|id| report.sheet.quantities[id].symbol.as_str().to_owned()).collect()
}

/// Where a byte of the source stands after a finding's edits.
fn moved(at: usize, finding: &Finding) -> usize {
    let before = finding.edits.iter().filter(|edit| edit.span.end <= at && edit.span.start < at);
    before.fold(at, |at, edit| at + edit.text.len() - (edit.span.end - edit.span.start))
}

/// Rules whose findings stand in the way of reading an item: put right, they let others be seen.
const REVEAL: [&str; 8] = [
    "syntax",
    "unclosed",
    "decimal-comma",
    "thousands-separator",
    "unit-spelling",
    "no-number-in-cell",
    "negative-uncertainty",
    // `5 +- 1` is a measurement in the text as soon as it is written as one.
    "ascii-plus-minus",
];

#[test]
fn certain_changes_settle_their_slips_and_change_no_value() {
    let mut wrong = String::new();
    for Case { name, source, .. } in cases("slips") {
        let before = read(&source);
        for finding in before.findings.iter().filter(|finding| fix::is_certain(finding)) {
            let after_text = fix::with(&source, [finding]).unwrap();
            let after = read(&after_text);
            let at = moved(finding.span.start, finding);
            let mut fail =
                |what: &str| wrong += &format!("{name}: {} at {}: {what}\n", finding.rule, finding.span.start);
            if after.findings.iter().any(|other| other.rule == finding.rule && other.span.start == at) {
                fail("is drawn again");
            }
            let mut others = changed(&values(&before), &values(&after));
            if REVEAL.contains(&finding.rule) {
                let meant = about(finding, &before);
                others.retain(|symbol| !meant.contains(symbol));
            }
            if !others.is_empty() {
                fail(&format!("changes {others:?}"));
            }
            let rules_of = |report: &Report<'_>| {
                let mut rules: Vec<&str> = report.findings.iter().map(|finding| finding.rule).collect();
                rules.sort_unstable();
                rules
            };
            let (old, mut new) = (rules_of(&before), rules_of(&after));
            for rule in old {
                if let Some(known) = new.iter().position(|other| *other == rule) {
                    new.remove(known);
                }
            }
            if !new.is_empty() {
                println!("{name}: {} put right reveals {new:?}", finding.rule);
            }
            if !new.is_empty() && !REVEAL.contains(&finding.rule) {
                fail(&format!("brings {new:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn suggestions_settle_their_slips() {
    let mut wrong = String::new();
    for Case { name, source, .. } in cases("slips") {
        let before = read(&source);
        let suggests = |finding: &&Finding| finding.edits.iter().any(|edit| edit.certainty == Certainty::Suggestion);
        for finding in before.findings.iter().filter(suggests) {
            let after_text = fix::with(&source, [finding]).unwrap();
            let at = moved(finding.span.start, finding);
            let again = |other: &&Finding| other.rule == finding.rule && other.span.start == at;
            if let Some(again) = read(&after_text).findings.iter().find(again) {
                wrong += &format!(
                    "{name}: {} at {}: {} -> {}\n",
                    finding.rule, finding.span.start, finding.message, again.message
                );
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn slips_put_right_round_by_round_come_to_an_end() {
    for Case { name, source, .. } in cases("slips") {
        let first = read(&source);
        let certain = first.findings.iter().filter(|finding| fix::is_certain(finding));
        let meant: BTreeSet<String> = certain.flat_map(|finding| about(finding, &first)).collect();
        let mut text = source.clone();
        for round in 0.. {
            assert!(round < 10, "{name}: changes without end");
            let Some(next) = fix::fixed(&text, &read(&text).findings) else { break };
            text = next;
        }
        let last = read(&text);
        let others = changed(&values(&first), &values(&last));
        assert!(others.is_subset(&meant), "{name}: {others:?}");
        assert!(!last.findings.iter().any(fix::is_certain), "{name}");
    }
}
