//! `too-few-values`: a line through one point.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "too-few-values",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a mean, a scatter or a fitted line of fewer values than it needs, missing readings and values left out not counted.",
        why: "A line needs two points and a scatter two values; with fewer there is nothing to work out.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n\nThe scatter is ~{s = sd(x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} |\n|---|\n| 2.10 |\n| 2.25 |\n\nThe scatter is ~{s = sd(x)}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        if fault.kind == FaultKind::AllLeftOut {
            let message = "every value of this list is left out, so that no mean remains";
            found.push(RULE.at(
                fault.span,
                message,
                "keep the values that nothing speaks against, or take new readings",
            ));
        }
        let FaultKind::TooFewValues { function, needs, has } = fault.kind else { continue };
        let values = if needs == 1 { "one value" } else { &format!("{needs} values") };
        let message = format!("`{function}` needs at least {values}, but the column holds {has}");
        found.push(RULE.at(fault.span, message, "take more readings, or fill the cells that are empty"));
    }
}
