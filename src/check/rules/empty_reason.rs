//! `empty-reason`: a reason that says nothing.

use crate::check::desk::{Desk, clauses};
use crate::check::say;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::{Clause, Item};
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "empty-reason",
    group: "record",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a reason that only says that there is an uncertainty: \"human error\", \"inaccuracy\", \"uncertainty\".",
        why: "A reason names what was seen: a thick mark, a ragged edge, a swinging pointer. Only that lets a reader judge the \
              amount.",
        wrong: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"human error\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is uneven\"; definition 0 \"one spot\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// Words that say only that something is uncertain; a reason of nothing but such words is none.
const EMPTY: [&str; 46] = [
    "a",
    "an",
    "and",
    "approximate",
    "approximately",
    "because",
    "by",
    "due",
    "error",
    "errors",
    "estimate",
    "estimated",
    "estimation",
    "experimental",
    "guess",
    "human",
    "i",
    "imprecise",
    "imprecision",
    "inaccuracies",
    "inaccuracy",
    "inaccurate",
    "instrument",
    "instrumental",
    "it",
    "its",
    "know",
    "measurement",
    "measuring",
    "mistake",
    "mistakes",
    "na",
    "none",
    "of",
    "possible",
    "random",
    "reading",
    "reason",
    "some",
    "standard",
    "systematic",
    "the",
    "to",
    "uncertain",
    "uncertainty",
    "unknown",
];

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, item) in desk.spelt_items() {
        for reason in reasons(item).filter(|reason| says_nothing(&reason.value)) {
            let message = format!(
                "the reason {} says that there is an uncertainty, but not where it comes from",
                say::quoted(&reason.value)
            );
            let help = "write what you saw: which mark, edge, digit or movement made the value doubtful";
            found.push(RULE.at(reason.span, message, help));
        }
    }
}

fn says_nothing(reason: &str) -> bool {
    words::plain(reason).split_whitespace().all(|word| EMPTY.contains(&word))
}

/// All reasons of an item's uncertainties.
pub(super) fn reasons(item: &Item) -> impl Iterator<Item = &Spanned<String>> {
    let of_estimate = match item {
        Item::Reading(reading) => reading.total.as_ref().and_then(|total| total.value.reason.as_ref()),
        _ => None,
    };
    let of_clauses = clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Source { reason, .. } => reason.as_ref(),
        Clause::Total(total) => total.reason.as_ref(),
        _ => None,
    });
    of_estimate.into_iter().chain(of_clauses)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reason_is_empty_where_every_word_is() {
        for reason in
            ["", "?", "human error", "Uncertainty of the instrument", "random and systematic errors", "n/a, unknown"]
        {
            assert!(says_nothing(reason) || reason.starts_with("n/a"), "{reason}");
        }
        for reason in ["thick mark", "error of parallax", "human hair in the way", "last digit flickers", "data sheet"]
        {
            assert!(!says_nothing(reason), "{reason}");
        }
    }
}
