//! Headings: which are of one line, and which bytes are attributes (`# Results {#results}`).

use super::lines::{ends_line, is_blank, trim_end};
use crate::span::Span;

/// Does the heading begin with `#` signs, and so end with its line? The others have an underline.
pub(super) fn has_signs(markdown: &str, heading: Span) -> bool {
    let text = heading.of(markdown).as_bytes();
    let signs = text.iter().take_while(|&&byte| byte == b'#').count();
    let after = text.get(signs).copied();
    (1..=6).contains(&signs) && after.is_none_or(|byte| is_blank(byte) || ends_line(byte))
}

/// The block of attributes at a heading's end, its braces included. Text that looks like one is
/// taken out of the heading when it is rendered, so nothing in it is text.
pub(super) fn attributes(markdown: &str, heading: Span) -> Option<Span> {
    let bytes = markdown.as_bytes();
    let content = heading.start..content_end(markdown, heading);
    let text = bytes.get(content.clone())?;
    let (&last, inner) = text.split_last()?;
    let excluded = |byte: u8| matches!(byte, b'{' | b'}' | b'<' | b'>' | b'\\') || ends_line(byte);
    let open = inner.iter().rposition(|&byte| excluded(byte))?;
    let is_block = last == b'}' && inner.get(open) == Some(&b'{');
    is_block.then(|| Span::new(content.start + open, content.end))
}

/// Where a heading's own text ends: an underline is none of it.
fn content_end(markdown: &str, heading: Span) -> usize {
    let bytes = markdown.as_bytes();
    let end = trim_end(bytes, heading.start, heading.end);
    if has_signs(markdown, heading) {
        return end;
    }
    let text = bytes.get(heading.start..end).unwrap_or_default();
    let underline = text.iter().rposition(|&byte| ends_line(byte)).unwrap_or(0);
    trim_end(bytes, heading.start, heading.start + underline)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(heading: &str) -> Option<&str> {
        attributes(heading, Span::new(0, heading.len())).map(|span| span.of(heading))
    }

    #[test]
    fn blocks_of_attributes() {
        assert_eq!(block("# Results {#results .x} \n"), Some("{#results .x}"));
        assert_eq!(block("Results {#r}\r\n===\r\n"), Some("{#r}"));
        assert_eq!(block("#Results\rin all {#r} \r---"), Some("{#r}"));
        for none in ["# Results", "# a } ", "# {a} b", "# {a\\}", "# a {#x} ##", "a {b}\n\\c}\n==", "}", ""] {
            assert_eq!(block(none), None, "{none:?}");
        }
    }

    #[test]
    fn signs() {
        let signs = |text: &str| has_signs(text, Span::new(0, text.len()));
        assert!(signs("# a") && signs("######\n") && signs("#\ta"));
        assert!(!signs("#a\n==") && !signs("####### a\n--") && !signs("a\n=="));
    }
}
