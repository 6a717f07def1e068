//! `reading-on-display`: a display that was read as a scale is read.

use crate::check::desk::Desk;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::Clause;
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "reading-on-display",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a `reading` uncertainty of a number which the author's words say was shown by a digital display. It keeps \
               silent where an instrument of the course is named: `digital-reading` speaks there.",
        why: "A display leaves nothing to the eye: its digits are read or misread. What limits it is the instrument, and the \
              data sheet says how much.",
        wrong: "The wax weighs ~{m = 48.3 g; reading 0.1 g \"last digit of the digital balance\"}.\n",
        right: "The wax weighs ~{m = 48.3 g; instrument 0.1 g \"last digit of the digital balance\"}.\n",
        edit: Some("Writes `instrument` for `reading`, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for told in words::told(desk) {
        let mut readings = told.clauses.iter().filter_map(by_eye).peekable();
        if readings.peek().is_none() || !told.is_display(desk) {
            continue;
        }
        found.extend(readings.map(|(clause, kind)| {
            let message = "this is a reading uncertainty, but a digital display leaves nothing to the eye";
            let help =
                "write `instrument` for `reading`, with what the data sheet says; without one, one step of the display";
            RULE.at(clause, message, help).suggest(kind, "instrument")
        }));
    }
}

/// The place of a clause that states a reading uncertainty above zero, and of its kind.
fn by_eye(clause: &Spanned<Clause>) -> Option<(Span, Span)> {
    match &clause.value {
        Clause::Source { kind, amount: Some(amount), .. }
            if kind.value == "reading" && !super::no_reason::is_zero(&amount.value) =>
        {
            Some((clause.span, kind.span))
        }
        _ => None,
    }
}
