//! The YAML at the very start of a report. It is taken off before Markdown is read: further down,
//! a line `---` is a rule or the underline of a heading, never the start of more of it.

use super::lines::{is_blank, line};
use crate::span::Span;

/// Front matter, and where Markdown begins behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FrontMatter {
    /// The text between the `---` lines.
    pub(super) yaml: Span,
    /// The first byte behind the closing line.
    pub(super) end: usize,
}

/// Front matter that begins at `start`: a line `---`, then lines of which the first is not blank, up
/// to a line `---` or `...`.
pub(super) fn find(source: &str, start: usize) -> Option<FrontMatter> {
    let bytes = source.as_bytes();
    let (end, body) = line(bytes, start);
    let opens = fence(bytes, start, end) == Some(b"---");
    if !opens || blank(bytes, body) {
        return None;
    }
    let mut at = body;
    while at < bytes.len() {
        let (end, next) = line(bytes, at);
        if matches!(fence(bytes, at, end), Some(b"---" | b"...")) {
            return Some(FrontMatter { yaml: Span::new(body, at), end: next });
        }
        at = next;
    }
    None
}

/// The line without the blanks at its end.
fn fence(bytes: &[u8], start: usize, end: usize) -> Option<&[u8]> {
    let text = bytes.get(start..end)?;
    let length = text.iter().rposition(|&byte| !is_blank(byte)).map_or(0, |last| last + 1);
    text.get(..length)
}

/// A rule with a blank line beneath it opens no front matter.
fn blank(bytes: &[u8], start: usize) -> bool {
    let (end, _) = line(bytes, start);
    fence(bytes, start, end).is_none_or(<[u8]>::is_empty)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn yaml(source: &str) -> Option<(&str, &str)> {
        find(source, 0).map(|found| (found.yaml.of(source), &source[found.end..]))
    }

    #[test]
    fn it_ends_at_dashes_or_dots() {
        assert_eq!(yaml("---\na: 1\n---\nText"), Some(("a: 1\n", "Text")));
        assert_eq!(yaml("--- \r\na: 1\r\n...\t\r\nText"), Some(("a: 1\r\n", "Text")));
        assert_eq!(yaml("---\ra: 1\r---"), Some(("a: 1\r", "")));
        assert_eq!(yaml("---\na: |\n ---\n ----\n---\n"), Some(("a: |\n ---\n ----\n", "")));
        assert_eq!(yaml("---\n---\nText"), Some(("", "Text")));
    }

    #[test]
    fn rules_and_underlines_are_none() {
        for source in ["", "---", "---\n", "---\n\na: 1\n---\n", "---\na: 1\n", "----\na: 1\n----\n", " ---\na\n---\n"]
        {
            assert_eq!(yaml(source), None, "{source:?}");
        }
    }
}
