//! When one reading of a report is enough: nothing in its items could have joined with what stands
//! around them, nor will their masks. A report of which this is not certain is read again, masked.

use memchr::memchr3;

use super::End;
use super::heading;
use super::item::Item;
use super::text::Layout;

/// Would the report read the same, were its items masked? `items` were found in the `layout` of the source itself.
pub(super) fn all_calm(source: &str, masked: &str, items: &[Item], layout: &Layout) -> bool {
    let mut loose = layout.loose.iter().copied().peekable();
    let mut last = None;
    let is_behind_loose = |item: &Item| {
        let span = item.extent.span;
        while let Some(at) = loose.next_if(|&at| at < span.start) {
            last = Some(at);
        }
        // What is loose within an item is masked with it.
        while loose.next_if(|&at| at < span.end).is_some() {}
        last.is_some_and(|at| at >= item.text.leaf.start)
    };
    // Attributes end a heading: where they take in any of its items, they take in the last.
    let mut lasts = items.chunk_by(|one, next| one.text.leaf == next.text.leaf).filter_map(<[Item]>::last);
    items.iter().all(|item| is_calm(source, item))
        && !items.iter().any(is_behind_loose)
        && !lasts.any(|item| is_attribute(masked, item))
}

/// Does the item end on its own terms, and hold only what means nothing to Markdown's blocks, code, math, HTML and links?
fn is_calm(source: &str, item: &Item) -> bool {
    let text = item.extent.span.of(source);
    let inner = text.strip_prefix("~{").and_then(|rest| rest.strip_suffix('}'));
    // Whether a `>` belongs to the item's own quote or begins another, only a reading tells.
    let continues = |line: &str| item.extent.quotes == 0 && line.starts_with(|c: char| c.is_ascii_alphabetic());
    item.end == End::Closed
        && inner.is_some_and(|inner| is_plain(inner.as_bytes()))
        && item.extent.lines(source).skip(1).all(|line| continues(line.of(source)))
}

/// No code, math, HTML or braces, no pipe but `\|`, brackets in pairs that make no link.
fn is_plain(inner: &[u8]) -> bool {
    // Most items have nothing to look at closely.
    let is_active = memchr3(b'`', b'$', b'<', inner)
        .or_else(|| memchr3(b'{', b'}', b'|', inner))
        .or_else(|| memchr3(b'[', b']', b'\\', inner))
        .is_some();
    !is_active || is_balanced(inner)
}

/// As [`is_plain`], byte by byte.
fn is_balanced(inner: &[u8]) -> bool {
    let mut depth = 0_usize;
    let mut previous = [b'{'; 2];
    for &byte in inner {
        let fits = match (previous, byte) {
            (_, b'`' | b'$' | b'<' | b'{' | b'}') | ([_, b']'], b'(' | b'[' | b':') => false,
            ([b'\\', b'\\'], b'|') | ([_, b'\\'], b'\\') => false,
            ([_, b'\\'], other) => other == b'|',
            (_, b'|') => false,
            (_, b']') => depth > 0,
            _ => true,
        };
        if !fits {
            return false;
        }
        depth = depth + usize::from(byte == b'[') - usize::from(byte == b']');
        previous = [previous[1], byte];
    }
    depth == 0 && previous[1] != b'\\'
}

/// Masked, does it lie in a heading's block of attributes?
fn is_attribute(masked: &str, item: &Item) -> bool {
    item.text.setting == super::Setting::Heading
        && heading::attributes(masked, item.text.leaf).is_some_and(|block| block.start < item.extent.span.end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_is_what_reports_hold() {
        for plain in [
            r#"d "rod diameter" = 12.42 mm; reading 1/4 of 0.5 mm "both jaws seated""#,
            "k = 9.81[m/s^2] * sin(β) / a_m * (x_2 - x_1)",
            r#"x "a \| b" [cm]"#,
            "",
        ] {
            assert!(is_plain(plain.as_bytes()), "{plain:?}");
        }
    }

    #[test]
    fn what_could_join_is_not() {
        for active in
            ["`", "$", "a < b", "{", "\"}\"", "a | b", r"a \\| b", r"\a", "\\", "[", "]", "][", "[a](b)", "[a][b]"]
        {
            assert!(!is_plain(active.as_bytes()), "{active:?}");
        }
    }
}
