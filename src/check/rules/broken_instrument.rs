//! `broken-instrument`: an instrument whose description cannot be read.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "broken-instrument",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at the first use of an instrument whose description, in the course file or the front matter, has an \
               amount or a unit that cannot be read.",
        why: "The readings taken with it would stand without their uncertainties.",
        wrong: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mmm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 14.3 cm; with rule} high.\n",
        right: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 14.3 cm; with rule} high.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut said = HashSet::new();
    for fault in desk.faults() {
        let FaultKind::BrokenInstrument { word, key } = &fault.kind else { continue };
        if said.insert((word, key)) {
            let message = format!("the instrument `{word}` is described with a `{key}` that cannot be read");
            let help = format!("correct `{key}` of `{word}` under `instruments`: a number and a unit, as in `1 mm`");
            found.push(RULE.at(fault.span, message, help));
        }
    }
}
