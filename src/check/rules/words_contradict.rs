//! `words-contradict`: "agrees" beside two values that do not.

use crate::check::desk::Desk;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::View;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "words-contradict",
    group: "results",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a comparison whose sentence says that two values agree where they do not, or the other way round. \
               Sentences with a question, a condition or an expectation are left alone.",
        why: "Whether values agree is decided by their uncertainties. A conclusion that says otherwise is the first thing a \
              marker circles.",
        wrong: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high, which agrees with the label: \
                ~{h against 15.0 cm \"label\"}.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high, which does not agree with the label: \
                ~{h against 15.0 cm \"label\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// How far a sentence is followed, in bytes to either side.
const REACH: usize = 400;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (number, place) in desk.context.document.places.iter().enumerate() {
        let Some(View::Comparison(compared)) = desk.context.sheet.views.get(&number) else { continue };
        let sentence = sentence(&desk.context.document.masked, place.span);
        let text = sentence.of(&desk.context.document.masked);
        let claim = claim(text);
        if let Some(claim) = claim.filter(|claim| claim.agree != compared.agree) {
            let (says, do_they) = if claim.agree { ("agree", "do not") } else { ("do not agree", "do") };
            let message =
                format!("the sentence says that these values {says}, but by their uncertainties they {do_they}");
            let help = if claim.agree {
                "say that they do not agree, and look for what is missing: a source, or a slip"
            } else {
                "say that they agree within their uncertainties"
            };
            let finding = RULE.at(place.span, message, help);
            let word = text.to_lowercase().find(claim.word).map(|at| sentence.start + at);
            found.push(match word {
                Some(at) if text.len() == text.to_lowercase().len() => {
                    finding.beside(Span::new(at, at + claim.word.len()), "the word")
                }
                _ => finding,
            });
        }
    }
}

struct Claim {
    agree: bool,
    word: &'static str,
}

const AGREE: [&str; 10] = [
    "agrees",
    "agree",
    "agreement",
    "consistent",
    "compatible",
    "confirms",
    "confirmed",
    "matches",
    "match",
    "coincide",
];
const DISAGREE: [&str; 8] = [
    "disagrees",
    "disagree",
    "disagreement",
    "inconsistent",
    "incompatible",
    "contradicts",
    "contradict",
    "discrepancy",
];
const NEGATION: [&str; 13] =
    ["not", "no", "t", "cannot", "never", "hardly", "neither", "nor", "without", "fails", "fail", "poor", "nowhere"];
/// Words that turn a statement into a question, a condition or a hope.
const OPEN: [&str; 14] = [
    "whether", "if", "should", "would", "could", "might", "may", "expect", "expected", "must", "check", "test",
    "compare", "almost",
];

/// What a sentence claims, where it claims one thing plainly.
fn claim(sentence: &str) -> Option<Claim> {
    let plain = words::plain(sentence);
    let first = |list: &[&'static str]| list.iter().copied().find(|&word| words::say(&plain, &[word]));
    if sentence.contains('?') || first(&OPEN).is_some() {
        return None;
    }
    let denied = first(&NEGATION).is_some();
    match (first(&AGREE), first(&DISAGREE)) {
        (Some(word), None) => Some(Claim { agree: !denied, word }),
        (None, Some(word)) if !denied => Some(Claim { agree: false, word }),
        _ => None,
    }
}

/// The sentence about a place, bounded by full stops before blanks, by blank lines and by [`REACH`].
fn sentence(masked: &str, place: Span) -> Span {
    let mut low = place.start.saturating_sub(REACH);
    while !masked.is_char_boundary(low) {
        low += 1;
    }
    let mut high = (place.end + REACH).min(masked.len());
    while !masked.is_char_boundary(high) {
        high -= 1;
    }
    let before = masked.get(low..place.start).unwrap_or("");
    let after = masked.get(place.end..high).unwrap_or("");
    let start =
        before.char_indices().rev().find(|&(at, c)| ends(before, at, c)).map_or(low, |(at, c)| low + at + c.len_utf8());
    let end =
        after.char_indices().find(|&(at, c)| ends(after, at, c)).map_or(high, |(at, c)| place.end + at + c.len_utf8());
    Span::new(start, end)
}

/// Does a sentence end with this character?
fn ends(text: &str, at: usize, c: char) -> bool {
    let next = text[at + c.len_utf8()..].chars().next();
    match c {
        '.' | '!' | '?' => next.is_none_or(char::is_whitespace),
        '|' => true,
        '\n' => text[at + 1..].trim_start_matches([' ', '\t', '\r', '>']).starts_with('\n'),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_claim_is_what_a_sentence_says_plainly() {
        let says = |text: &str| claim(text).map(|claim| claim.agree);
        assert_eq!(says("This agrees with the table"), Some(true));
        assert_eq!(says("This doesn't agree with it"), Some(false));
        assert_eq!(says("They disagree"), Some(false));
        assert_eq!(says("We check whether they agree"), None);
        assert_eq!(says("Does it agree?"), None);
        assert_eq!(says("They do not disagree"), None);
        assert_eq!(says("The pot is high"), None);
    }

    #[test]
    fn a_sentence_ends_at_its_stop_and_at_a_blank_line() {
        let text = "One. It agrees: %%% within 2.5 cm. Three.\n\nFour";
        let at = text.find("%%%").unwrap();
        assert_eq!(sentence(text, Span::new(at, at + 3)).of(text).trim(), "It agrees: %%% within 2.5 cm.");
    }
}
