//! `thousands-separator`: `1,200` or `1 200`.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::parse::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "thousands-separator",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a number whose thousands are parted by a comma or a blank.",
        why: "Inside an item a comma parts the values of a list and a blank ends the number, so the groups would be \
              taken for numbers of their own.",
        wrong: "The tank holds ~{V = 1,200 L; reading 5 L \"the gauge's needle trembles\"}.\n",
        right: "The tank holds ~{V = 1200 L; reading 5 L \"the gauge's needle trembles\"}.\n",
        edit: Some("Takes the separator out."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.context.items.iter().flat_map(|parsed| &parsed.faults) {
        let FaultKind::ThousandsSeparator { right } = &fault.kind else { continue };
        let message =
            format!("`{}` has its thousands parted, so it reads as more than one number", desk.text(fault.span).trim());
        found.push(RULE.at(fault.span, message, format!("write `{right}`")).suggest(fault.span, right));
    }
}
