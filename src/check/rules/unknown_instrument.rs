//! `unknown-instrument`: `with` something that neither the course nor the report describes.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "unknown-instrument",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a `with` whose instrument is described neither by the course nor in the report's front matter.",
        why: "The instrument brings the reading's uncertainties with it; an unknown one brings none.",
        wrong: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 14.30 cm; with ruler} high.\n",
        right: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 14.30 cm; with rule} high.\n",
        edit: Some("Writes the nearest instrument's word, as a suggestion."),
        source: NOTATION,
    },
    check,
};

/// How many instruments a help line lists.
const MOST_LISTED: usize = 6;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::UnknownInstrument { word, nearest } = &fault.kind else { continue };
        let message = format!("no instrument `{word}` is described here, so it brings no uncertainty with it");
        found.push(match nearest {
            Some(nearest) => {
                let help = format!(
                    "write `{nearest}` if that is the one, or describe `{word}` under `instruments` in the front matter"
                );
                RULE.at(fault.span, message, help).suggest(fault.span, nearest)
            }
            None => RULE.at(fault.span, message, listed(desk, word)),
        });
    }
}

fn listed(desk: &Desk<'_>, word: &str) -> String {
    let known: Vec<String> =
        desk.context.course.instruments.keys().take(MOST_LISTED).map(|known| format!("`{known}`")).collect();
    let describe = format!("describe `{word}` under `instruments` in the front matter");
    if known.is_empty() { describe } else { format!("{describe}, or write {}", say::one_of(&known)) }
}
