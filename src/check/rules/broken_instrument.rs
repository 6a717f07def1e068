//! `broken-instrument`: an instrument whose description cannot be read.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::{Fault, FaultKind};

pub(super) static RULE: Rule = Rule {
    name: "broken-instrument",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at the first use of an instrument whose description, in the course file or the front matter, has an \
               amount or a unit that cannot be read.",
        why: "The readings taken with it would stand without their uncertainties.",
        wrong: "",
        right: "",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // What the front matter has wrong is pointed at there, by `course`.
    if !desk.context.course.faults.is_empty() {
        return;
    }
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
