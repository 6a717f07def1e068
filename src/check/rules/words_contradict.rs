//! `words-contradict`: "agrees" beside two values that do not.

use crate::check::desk::Desk;
use crate::check::sentence::sentence;
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
}
