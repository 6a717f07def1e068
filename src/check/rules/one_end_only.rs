//! `one-end-only`: a length along a rule with the uncertainty of one of its ends.

use crate::check::desk::Desk;
use crate::check::sentence;
use crate::check::words::{self, Phrases, Told};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::{Amount, AmountStep, Clause};
use crate::quantity::Dimension;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "one-end-only",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a length which the words of its item, or of its sentence, say was read off a rule or a tape, with a \
               single reading uncertainty and no word about the other end. It keeps silent where an instrument of the course is named.",
        why: "A length has two ends, and the rule is read at both: the zero has to be laid on just as the far end has to be \
              read off.",
        wrong: "The block is ~{l = 62.4 mm; reading 1/4 of 1 mm \"wooden rule, thick marks\"} long.\n",
        right: "The block is ~{l = 62.4 mm; reading 2 × 1/4 of 1 mm \"wooden rule, thick marks at both ends\"} long.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// Things that are laid along a length.
pub(super) static RULES: Phrases = Phrases::new(&[
    "rule",
    "ruler",
    "rulers",
    "tape",
    "tape measure",
    "measuring tape",
    "metre stick",
    "meter stick",
    "metre rule",
    "meter rule",
    "yardstick",
    "folding rule",
    "steel rule",
]);

/// Words of a rule that say so in any sentence.
static PLAIN_RULES: Phrases = Phrases::new(&[
    "ruler",
    "rulers",
    "wooden rule",
    "steel rule",
    "tape measure",
    "measuring tape",
    "metre stick",
    "meter stick",
    "metre rule",
]);

/// Words of somebody who has thought of the other end, or of a scale that is fixed at its zero.
static OTHER_END: Phrases = Phrases::new(&[
    "other end",
    "and half",
    "far end",
    "zero end",
    "ends",
    "both",
    "each",
    "two",
    "twice",
    "zero",
    "either",
    "vernier",
    "caliper",
    "calipers",
    "difference",
    "position",
    "overlaps",
    "girth",
    "circumference",
    "round",
    "rider",
    "level",
]);

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let length = Dimension::new([1, 0, 0, 0, 0, 0, 0]);
    for told in words::told(desk).filter(|told| told.is(length)) {
        let Some((span, _)) = single(&told).filter(|(_, amount)| !is_doubled(amount)) else { continue };
        if is_one_end(desk, &told) {
            let message = "a length is read at both of its ends, and this reading uncertainty counts one";
            let help = "write `2 ×` before the amount, or say in the reason why the other end adds nothing";
            found.push(RULE.at(span, message, help));
        }
    }
}

/// Do the words of the item, or its sentence, speak of a rule, and none about it of the other end?
fn is_one_end(desk: &Desk<'_>, told: &Told<'_>) -> bool {
    let words = told.words();
    if OTHER_END.are_in(&words) {
        return false;
    }
    RULES.are_in(&words)
        || PLAIN_RULES.are_in(&told.around(desk, sentence::sentence))
            && !OTHER_END.are_in(&told.around(desk, sentence::paragraph))
}

/// The one reading uncertainty of an item, and where its clause stands.
fn single<'r>(told: &Told<'r>) -> Option<(Span, &'r Amount)> {
    let mut readings = told.clauses.iter().filter_map(|clause| match &clause.value {
        Clause::Source { kind, amount: Some(amount), .. } if kind.value == "reading" => {
            Some((clause.span, &*amount.value))
        }
        _ => None,
    });
    readings.next().filter(|_| readings.next().is_none())
}

/// `2 × 1/4 mm`, `1/4 mm + 1/4 mm`, `0`: arithmetic that takes both ends in, or says that neither counts.
fn is_doubled(amount: &Amount) -> bool {
    let number = |step: &AmountStep| match step {
        AmountStep::Number(number) => Some(number.value.decimal.to_f64()),
        _ => None,
    };
    let both = amount.steps.iter().any(|step| matches!(step, AmountStep::Plus));
    let times_two =
        matches!(amount.steps.first().and_then(number), Some(first) if first == 2.0) && amount.steps.len() > 2;
    let nothing = amount.steps.iter().filter_map(number).all(|n| n == 0.0);
    both || times_two || nothing
}
