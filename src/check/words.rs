//! What the author's own words say of a reading: its name, its remark and its reasons.

use memchr::memchr_iter;

use super::paper::Paper;
use super::sentence;
use crate::evaluate::Quantity;
use crate::locate::Place;
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
    if !plain.ends_with(' ') {
        plain.push(' ');
    }
    // No character is shorter than a byte.
    let end = (text.len() > MOST).then(|| text.char_indices().nth(MOST)).flatten();
    let text = end.map_or(text, |(end, _)| &text[..end]);
    for word in text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()) {
        match word.bytes().all(|byte| byte.is_ascii_lowercase()) {
            true => plain.push_str(word),
            false => plain.extend(word.chars().flat_map(char::to_lowercase)),
        }
        plain.push(' ');
    }
}

/// Words and phrases that a rule looks for: lower case, one blank between the words of a phrase.
pub(super) struct Phrases {
    phrases: &'static [&'static str],
    /// A bit for each of the letters that they begin with: most words of a report begin with another one.
    initials: u32,
}

impl Phrases {
    /// `phrases` must begin with letters from a to z.
    pub(super) const fn new(phrases: &'static [&'static str]) -> Self {
        let (mut initials, mut next) = (0, 0);
        while next < phrases.len() {
            initials |= initial(phrases[next].as_bytes());
            next += 1;
        }
        Self { phrases, initials }
    }

    /// Does a plain text hold one of them, whole?
    pub(super) fn are_in(&self, plain: &str) -> bool {
        let begins = |rest: &str| {
            let first = rest.as_bytes().first();
            let mut like = self.phrases.iter().filter(|phrase| phrase.as_bytes().first() == first);
            like.any(|phrase| rest.strip_prefix(phrase).is_some_and(|after| after.starts_with(' ')))
        };
        let words = memchr_iter(b' ', plain.as_bytes()).filter_map(|blank| plain.get(blank + 1..));
        words.filter(|rest| self.initials & initial(rest.as_bytes()) != 0).any(begins)
    }

    /// Do they include a word?
    pub(super) fn include(&self, word: &str) -> bool {
        self.find(word).is_some()
    }

    /// The one of them that a word is.
    pub(super) fn find(&self, word: &str) -> Option<&'static str> {
        let may_be = self.initials & initial(word.as_bytes()) != 0;
        self.phrases.iter().copied().find(|phrase| may_be && *phrase == word)
    }
}

/// The bit of a text's first letter; none where it is not one from a to z.
const fn initial(text: &[u8]) -> u32 {
    match text.first() {
        Some(letter @ b'a'..=b'z') => 1 << (*letter - b'a'),
        _ => 0,
    }
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
static DISPLAY: Phrases = Phrases::new(&[
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
]);

/// Words of a display that say so in any sentence about one item.
static PLAIN_DISPLAY: Phrases = Phrases::new(&["digital", "electronic balance", "electronic scale", "lcd", "app"]);

/// Words of a scale with marks, and of pictures, in which an eye reads.
static SCALE: Phrases = Phrases::new(&[
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
]);

impl Told<'_> {
    /// Is it measured in units of that dimension?
    pub(super) fn is(&self, dimension: Dimension) -> bool {
        self.quantity.unit.dimension == dimension
    }

    /// Do the author's words say that a display was read?
    pub(super) fn is_display(&self, paper: &Paper<'_>) -> bool {
        let words = self.words();
        let in_sentence = || {
            let sentence = self.own_sentence(paper)?;
            let text = plain(sentence.of(&paper.context.document.masked));
            Some(PLAIN_DISPLAY.are_in(&text) && !SCALE.are_in(&text))
        };
        !SCALE.are_in(&words) && (DISPLAY.are_in(&words) || in_sentence() == Some(true))
    }

    /// Its sentence, where it is the one item there, so that the sentence speaks of nothing else.
    fn own_sentence(&self, paper: &Paper<'_>) -> Option<Span> {
        let places = &paper.context.document.places;
        let item = self.quantity.item;
        let extent = sentence::sentence(&paper.context.document.masked, places.get(item)?.span);
        let recorded = |other: &usize| matches!(paper.item(*other), Some(Item::Reading(_) | Item::Column(_)) | None);
        let near = [item.checked_sub(1), item.checked_add(1)].into_iter().flatten().filter(recorded);
        let apart = |other: &Place<'_>| other.span.end <= extent.start || other.span.start >= extent.end;
        near.filter_map(|at| places.get(at)).all(apart).then_some(extent)
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
        let holds = |phrases| Phrases::new(phrases).are_in(&plain);
        assert!(holds(&["metre stick"]) && holds(&["ends"]) && !holds(&["end", "tick", "read off b"]));
        assert_eq!(Phrases::new(&["end", "ends"]).find("ends"), Some("ends"));
        assert_eq!(Phrases::new(&["ends"]).find("end"), None);
    }
}
