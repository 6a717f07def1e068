//! Places in a report: byte ranges of the untouched source, and the lines they stand in.

use std::cell::OnceCell;
use std::ops::Range;

/// A range of bytes of the report's source, `start..end`, both on character boundaries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The range `start..end`.
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// The empty range before the byte `offset`.
    pub const fn at(offset: usize) -> Self {
        Self::new(offset, offset)
    }

    /// From the start of `self` to the end of `other`.
    pub const fn to(self, other: Self) -> Self {
        Self::new(self.start, other.end)
    }

    /// The range as `std` writes it.
    pub const fn range(self) -> Range<usize> {
        self.start..self.end
    }

    /// The text that stands there; empty where the range is not one of `source`.
    pub fn of(self, source: &str) -> &str {
        source.get(self.range()).unwrap_or("")
    }

    /// Is `offset` inside?
    pub const fn contains(self, offset: usize) -> bool {
        self.start <= offset && offset < self.end
    }

    /// Has the range no bytes?
    pub const fn is_empty(self) -> bool {
        self.start >= self.end
    }
}

impl From<Range<usize>> for Span {
    fn from(range: Range<usize>) -> Self {
        Self::new(range.start, range.end)
    }
}

/// A value and where the author wrote it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spanned<T> {
    /// What was written.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// `value`, written at `span`.
    pub const fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

/// `source` with a text in place of what stands at each span; the spans are in order and do not overlap.
pub fn spliced<'t>(source: &str, texts: impl IntoIterator<Item = (Span, &'t str)>) -> String {
    let mut out = String::with_capacity(source.len() + source.len() / 8);
    let mut from = 0;
    for (span, text) in texts {
        out.push_str(source.get(from..span.start).unwrap_or(""));
        out.push_str(text);
        from = span.end;
    }
    out.push_str(source.get(from..).unwrap_or(""));
    out
}

/// A place as people count it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Position {
    /// UTF-8 bytes before the place.
    pub offset: usize,
    /// Line, counted from 1.
    pub line: usize,
    /// Unicode scalar values from the line's start, counted from 1.
    pub column: usize,
}

/// How many bytes lie between two remembered character counts: long enough to cost little memory,
/// short enough that a place in a line of megabytes is still found at once.
const STRIDE: usize = 512;

/// The lines of a source. Lines end at `\n`, `\r\n` or a lone `\r`, as in CommonMark 0.31.2, 2.1.
#[derive(Debug)]
pub struct Lines<'s> {
    source: &'s str,
    starts: Vec<usize>,
    /// `counts[k]`: characters that begin before byte `k * STRIDE`. Only places far behind their line's start ask for it.
    counts: OnceCell<Vec<usize>>,
}

impl<'s> Lines<'s> {
    /// Reads the whole source once.
    pub fn new(source: &'s str) -> Self {
        let bytes = source.as_bytes();
        let ends = memchr::memchr2_iter(b'\n', b'\r', bytes)
            .filter(|&at| bytes[at] == b'\n' || bytes.get(at + 1) != Some(&b'\n'));
        let starts = std::iter::once(0).chain(ends.map(|at| at + 1)).collect();
        Self { source, starts, counts: OnceCell::new() }
    }

    /// Where `offset` lies; past the end it is the end.
    pub fn position(&self, offset: usize) -> Position {
        let offset = offset.min(self.source.len());
        let line = self.number(offset);
        let start = self.starts[line - 1];
        let before = match self.source.as_bytes().get(start..offset) {
            Some(near) if near.len() <= STRIDE => count_characters(near),
            _ => self.characters_before(offset) - self.characters_before(start),
        };
        Position { offset, line, column: before + 1 }
    }

    /// The line in which `offset` lies, counted from 1.
    pub fn number(&self, offset: usize) -> usize {
        self.starts.partition_point(|&start| start <= offset)
    }

    /// The line that is `line`th from 1, without its line ending.
    pub fn line(&self, line: usize) -> Span {
        let start = self.starts.get(line.wrapping_sub(1)).copied().unwrap_or(self.source.len());
        let end = self.starts.get(line).copied().unwrap_or(self.source.len());
        let text = self.source[start..end].trim_end_matches(['\n', '\r']);
        Span::new(start, start + text.len())
    }

    fn characters_before(&self, offset: usize) -> usize {
        let counts = self.counts.get_or_init(|| counts(self.source.as_bytes()));
        let Some(block) = counts.len().checked_sub(1).map(|last| last.min(offset / STRIDE)) else { return 0 };
        counts[block] + count_characters(&self.source.as_bytes()[block * STRIDE..offset])
    }
}

fn counts(bytes: &[u8]) -> Vec<usize> {
    let mut characters = 0;
    let before = |block| {
        let before = characters;
        characters += count_characters(block);
        before
    };
    bytes.chunks(STRIDE).map(before).collect()
}

fn count_characters(bytes: &[u8]) -> usize {
    bytes.iter().filter(|&&byte| begins_character(byte)).count()
}

/// Every byte of UTF-8 but `10xxxxxx` begins a character.
const fn begins_character(byte: u8) -> bool {
    byte & 0xC0 != 0x80
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_put_in_place_of_others() {
        let texts = [(Span::at(0), "<"), (Span::new(1, 3), "é"), (Span::new(3, 3), "!"), (Span::new(4, 5), "")];
        assert_eq!(spliced("abcde", texts), "<aé!d");
        assert_eq!(spliced("abc", []), "abc");
    }

    #[test]
    fn positions_count_scalar_values_and_every_kind_of_line_ending() {
        let source = "aµ\r\nb\rc\n𝑥z";
        let lines = Lines::new(source);
        let at = |what: &str| {
            let p = lines.position(source.find(what).unwrap());
            (p.line, p.column)
        };
        assert_eq!(
            [at("a"), at("µ"), at("b"), at("c"), at("𝑥"), at("z")],
            [(1, 1), (1, 2), (2, 1), (3, 1), (4, 1), (4, 2)]
        );
        assert_eq!(lines.line(1).of(source), "aµ");
        assert_eq!(lines.line(4).of(source), "𝑥z");
        assert_eq!(lines.position(999).offset, source.len());
    }

    #[test]
    fn columns_in_a_long_line_equal_a_plain_count() {
        let source = "é".repeat(5_000) + "x";
        let lines = Lines::new(&source);
        assert_eq!(lines.position(source.len() - 1).column, 5_001);
        for near in [0, 255, 256, 257, 777] {
            assert_eq!(lines.position(2 * near).column, near + 1);
        }
    }

    #[test]
    fn an_empty_source_has_one_empty_line() {
        assert_eq!(Lines::new("").position(0), Position { offset: 0, line: 1, column: 1 });
        assert!(Lines::new("").line(1).is_empty());
    }
}
