//! `unknown-kind`: a kind of uncertainty that the course does not know.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Limit;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "unknown-kind",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a clause that begins with a word which is no kind of uncertainty here.",
        why: "The kind says where the doubt comes from: the eye, the thing itself, the maker. A word that nobody knows says nothing.",
        wrong: "The clay pot is ~{h = 14.3 cm; raeding 0.1 cm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Writes the nearest kind, as a suggestion; where only a capital is wrong, for certain."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::UnknownKind { word, nearest } = &fault.kind else { continue };
        let message =
            format!("`{word}` is no kind of uncertainty known here, so it does not say where the doubt comes from");
        // What kind of limit the amount before is, taken for a clause of its own.
        if Limit::WORDS.contains(&word.as_str()) {
            let help = format!(
                "take the `;` before it out: `{word}` belongs to the amount, as in `instrument 0.3 g normal dof 9`"
            );
            found.push(RULE.at(fault.span, message, help));
            continue;
        }
        found.push(match nearest {
            // A capital letter is all that is wrong.
            Some(nearest) if *nearest == word.to_lowercase() => {
                RULE.at(fault.span, message, format!("write `{nearest}`")).certain(fault.span, nearest)
            }
            Some(nearest) => RULE.at(fault.span, message, format!("write `{nearest}`")).suggest(fault.span, nearest),
            None => {
                let known: Vec<String> = Kind::KNOWN.iter().map(|kind| format!("`{kind}`")).collect();
                let known = say::one_of(&known);
                RULE.at(
                    fault.span,
                    message,
                    format!("write {known}, or define `{word}` under `kinds` in the front matter"),
                )
            }
        });
    }
}
