//! `course`: a mistake in the report's own front matter, or against what the course has fixed.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "course",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at what cannot be used under the key `meniscus` of the front matter: a key or a word that is not \
               known, an amount that cannot be read, an instrument that is half described, a change of what the course \
               has fixed.",
        why: "What cannot be read is left out, and the report is then worked out by other rules, or with other \
              instruments, than its author thinks.",
        wrong: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, divison: 1 mm}\n---\n\n\
                The pot is ~{h = 14.3 ± 0.1 cm \"rule, rim to rim\"} high.\n",
        right: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 14.3 ± 0.1 cm \"rule, rim to rim\"} high.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let faults = &desk.context.course.faults;
    found.extend(faults.iter().map(|fault| RULE.at(fault.span, &fault.message, &fault.help)));
    if faults.is_empty() {
        found.extend(broken_instruments(desk));
    }
}

/// A description that could not be read when it was needed: each is said once, where it is first used.
fn broken_instruments(desk: &Desk<'_>) -> Vec<Finding> {
    let mut said = HashSet::new();
    let mut found = Vec::new();
    for fault in desk.faults() {
        let (word, what) = match &fault.kind {
            FaultKind::BrokenInstrument { word, key } => (word.as_str(), format!("a `{key}` that cannot be read")),
            FaultKind::UnknownUnit(unknown) if desk.lies_in_instrument(fault) => {
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
    found
}
