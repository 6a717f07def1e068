//! The words about an item: its sentence, its paragraph.

use crate::span::Span;

/// How far a sentence is followed, in bytes to either side.
const REACH: usize = 400;

/// The sentence about a place, bounded by full stops before blanks, by blank lines and by [`REACH`].
pub(super) fn sentence(masked: &str, place: Span) -> Span {
    about(masked, place, ends)
}

/// The paragraph about a place, bounded by blank lines and by [`REACH`].
pub(super) fn paragraph(masked: &str, place: Span) -> Span {
    about(masked, place, |text, at, mark| mark == b'\n' && ends(text, at, mark))
}

/// All that ends anything is one byte long.
fn about(masked: &str, place: Span, ends: impl Fn(&str, usize, u8) -> bool) -> Span {
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
    let start = before.bytes().enumerate().rev().find(|&(at, byte)| ends(before, at, byte));
    let end = after.bytes().enumerate().find(|&(at, byte)| ends(after, at, byte));
    Span::new(start.map_or(low, |(at, _)| low + at + 1), end.map_or(high, |(at, _)| place.end + at + 1))
}

/// Does a sentence end with this byte of a text?
fn ends(text: &str, at: usize, byte: u8) -> bool {
    match byte {
        b'.' | b'!' | b'?' => text[at + 1..].chars().next().is_none_or(char::is_whitespace),
        b'|' => true,
        b'\n' => {
            let next = text[at + 1..].trim_start_matches([' ', '\t', '\r', '>']);
            next.starts_with(['\n', '#']) || is_list_item(next)
        }
        _ => false,
    }
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
    fn a_sentence_ends_at_its_stop_and_at_a_blank_line() {
        let text = "One. It agrees: %%% within 2.5 cm. Three.\n\nFour";
        let at = text.find("%%%").unwrap();
        assert_eq!(sentence(text, Span::new(at, at + 3)).of(text).trim(), "It agrees: %%% within 2.5 cm.");
        let list = "- a: %%%\n  is it\n- b agrees\n";
        assert_eq!(sentence(list, Span::new(5, 8)).of(list).trim(), "- a: %%%\n  is it");
    }
}
