//! `lengths-differ`: columns of different length side by side.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "lengths-differ",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a formula that goes through two columns row by row where one has more rows than the other.",
        why: "Rows belong together by their number. Where one column ends early, the last rows of the other have no partner.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 4.25 |\n\n\
                | ~{F [N]; ± 0.05 N \"spring balance\"} | ~{k [N/m] = F / x} |\n|---|---|\n| 0.49 | |\n| 0.98 | |\n| 1.47 | |\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.05 N \"spring balance\"} | ~{k [N/m] = F / x} |\n|---|---|---|\n\
                | 2.10 | 0.49 | |\n| 4.25 | 0.98 | |\n| 6.40 | 1.47 | |\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::LengthsDiffer { left, right } = fault.kind else { continue };
        let message = format!("a column of {left} rows meets one of {right} here, so some rows have no partner");
        found.push(RULE.at(
            fault.span,
            message,
            "put both columns into one table, with a dash where a reading is missing",
        ));
    }
}
