//! `course`: a mistake in the report's own front matter.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::{Fault, FaultKind};

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
    if desk.context.course.faults.is_empty() {
        broken_instruments(desk, found);
    }
}

/// Descriptions that could not be read when they were needed. Front matter is read through before, and told where
/// it is wrong; a course that came another way is told where an instrument is used first.
fn broken_instruments(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut said = HashSet::new();
    for fault in desk.faults() {
        let (word, what) = match &fault.kind {
            FaultKind::BrokenInstrument { word, key } => (word.as_str(), format!("a `{key}` that cannot be read")),
            FaultKind::UnknownUnit(unknown) if of_instrument(desk, fault) => {
                (desk.text(fault.span), format!("the unit `{}`, which is not known here", unknown.symbol))
            }
            _ => continue,
        };
        let message = format!("the instrument `{word}` is described with {what}");
        let help = format!("correct it under `instruments`, `{word}`: an amount is a number and a unit, as in `1 mm`");
        if said.insert(message.clone()) {
            found.push(RULE.at(fault.span, message, help));
        }
    }
}

/// Does a fault lie in the description of the instrument that a `with` names, not in the item?
pub(super) fn of_instrument(desk: &Desk<'_>, fault: &Fault) -> bool {
    desk.context.course.instruments.contains_key(desk.text(fault.span))
}
