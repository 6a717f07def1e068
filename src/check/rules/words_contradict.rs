//! `words-contradict`: "agrees" beside two values that do not.

use crate::check::desk::Desk;
use crate::check::sentence::sentence;
use crate::check::words::{self, Phrases};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::View;
use crate::parse::ast::Item;
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
    let comparisons = desk.items().filter(|(_, item)| matches!(item, Item::Comparison(_)));
    for (number, _) in comparisons {
        let Some(place) = desk.context.document.places.get(number) else { continue };
        let Some(View::Comparison(compared)) = desk.context.sheet.views.get(&number) else { continue };
        let sentence = sentence(&desk.context.document.masked, place.span);
        let text = sentence.of(&desk.context.document.masked);
        let claim = claim(text).filter(|claim| claim.agree != compared.agree);
        // Of several comparisons in one sentence each may be meant by another half of it.
        let alone = || !parts(desk, number, sentence) || ALL.are_in(&words::plain(text));
        if let Some(claim) = claim.filter(|_| alone()) {
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

/// Is there another comparison in the sentence, and a word that sets one half of it against the other?
fn parts(desk: &Desk<'_>, item: usize, sentence: Span) -> bool {
    let views = &desk.context.sheet.views;
    let inside = |number: usize| {
        let place = desk.context.document.places.get(number);
        place.is_some_and(|place| place.span.start >= sentence.start && place.span.end <= sentence.end)
    };
    let compares = |number: usize| matches!(views.get(&number), Some(View::Comparison(_)));
    let near = (item.saturating_sub(4)..item + 5).filter(|&number| number != item);
    let another = near.into_iter().any(|number| compares(number) && inside(number));
    another && SETS_APART.are_in(&words::plain(sentence.of(&desk.context.document.masked)))
}

struct Claim {
    agree: bool,
    word: &'static str,
}

static AGREE: Phrases = Phrases::new(&[
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
    "coincides",
    "accordance",
    "overlap",
    "overlaps",
    "corresponds",
]);
static DISAGREE: Phrases = Phrases::new(&[
    "disagrees",
    "disagree",
    "disagreement",
    "inconsistent",
    "incompatible",
    "contradicts",
    "contradict",
    "discrepancy",
]);
static NEGATION: Phrases = Phrases::new(&[
    "not", "no", "cannot", "never", "hardly", "neither", "nor", "without", "fails", "fail", "poor", "nowhere",
]);
static POORLY: Phrases = Phrases::new(&["poorly", "badly", "poor", "bad", "weak", "nowhere"]);
/// Words of likeness, which say that two values agree where `within` follows.
static ALIKE: Phrases = Phrases::new(&["same", "equal", "identical"]);
/// Words that hold what is said of one comparison for all of them.
static ALL: Phrases = Phrases::new(&["both", "all"]);
/// Verbs of lying, and words that stand with them.
static LIES: Phrases = Phrases::new(&["lies", "lie", "is", "are", "falls", "fall", "well", "just"]);
static DIFFER: Phrases = Phrases::new(&["differ", "differs", "different", "difference", "deviates", "deviate"]);
static CLEARLY: Phrases =
    Phrases::new(&["significantly", "significant", "clearly", "considerably", "strongly", "markedly"]);
/// Words between two halves of a sentence that say different things.
static SETS_APART: Phrases =
    Phrases::new(&["but", "while", "whereas", "however", "though", "although", "except", "only"]);
/// Words that turn a statement into a question, a condition or a hope.
static OPEN: Phrases = Phrases::new(&[
    "whether", "if", "should", "would", "could", "might", "may", "expect", "expected", "must", "check", "test",
    "compare", "almost",
]);

/// How many words before its verb a negation may stand, and behind it.
const BEFORE: usize = 4;
const BEHIND: usize = 2;

/// What a sentence claims, where it claims one thing plainly.
fn claim(sentence: &str) -> Option<Claim> {
    let plain = words::plain(sentence);
    let words: Vec<&str> = plain.split_ascii_whitespace().collect();
    let mut claims = (0..words.len()).filter_map(|at| {
        let (agree, word) = verdict(&words, at)?;
        Some(Claim { agree: agree != is_denied(&words, at), word })
    });
    let first = claims.next()?;
    let one = claims.all(|other| other.agree == first.agree);
    let open = || sentence.contains('?') || words.iter().any(|word| OPEN.include(word));
    (one && !open()).then_some(first)
}

/// What the word at that place says by itself: do they agree?
fn verdict(words: &[&str], at: usize) -> Option<(bool, &'static str)> {
    let word = *words.get(at)?;
    let beside = |list: &Phrases| {
        let near = words.get(at.saturating_sub(2)..(at + 3).min(words.len())).unwrap_or(&[]);
        near.iter().any(|word| list.include(word))
    };
    let before = at.checked_sub(1).and_then(|before| words.get(before));
    let lies = || before.is_some_and(|word| LIES.include(word));
    let within = || words.get(at + 1..).unwrap_or(&[]).iter().take(2).any(|word| *word == "within");
    let alike = || ALIKE.find(word).filter(|_| within());
    let agree = AGREE.find(word).or_else(alike).or_else(|| (word == "within" && lies()).then_some("within"));
    let differs = || DIFFER.find(word).filter(|_| beside(&CLEARLY));
    let disagree =
        || DISAGREE.find(word).or_else(|| (word == "outside" && lies()).then_some("outside")).or_else(differs);
    agree.map(|word| (true, word)).or_else(|| disagree().map(|word| (false, word)))
}

/// Does a negation stand near a word: `do not agree`, `agree poorly`?
fn is_denied(words: &[&str], at: usize) -> bool {
    let before = words.get(at.saturating_sub(BEFORE)..at).unwrap_or(&[]);
    let behind = words.get(at + 1..).unwrap_or(&[]);
    // `doesn't` is two words here.
    let shortened = before.windows(2).any(|pair| pair[1] == "t" && pair[0].ends_with(['n', 'o']));
    shortened
        || before.iter().any(|word| NEGATION.include(word))
        || behind.iter().take(BEHIND).any(|word| POORLY.include(word))
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
        assert_eq!(says("They do not disagree"), Some(true));
        assert_eq!(says("It is not far from the label, and agrees with it"), Some(true));
        assert_eq!(says("They agree poorly"), Some(false));
        assert_eq!(says("The two ranges do not overlap"), Some(false));
        assert_eq!(says("It lies well within the limits of the label"), Some(true));
        assert_eq!(says("It is the same within uncertainty as the label"), Some(true));
        assert_eq!(says("They are not equal within their errors"), Some(false));
        assert_eq!(says("The method is the same as before"), None);
        assert_eq!(says("It lies outside the range"), Some(false));
        assert_eq!(says("They do not differ significantly"), Some(true));
        assert_eq!(says("They differ significantly"), Some(false));
        assert_eq!(says("They differ by 2 %"), None);
        assert_eq!(says("The time t agrees"), Some(true));
        assert_eq!(says("The agreement is poor"), Some(false));
        assert_eq!(says("One agrees, the other disagrees"), None);
        assert_eq!(says("The pot is high"), None);
    }
}
