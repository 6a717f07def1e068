//! `silence-unread`: a comment that would silence a rule and cannot be read.

use crate::check::{Finding, NOTATION, Page, Rule, Severity};

pub(in crate::check) static RULE: Rule = Rule {
    name: "silence-unread",
    group: "course",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a comment that begins with `meniscus:` and names no rule, gives no reason in quotes, or says something \
               else.",
        why: "A finding is silenced by a judgement, and the reason is its record. A comment that is not understood silences \
              nothing, and its author believes that it does.",
        wrong: "<!-- meniscus: silence coarse-reading -->\n\nThe pot is ~{h = 14.0 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        right: "<!-- meniscus: silence coarse-reading \"marks at every centimetre\" -->\n\n\
                The pot is ~{h = 14 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        edit: None,
        source: NOTATION,
    },
    // Silences are read when all other rules have spoken.
    check: |_, _: &mut Vec<Finding>| (),
};
