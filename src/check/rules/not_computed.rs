//! `not-computed`: a word that is known, where nothing is computed with it.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
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

fn named(what: &str) -> String {
    match what {
        "column" => "a column of a table".into(),
        "graph" => "a graph past the hundredth of a report".into(),
        "mean" => "the mean of a column past the 64th with `repeat` of its table".into(),
        "formula" => "this formula".into(),
        "tied" => "one more line through a column that a hundred lines go through already".into(),
        "line" => "one more line in a report whose lines rest on thousands of results each".into(),
        function => format!("`{function}`"),
    }
}
