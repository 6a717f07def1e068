//! Characters that every part of the notation knows: blanks, primes, quotes.

/// A blank of any width, no-break ones included, or one of no width, which no author can see.
pub(super) fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

/// `′`, `’` and `'` are one, `″` is two.
#[inline]
pub(super) fn is_prime(c: char) -> bool {
    matches!(c, '\'' | '’' | '′' | '″')
}

/// Does `i` begin with a character of that class?
#[inline]
pub(super) fn starts(i: &str, class: impl Fn(char) -> bool) -> bool {
    i.chars().next().is_some_and(class)
}

/// The closer of a quote's opener.
pub(super) fn closer(opener: char) -> Option<char> {
    match opener {
        '"' => Some('"'),
        '“' => Some('”'),
        '„' => Some('“'),
        _ => None,
    }
}

/// Where a quote's closer begins.
pub(super) fn closes_at(closer: char, text: &str) -> Option<usize> {
    if closer == '"' { memchr::memchr(b'"', text.as_bytes()) } else { text.find(closer) }
}
