//! What the author's own words say of a reading: its name, its remark and its reasons.

use super::desk::Desk;
use crate::evaluate::Quantity;
use crate::parse::ast::{Clause, Item, Reading};
use crate::quantity::Dimension;

/// As much of a text as is looked at: nobody hides the word "ruler" behind a thousand others.
const MOST: usize = 1_000;

/// A text as its words alone: lower case, one blank before and after each.
pub(super) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len().min(MOST) + 2);
    add(&mut plain, text);
    plain
}

fn add(plain: &mut String, text: &str) {
    let mut blank = plain.ends_with(' ');
    if !blank {
        plain.push(' ');
        blank = true;
    }
    for c in text.chars().take(MOST) {
        if c.is_alphanumeric() {
            plain.extend(c.to_lowercase());
            blank = false;
        } else if !blank {
            plain.push(' ');
            blank = true;
        }
    }
    if !blank {
        plain.push(' ');
    }
}

/// Does a plain text hold one of these words or phrases, whole?
pub(super) fn say(plain: &str, phrases: &[&str]) -> bool {
    let whole = |at: usize, phrase: &str| {
        let after = plain.as_bytes().get(at + phrase.len());
        at > 0 && plain.as_bytes().get(at - 1) == Some(&b' ') && after == Some(&b' ')
    };
    phrases.iter().any(|phrase| plain.match_indices(phrase).any(|(at, _)| whole(at, phrase)))
}

/// A reading without an instrument of the course, by which only its author's words say how it was taken.
pub(super) struct Told<'r> {
    pub(super) quantity: &'r Quantity,
    pub(super) reading: &'r Reading,
}

/// The readings of which only words can say how they were taken.
pub(super) fn told<'r>(desk: &Desk<'r>) -> impl Iterator<Item = Told<'r>> {
    desk.sound().filter_map(|(_, quantity)| {
        let Item::Reading(reading) = desk.item(quantity.item)? else { return None };
        let named = reading.clauses.iter().any(|clause| matches!(clause.value, Clause::With(_)));
        (!named && !quantity.exact).then_some(Told { quantity, reading })
    })
}

impl Told<'_> {
    /// Is it measured in units of that dimension?
    pub(super) fn is(&self, dimension: Dimension) -> bool {
        self.quantity.measure.is_some_and(|measure| measure.dimension == dimension)
    }

    /// All that its author says of it, as [`plain`] gives it.
    pub(super) fn words(&self) -> String {
        let reading = self.reading;
        let total = reading.total.as_ref().and_then(|total| total.value.reason.as_ref());
        let around = [&reading.head.name, &reading.remark].into_iter().flatten().chain(total);
        let reasons = reading.clauses.iter().filter_map(|clause| match &clause.value {
            Clause::Source { reason, .. } => reason.as_ref(),
            Clause::Total(total) => total.reason.as_ref(),
            _ => None,
        });
        let mut words = String::new();
        around.chain(reasons).for_each(|text| add(&mut words, &text.value));
        words
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_whole() {
        let plain = plain("Read off a metre-stick, BOTH ends.");
        assert_eq!(plain, " read off a metre stick both ends ");
        assert!(
            say(&plain, &["metre stick"]) && say(&plain, &["ends"]) && !say(&plain, &["end", "tick", "read off b"])
        );
    }
}
