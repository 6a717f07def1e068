//! Text as HTML and SVG hold it.

/// Text for an element or for an attribute in double quotes.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    push_escaped(text, &mut out);
    out
}

/// The same, behind what is there already.
pub(super) fn push_escaped(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some((at, reference)) = rest.bytes().enumerate().find_map(|(at, byte)| Some((at, reference(byte)?))) {
        out.push_str(rest.get(..at).unwrap_or(""));
        out.push_str(reference);
        rest = rest.get(at + 1..).unwrap_or("");
    }
    out.push_str(rest);
}

const fn reference(byte: u8) -> Option<&'static str> {
    match byte {
        b'&' => Some("&amp;"),
        b'<' => Some("&lt;"),
        b'>' => Some("&gt;"),
        b'"' => Some("&quot;"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped_wherever_a_sign_stands() {
        assert_eq!(escaped("<a> & \"b\"é>"), "&lt;a&gt; &amp; &quot;b&quot;é&gt;");
    }
}
