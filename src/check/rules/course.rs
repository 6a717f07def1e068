//! `course`: a mistake in the report's own front matter.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "course",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a key or a value under `meniscus` in the report's front matter that means nothing there, or that the course \
               does not let a report change.",
        why: "What is not understood is not done: the report would be read by other rules than its author believes.",
        wrong: "---\nmeniscus:\n  digit: 2\n---\n\nThe pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        right: "---\nmeniscus:\n  digits: 2\n---\n\nThe pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in &desk.context.course.faults {
        found.push(RULE.at(fault.span, fault.message.as_str(), fault.help.as_str()));
    }
}
