//! `opener-given-up`: a `~{` that Markdown lets be neither text nor code.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "opener-given-up",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a `~{` that is swallowed by the Markdown around it: a code span, a link or a piece of HTML \
               that begins before the item and ends inside it.",
        why: "What Markdown reads as something else is not computed, and nothing in the page would show that.",
        wrong: "",
        right: "",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for &span in &desk.context.document.given_up {
        found.push(RULE.at(
            span,
            "this `~{` is swallowed by the Markdown around it, so no item is read here",
            "close the backtick, link or HTML tag that begins before it, or write `\\~{` where no item is meant",
        ));
    }
}
