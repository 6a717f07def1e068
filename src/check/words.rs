//! What the author's own words say of a reading: its name, its remark and its reasons.

use super::desk::Desk;
use crate::evaluate::Quantity;
use crate::parse::ast::{Clause, Item, Reading};

/// A text as its words alone: lower case, one blank before and after each.
pub(super) fn plain(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.fold(String::from(" "), |plain, word| plain + &word.to_lowercase() + " ")
}

/// Does a plain text hold one of these words or phrases, whole?
pub(super) fn say(plain: &str, phrases: &[&str]) -> bool {
    phrases.iter().any(|phrase| plain.contains(&format!(" {phrase} ")))
}

/// A reading without an instrument of the course, with all that its author says of it.
pub(super) struct Told<'r> {
    pub(super) quantity: &'r Quantity,
    pub(super) reading: &'r Reading,
    /// As [`plain`] gives it.
    pub(super) words: String,
}

/// The readings of which only words can say how they were taken: no instrument of the course is named.
pub(super) fn told<'r>(desk: &Desk<'r>) -> impl Iterator<Item = Told<'r>> {
    desk.sound().filter_map(|(_, quantity)| {
        let Item::Reading(reading) = desk.item(quantity.item)? else { return None };
        let named = reading.clauses.iter().any(|clause| matches!(clause.value, Clause::With(_)));
        if named || quantity.exact {
            return None;
        }
        Some(Told { quantity, reading, words: words_of(reading) })
    })
}

fn words_of(reading: &Reading) -> String {
    let total = reading.total.as_ref().and_then(|total| total.value.reason.as_ref());
    let around = [&reading.head.name, &reading.remark].into_iter().flatten().chain(total);
    let reasons = reading.clauses.iter().filter_map(|clause| match &clause.value {
        Clause::Source { reason, .. } => reason.as_ref(),
        Clause::Total(total) => total.reason.as_ref(),
        _ => None,
    });
    around.chain(reasons).map(|text| plain(&text.value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_whole() {
        let plain = plain("Read off a metre-stick, BOTH ends.");
        assert_eq!(plain, " read off a metre stick both ends ");
        assert!(say(&plain, &["metre stick"]) && say(&plain, &["ends"]) && !say(&plain, &["end", "tick"]));
    }
}
