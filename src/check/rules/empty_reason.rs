//! `empty-reason`: a reason that says nothing.

use std::borrow::Cow;
use std::sync::Arc;

use crate::check::desk::Desk;
use crate::check::paper::clauses;
use crate::check::say;
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

/// Words that say only that something is uncertain; a reason of nothing but such words is none. In their order.
const EMPTY: [&str; 113] = [
    "a",
    "accuracy",
    "accurate",
    "always",
    "an",
    "and",
    "apparatus",
    "approximate",
    "approximately",
    "approximation",
    "are",
    "be",
    "because",
    "been",
    "by",
    "calculation",
    "could",
    "device",
    "due",
    "dunno",
    "equipment",
    "error",
    "errors",
    "estimate",
    "estimated",
    "estimation",
    "every",
    "experimental",
    "factor",
    "factors",
    "for",
    "from",
    "general",
    "guess",
    "guessed",
    "guesstimate",
    "human",
    "i",
    "idk",
    "imperfect",
    "imperfection",
    "imperfections",
    "imprecise",
    "imprecision",
    "in",
    "inaccuracies",
    "inaccuracy",
    "inaccurate",
    "inherent",
    "instrument",
    "instrumental",
    "is",
    "it",
    "its",
    "know",
    "limit",
    "limited",
    "limits",
    "made",
    "make",
    "making",
    "many",
    "may",
    "maybe",
    "me",
    "measure",
    "measured",
    "measurement",
    "measurements",
    "measuring",
    "might",
    "mistake",
    "mistakes",
    "my",
    "n",
    "na",
    "natural",
    "none",
    "of",
    "on",
    "other",
    "others",
    "our",
    "possible",
    "precise",
    "precision",
    "probably",
    "random",
    "reading",
    "reason",
    "reasons",
    "several",
    "some",
    "source",
    "sources",
    "standard",
    "systematic",
    "tbd",
    "the",
    "there",
    "to",
    "todo",
    "tolerance",
    "tool",
    "tools",
    "uncertain",
    "uncertainties",
    "uncertainty",
    "unknown",
    "various",
    "was",
    "we",
    "with",
];

/// Words for the uncertainty itself: beside one of these the name of the instrument adds nothing, as in
/// "uncertainty of the ruler".
const DOUBT: [&str; 7] =
    ["error", "errors", "uncertainty", "uncertainties", "inaccuracy", "inaccuracies", "imprecision"];

/// What a reason may name without a word of what is wrong with it.
const THINGS: [&str; 16] = [
    "ruler",
    "rule",
    "tape",
    "scale",
    "scales",
    "balance",
    "stopwatch",
    "watch",
    "thermometer",
    "voltmeter",
    "ammeter",
    "multimeter",
    "timing",
    "weighing",
    "time",
    "length",
];

/// The longest of them, in bytes; and so many say enough of a reason.
const LONGEST: usize = 16;
const MOST_WORDS: usize = 100;

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
    let words = reason.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let mut words = words.take(MOST_WORDS).map(|word| match word {
        _ if word.len() > LONGEST => Cow::Borrowed("-"),
        _ if word.bytes().all(|byte| byte.is_ascii_lowercase()) => Cow::Borrowed(word),
        _ => Cow::Owned(word.to_lowercase()),
    });
    let mut doubt = false;
    let mut thing = false;
    let empty = words.all(|word| {
        doubt |= DOUBT.contains(&&*word);
        let is_thing = THINGS.contains(&&*word);
        thing |= is_thing;
        is_thing || EMPTY.binary_search(&&*word).is_ok()
    });
    empty && (doubt || !thing)
}

/// All reasons of an item's uncertainties.
pub(super) fn reasons(item: &Item) -> impl Iterator<Item = &Spanned<Arc<str>>> {
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
    fn words_are_in_order() {
        assert!(EMPTY.is_sorted());
    }

    #[test]
    fn a_reason_is_empty_where_every_word_is() {
        for reason in
            ["", "?", "human error", "Uncertainty of the instrument", "random and systematic errors", "n/a, unknown"]
        {
            assert!(says_nothing(reason), "{reason}");
        }
        for reason in ["uncertainty of ruler", "uncertainty in timing", "Error of the balance"] {
            assert!(says_nothing(reason), "{reason}");
        }
        for reason in ["the balance", "tolerance of the balance", "timing"] {
            assert!(!says_nothing(reason), "{reason}");
        }
        for reason in ["thick mark", "error of parallax", "human hair in the way", "last digit flickers", "data sheet"]
        {
            assert!(!says_nothing(reason), "{reason}");
        }
    }
}
