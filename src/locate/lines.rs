//! Lines as CommonMark 0.31.2, 2.1 knows them: ended by `\n`, `\r\n` or a lone `\r`.

use std::borrow::Cow;

use memchr::{memchr_iter, memchr2};

/// The text with `\n` for every lone `\r`, byte for byte. pulldown-cmark 0.13 ends lines at a lone `\r` in
/// paragraphs, but not in code, HTML and headings with attributes: these would hold all that follows.
pub(super) fn with_line_feeds(text: &str) -> Cow<'_, str> {
    let lone = |at: &usize| text.as_bytes().get(at + 1) != Some(&b'\n');
    let mut returns = memchr_iter(b'\r', text.as_bytes()).filter(lone).peekable();
    if returns.peek().is_none() {
        return Cow::Borrowed(text);
    }
    let mut plain = String::with_capacity(text.len());
    for at in returns {
        plain.push_str(text.get(plain.len()..at).unwrap_or_default());
        plain.push('\n');
    }
    plain.push_str(text.get(plain.len()..).unwrap_or_default());
    Cow::Owned(plain)
}

/// Where the line that holds `from` ends, and where the next one begins: the same where there is none.
pub(super) fn line(bytes: &[u8], from: usize) -> (usize, usize) {
    let rest = bytes.get(from..).unwrap_or_default();
    let Some(length) = memchr2(b'\n', b'\r', rest) else { return (bytes.len(), bytes.len()) };
    let end = from + length;
    (end, after_line_end(bytes, end))
}

/// The first byte behind the line ending at `end`.
pub(super) fn after_line_end(bytes: &[u8], end: usize) -> usize {
    end + if bytes.get(end..end + 2) == Some(b"\r\n") { 2 } else { 1 }
}

/// `\n` or `\r`.
pub(super) const fn ends_line(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}

/// A blank within a line.
pub(super) const fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

/// `end` moved back over blanks and line endings, but not before `start`.
pub(super) fn trim_end(bytes: &[u8], start: usize, end: usize) -> usize {
    let body = bytes.get(start..end).unwrap_or_default();
    start + body.iter().rposition(|&byte| !ends_line(byte) && !is_blank(byte)).map_or(0, |last| last + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_line_ending_ends_a_line_once() {
        let bytes = b"a\r\nb\rc\n\nd";
        let mut at = 0;
        let mut ends = Vec::new();
        while at < bytes.len() {
            let (end, next) = line(bytes, at);
            ends.push((end, next));
            at = next;
        }
        assert_eq!(ends, [(1, 3), (4, 5), (6, 7), (7, 8), (9, 9)]);
    }

    #[test]
    fn only_lone_returns_are_replaced() {
        assert_eq!(with_line_feeds("a\r\nb\r\r\nc\rd\r"), "a\r\nb\n\r\nc\nd\n");
        assert!(matches!(with_line_feeds("a\r\nb\n"), Cow::Borrowed(_)));
    }

    #[test]
    fn trimming_stops_at_the_start() {
        assert_eq!(trim_end(b"ab \t\r\n", 0, 6), 2);
        assert_eq!(trim_end(b"ab    ", 3, 6), 3);
    }
}
