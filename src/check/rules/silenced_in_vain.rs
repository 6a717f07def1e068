//! `silenced-in-vain`: a silence that is no longer needed.

use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::span::Span;

pub(in crate::check) static RULE: Rule = Rule {
    name: "silenced-in-vain",
    group: "course",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a comment that silences a rule which has nothing to say of the next block.",
        why: "The slip is put right, or the comment stands before the wrong block. Left there, it would hide the next one.",
        wrong: "<!-- meniscus: silence coarse-reading \"marks at every centimetre\" -->\n\n\
                The pot is ~{h = 14.0 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        right: "<!-- meniscus: silence coarse-reading \"marks at every centimetre\" -->\n\n\
                The pot is ~{h = 14 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        edit: Some("Takes the comment out."),
        source: NOTATION,
    },
    // Silences are read when all other rules have spoken.
    check: |_, _: &mut Vec<Finding>| (),
};

/// The finding about one comment.
pub(in crate::check) fn worded(rule: &str, comment: Span) -> Finding {
    let message = format!("`{rule}` has nothing to say of the next block, so this comment silences nothing");
    RULE.at(comment, message, "take the comment out, or put it before the block that it is about").certain(comment, "")
}
