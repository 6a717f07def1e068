//! `not-computed`: a word that is known, where nothing is computed with it.

use crate::check::desk::Desk;
use crate::check::expectation::place_of;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::course::Combine;
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "not-computed",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a word of the notation in a place where this version computes nothing with it.",
        why: "Better an honest gap in the page than a number that leaves something out.",
        wrong: "",
        right: "",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    of_course(desk, found);
    for fault in desk.faults() {
        let FaultKind::NotComputed { what } = fault.kind else { continue };
        let message = format!("{} cannot be computed in this version, so its place stays empty", named(what));
        found.push(RULE.at(
            fault.span,
            message,
            "work it out by hand, record the result in an item, and take this out",
        ));
    }
}

/// Keys of the course that ask for more than this version computes: what is shown would not be what the
/// course believes.
fn of_course(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let course = desk.context.course;
    let standard = course.combine == Combine::Standard;
    let asked = [
        ("coverage", standard && course.coverage.is_some(), "expanded uncertainties", "results show the standard one"),
        (
            "correlations",
            standard && !course.correlations.is_empty(),
            "correlated readings",
            "they are taken as independent",
        ),
    ];
    for (key, _, what, instead) in asked.into_iter().filter(|(_, asked, ..)| *asked) {
        let message = format!("{what} cannot be computed in this version, so {instead}");
        found.push(RULE.at(
            place_of(desk, &[key]),
            message,
            format!("take `{key}` out, or say in the report what is shown"),
        ));
    }
}

fn named(what: &str) -> String {
    match what {
        "column" => "a column of a table".into(),
        "graph" => "a graph past the hundredth of a report".into(),
        "formula" => "this formula".into(),
        "tied" => "one more line through a column that a hundred lines go through already".into(),
        "line" => "one more line in a report whose lines rest on thousands of results each".into(),
        function => format!("`{function}`"),
    }
}
