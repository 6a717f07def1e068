//! `prose-measurement`: a measurement in the text that is no item.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::{Against, Comparison, Item};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "prose-measurement",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a number, a `±` and another number in running text, outside an item. A value from elsewhere that a comparison \
               of the report takes in is spared.",
        why: "Nothing checks such a figure, no formula can use it, and where the report changes it stays behind.",
        wrong: "The pot is 14.3 ± 0.1 cm high.\n\nIts wall is ~{d = 4.2 mm; reading 0.1 mm \"uneven\"} thick.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n\n\
                Its wall is ~{d = 4.2 mm; reading 0.1 mm \"uneven\"} thick.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let masked = &desk.context.document.masked;
    if !masked.contains('±') {
        return;
    }
    let elsewhere = from_elsewhere(desk);
    for &words in &desk.prose().words {
        let pairs = around(words, words.of(masked), "±");
        for span in pairs.filter(|span| !elsewhere.contains(&close(span.of(masked)))) {
            let message =
                "this measurement stands in the text and in no item, so nothing checks it and nothing can use it";
            let help = format!(
                "make it an item, as in `~{{h = {} cm \"why\"}}`, or mention the quantity it repeats",
                span.of(masked)
            );
            found.push(RULE.at(span, message, help));
        }
    }
}

/// The values that comparisons take from elsewhere: the text may well name them too.
fn from_elsewhere(desk: &Desk<'_>) -> HashSet<String> {
    let estimates = desk.items().filter_map(|(_, item)| match item {
        Item::Comparison(Comparison { right: Against::Estimate { estimate, .. }, .. }) => Some(estimate.span),
        _ => None,
    });
    let pairs = estimates.flat_map(|estimate| around(estimate, desk.text(estimate), "±"));
    pairs.map(|pair| close(desk.text(pair))).collect()
}

/// Without its blanks.
fn close(pair: &str) -> String {
    pair.chars().filter(|c| *c != ' ').collect()
}

/// The places where a sign stands between two numbers, from the first of them to the end of the second.
pub(super) fn around<'t>(place: Span, text: &'t str, sign: &'t str) -> impl Iterator<Item = Span> + 't {
    text.match_indices(sign).filter_map(move |(at, _)| {
        let before = text[..at].trim_end_matches(' ');
        let number = |c: char| c.is_ascii_digit() || c == '.';
        let first = before.trim_end_matches(number).len();
        let after = &text[at + sign.len()..];
        let second = after.trim_start_matches(' ');
        let length = second.find(|c| !number(c)).unwrap_or(second.len());
        let digits = second[..length].trim_end_matches('.').len();
        let end = text.len() - second.len() + digits;
        let numbers = first < before.len() && second.starts_with(|c: char| c.is_ascii_digit());
        numbers.then(|| Span::new(place.start + first, place.start + end))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measurement_is_two_numbers_about_the_sign() {
        let text = "It is 14.3 ± 0.1 cm, not ± 2 or 5±x, and 8±1.";
        let spans: Vec<_> = around(Span::new(0, text.len()), text, "±").map(|span| span.of(text)).collect();
        assert_eq!(spans, ["14.3 ± 0.1", "8±1"]);
    }
}
