//! What the author's own words say of a reading: its name, its remark and its reasons.

use super::paper::Paper;
use super::sentence;
use crate::evaluate::Quantity;
use crate::parse::ast::{Clause, Column, Item, Reading, Total};
use crate::quantity::Dimension;
use crate::span::{Span, Spanned};

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
    pub(super) clauses: &'r [Spanned<Clause>],
    name: Option<&'r str>,
    remark: Option<&'r str>,
    total: Option<&'r Total>,
}

/// The readings and columns of readings of which only words can say how they were taken.
pub(super) fn told<'r>(paper: &Paper<'r>) -> impl Iterator<Item = Told<'r>> {
    paper.sound().filter_map(|(_, quantity)| of(paper, quantity))
}

/// What is told of a quantity, where only words can say how it was taken.
pub(super) fn of<'r>(paper: &Paper<'r>, quantity: &'r Quantity) -> Option<Told<'r>> {
    let (head, clauses, remark, total) = match paper.item(quantity.item)? {
        Item::Reading(Reading { head, clauses, remark, total, .. }) => (head, clauses, remark.as_ref(), total.as_ref()),
        Item::Column(Column { head, clauses, .. }) => (head, clauses, None, None),
        _ => return None,
    };
    let named = clauses.iter().any(|clause| matches!(clause.value, Clause::With(_)));
    let (name, remark) = (head.name.as_ref().map(|name| &*name.value), remark.map(|remark| &*remark.value));
    let total = total.map(|total| &total.value);
    (!named && !quantity.exact).then_some(Told { quantity, clauses, name, remark, total })
}

/// Words of a display.
const DISPLAY: [&str; 16] = [
    "digital",
    "digitally",
    "display",
    "displays",
    "displayed",
    "last digit",
    "smallest digit",
    "half a digit",
    "half of a digit",
    "half digit",
    "half the digit",
    "lcd",
    "dmm",
    "app",
    "electronic balance",
    "electronic scale",
];

/// Words of a display that say so in any sentence about one item.
const PLAIN_DISPLAY: [&str; 5] = ["digital", "electronic balance", "electronic scale", "lcd", "app"];

/// Words of a scale with marks, and of pictures, in which an eye reads.
const SCALE: [&str; 19] = [
    "mark",
    "marks",
    "ruler",
    "rule",
    "tape",
    "analogue",
    "analog",
    "needle",
    "pointer",
    "division",
    "divisions",
    "photo",
    "photograph",
    "camera",
    "image",
    "picture",
    "pixel",
    "pixels",
    "video",
];

impl Told<'_> {
    /// Is it measured in units of that dimension?
    pub(super) fn is(&self, dimension: Dimension) -> bool {
        self.quantity.unit.dimension == dimension
    }

    /// Do the author's words say that a display was read?
    pub(super) fn is_display(&self, paper: &Paper<'_>) -> bool {
        let words = self.words();
        !say(&words, &SCALE)
            && (say(&words, &DISPLAY)
                || self.alone(paper) && {
                    let sentence = self.around(paper, sentence::sentence);
                    say(&sentence, &PLAIN_DISPLAY) && !say(&sentence, &SCALE)
                })
    }

    /// Is it the one item of its sentence, so that the sentence speaks of nothing else?
    fn alone(&self, paper: &Paper<'_>) -> bool {
        let places = &paper.context.document.places;
        let Some(own) = places.get(self.quantity.item) else { return false };
        let extent = sentence::sentence(&paper.context.document.masked, own.span);
        let item = self.quantity.item;
        let recorded = |other: &usize| matches!(paper.item(*other), Some(Item::Reading(_) | Item::Column(_)) | None);
        let near = [item.checked_sub(1), item.checked_add(1)].into_iter().flatten().filter(recorded);
        near.filter_map(|at| places.get(at))
            .all(|other| other.span.end <= extent.start || other.span.start >= extent.end)
    }

    /// The text around its item, as [`plain`] gives it: its sentence, or its paragraph.
    pub(super) fn around(&self, paper: &Paper<'_>, extent: fn(&str, Span) -> Span) -> String {
        let masked = &paper.context.document.masked;
        let place =
            paper.context.document.places.get(self.quantity.item).map_or(self.quantity.span, |place| place.span);
        plain(extent(masked, place).of(masked))
    }

    /// All that its author says of it, as [`plain`] gives it.
    pub(super) fn words(&self) -> String {
        let total = self.total.and_then(|total| total.reason.as_ref());
        let reasons = self.clauses.iter().filter_map(|clause| match &clause.value {
            Clause::Source { reason, .. } => reason.as_ref(),
            Clause::Total(total) => total.reason.as_ref(),
            _ => None,
        });
        let reasons = total.into_iter().chain(reasons).map(|reason| &*reason.value);
        let mut words = String::new();
        self.name.into_iter().chain(self.remark).chain(reasons).for_each(|text| add(&mut words, text));
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
