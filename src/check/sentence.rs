//! The words about an item: its sentence, its paragraph.

use memchr::{memchr_iter, memchr3_iter};

use crate::span::Span;

/// How far a sentence is followed, in bytes to either side.
const REACH: usize = 400;

/// The sentence about a place, bounded by full stops before blanks, by cells, by blocks and by [`REACH`].
pub(super) fn sentence(masked: &str, place: Span) -> Span {
    let last = |text| [stops(text).next_back(), cells(text).next_back(), blocks(text).next_back()];
    let first = |text| [stops(text).next(), cells(text).next(), blocks(text).next()];
    about(
        masked,
        place,
        |before| last(before).into_iter().flatten().max(),
        |after| first(after).into_iter().flatten().min(),
    )
}

/// The sentence about a place and the one before it, in the same cell or block.
pub(super) fn with_the_one_before(masked: &str, place: Span) -> Span {
    let own = sentence(masked, place);
    let before =
        own.start.checked_sub(1).filter(|&stop| matches!(masked.as_bytes().get(stop), Some(b'.' | b'!' | b'?')));
    before.map_or(own, |stop| Span::new(sentence(masked, Span::new(stop, own.end)).start, own.end))
}

/// The paragraph about a place, bounded by blocks and by [`REACH`].
pub(super) fn paragraph(masked: &str, place: Span) -> Span {
    about(masked, place, |before| blocks(before).next_back(), |after| blocks(after).next())
}

/// What lies between the last end before a place and the first one behind it; every end is one byte long.
fn about<'t>(
    masked: &'t str,
    place: Span,
    last: impl Fn(&'t str) -> Option<usize>,
    first: impl Fn(&'t str) -> Option<usize>,
) -> Span {
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
    Span::new(last(before).map_or(low, |at| low + at + 1), first(after).map_or(high, |at| place.end + at + 1))
}

/// The stops that end a sentence.
fn stops(text: &str) -> impl DoubleEndedIterator<Item = usize> {
    let ends = |at: &usize| text[at + 1..].chars().next().is_none_or(char::is_whitespace);
    memchr3_iter(b'.', b'!', b'?', text.as_bytes()).filter(ends)
}

/// The ends of a table's cells.
fn cells(text: &str) -> impl DoubleEndedIterator<Item = usize> {
    memchr_iter(b'|', text.as_bytes())
}

/// The ends of lines behind which a block begins or none is left.
fn blocks(text: &str) -> impl DoubleEndedIterator<Item = usize> {
    let ends = |at: &usize| {
        let next = text[at + 1..].trim_start_matches([' ', '\t', '\r', '>']);
        next.starts_with(['\n', '#']) || is_list_item(next)
    };
    memchr_iter(b'\n', text.as_bytes()).filter(ends)
}

/// `- `, `* `, `+ `, `12. `, `3) `: the beginning of a list's item.
fn is_list_item(line: &str) -> bool {
    let digits = line.trim_start_matches(|c: char| c.is_ascii_digit());
    let marks: &[char] = if digits.len() < line.len() { &['.', ')'] } else { &['-', '*', '+'] };
    digits.strip_prefix(marks).is_some_and(|rest| rest.starts_with(' '))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_before_is_one_of_the_same_block() {
        let text = "Zero. One. It is: %%% long. Three.\n\nIt: @@@";
        let about = |what: &str| {
            let at = text.find(what).unwrap();
            with_the_one_before(text, Span::new(at, at + what.len())).of(text).trim()
        };
        assert_eq!(about("%%%"), "One. It is: %%% long.");
        assert_eq!(about("@@@"), "It: @@@");
        assert_eq!(about("Zero"), "Zero.");
    }

    #[test]
    fn a_sentence_ends_at_its_stop_and_at_a_blank_line() {
        let text = "One. It agrees: %%% within 2.5 cm. Three.\n\nFour";
        let at = text.find("%%%").unwrap();
        assert_eq!(sentence(text, Span::new(at, at + 3)).of(text).trim(), "It agrees: %%% within 2.5 cm.");
        let list = "- a: %%%\n  is it\n- b agrees\n";
        assert_eq!(sentence(list, Span::new(5, 8)).of(list).trim(), "- a: %%%\n  is it");
    }
}
