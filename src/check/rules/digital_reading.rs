//! `digital-reading`: a reading uncertainty on a digital display.

use crate::check::desk::Desk;
use crate::check::instrument;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Source;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "digital-reading",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a `reading` uncertainty of a number that was taken from an instrument with a digital display.",
        why: "A display leaves nothing to the eye: its digits are read or misread. What limits it is the instrument, and the \
              data sheet says how much.",
        wrong: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.1 g, instrument: 0.2 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; with balance; reading 0.1 g \"last digit\"}.\n",
        right: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.1 g, instrument: 0.2 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; with balance}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        // What an instrument brings in itself is not the author's.
        let by_eye =
            |source: &&Source| source.kind == Kind::Reading && source.amount != 0.0 && source.instrument.is_none();
        let mut clauses = quantity.sources.iter().filter(by_eye).peekable();
        if clauses.peek().is_none() || instrument::display(desk, quantity).is_none() {
            continue;
        }
        for source in clauses {
            let message = "this is a reading uncertainty, but a digital display leaves nothing to the eye";
            let help = "take the clause out: the instrument brings its own; if the last digit flickers, call it `definition` and say so";
            found.push(RULE.at(source.span, message, help));
        }
    }
}
