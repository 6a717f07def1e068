//! An item's own bytes, told apart from those of the containers that it runs through.

use std::borrow::Cow;

use super::lines::{is_blank, line};
use crate::span::Span;

/// What stands for an item's bytes. It is punctuation, as `~` and `}` are, so that emphasis opens and
/// closes beside it as it would beside them; no HTML attribute, link or block can begin with it.
const MASK: u8 = b'%';

/// Bytes of a report, and how many block quotes hold them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Extent {
    pub(super) span: Span,
    pub(super) quotes: usize,
}

impl Extent {
    /// Its lines, without line endings and without the containers' prefixes.
    pub(super) fn lines(self, source: &str) -> impl Iterator<Item = Span> {
        let bytes = source.as_bytes().get(..self.span.end).unwrap_or_default();
        let mut at = self.span.start;
        std::iter::from_fn(move || {
            if at >= bytes.len() {
                return None;
            }
            let (end, next) = line(bytes, at);
            let found = Span::new(at, end);
            at = next + prefix(bytes.get(next..).unwrap_or_default(), self.quotes);
            Some(found)
        })
    }

    /// Its bytes, one for one, the containers' prefixes turned into blanks.
    pub(super) fn text(self, source: &str) -> Cow<'_, str> {
        let mut text = String::new();
        let mut at = self.span.start;
        for line in self.lines(source) {
            if line.start > at {
                let between = Span::new(at, line.start).of(source);
                text.extend(between.chars().map(|c| if matches!(c, '\n' | '\r') { c } else { ' ' }));
            } else if line.end >= self.span.end {
                return Cow::Borrowed(self.span.of(source));
            }
            text.push_str(line.of(source));
            at = line.end;
        }
        Cow::Owned(text)
    }
}

/// The source with every byte of the extents masked, but for line endings, prefixes and single
/// blanks: what is one word or several to Markdown stays so, and no hard break arises. They are in order and apart.
pub(super) fn mask(source: &str, extents: impl Iterator<Item = Extent>) -> String {
    let mut masked = Vec::with_capacity(source.len());
    for line in extents.flat_map(|extent| extent.lines(source)) {
        masked.extend_from_slice(Span::new(masked.len(), line.start).of(source).as_bytes());
        mask_line(&mut masked, line.of(source).as_bytes());
    }
    masked.extend_from_slice(Span::new(masked.len(), source.len()).of(source).as_bytes());
    // Whole characters have been put in place of whole characters.
    String::from_utf8(masked).unwrap_or_default()
}

fn mask_line(masked: &mut Vec<u8>, line: &[u8]) {
    let pairs = line.iter().zip(line.get(1..).unwrap_or_default());
    masked.extend(pairs.map(|pair| if matches!(pair, (b' ', next) if *next != b' ') { b' ' } else { MASK }));
    masked.extend(line.last().map(|_| MASK));
}

/// The length of what containers put before a continuation line: blanks, and a `>` for each quote at most.
fn prefix(line: &[u8], quotes: usize) -> usize {
    let mut seen = 0;
    line.iter()
        .take_while(|&&byte| {
            seen += usize::from(byte == b'>');
            is_blank(byte) || byte == b'>' && seen <= quotes
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOURCE: &str = "> > ~{a\r\n>\t> > b  c \r\n d}e";

    fn extent(quotes: usize) -> Extent {
        Extent { span: Span::new(4, SOURCE.len() - 1), quotes }
    }

    fn lines(quotes: usize) -> Vec<&'static str> {
        extent(quotes).lines(SOURCE).map(|line| line.of(SOURCE)).collect()
    }

    #[test]
    fn only_as_many_quote_signs_as_there_are_quotes() {
        assert_eq!(lines(3), ["~{a", "b  c ", "d}"]);
        assert_eq!(lines(2), ["~{a", "> b  c ", "d}"]);
        assert_eq!(lines(0), ["~{a", ">\t> > b  c ", "d}"]);
    }

    #[test]
    fn text_keeps_every_byte_in_its_place() {
        assert_eq!(extent(2).text(SOURCE), "~{a\r\n    > b  c \r\n d}");
        let one = Extent { span: Span::new(4, 7), quotes: 2 };
        assert!(matches!(one.text(SOURCE), Cow::Borrowed("~{a")));
    }

    #[test]
    fn masks_keep_lines_prefixes_and_single_blanks() {
        assert_eq!(mask(SOURCE, [extent(2)].into_iter()), "> > %%%\r\n>\t> % %% %%\r\n %%e");
        assert_eq!(mask("a ~{ü\t x} b", [Extent { span: Span::new(2, 10), quotes: 0 }].into_iter()), "a %%%%% %% b");
    }
}
