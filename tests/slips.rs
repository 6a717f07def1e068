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
use meniscus::report::{self, Report};
use meniscus::span::Lines;

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
