//! Text that Markdown is to show literally: what it would read is escaped, and nothing else.

/// Where a piece of text goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Spot {
    /// A table's cell, where `|` ends it.
    pub(super) cell: bool,
    /// A heading, where braces at the end are attributes.
    pub(super) heading: bool,
    /// The start of a line, where a sign can begin a block.
    pub(super) line_start: bool,
}

/// `text` as Markdown.
pub(super) fn escape(text: &str, spot: Spot) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let characters: Vec<char> = text.chars().collect();
    for (at, &c) in characters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|before| characters.get(before)).copied();
        let after = characters.get(at + 1).copied();
        match c {
            // A line break in a name is a blank.
            c if c.is_whitespace() && c != '\u{A0}' && c != '\u{202F}' => push_blank(&mut out),
            '{' if spot.heading => out.push_str("&#123;"),
            // A heading loses the `#`s at its end.
            '#' if spot.heading => out.push_str("\\#"),
            c if is_read(c, before, after) || spot.line_start && leads(&characters, at) => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

fn push_blank(out: &mut String) {
    // Two blanks before a line's end would break the line.
    if !out.ends_with(' ') {
        out.push(' ');
    }
}

/// Would Markdown read `c` between these neighbours?
fn is_read(c: char, before: Option<char>, after: Option<char>) -> bool {
    let word = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    match c {
        // `|` could make the columns of a line as many as those of the rule beneath it; `^` is Pandoc's superscript.
        '*' | '`' | '[' | ']' | '~' | '$' | '|' | '^' => true,
        '<' => after.is_none_or(|c| c.is_ascii_alphabetic() || matches!(c, '/' | '!' | '?')),
        // Before a letter Pandoc takes it for a command of TeX.
        '\\' => after.is_none_or(|c| c.is_ascii_punctuation() || c.is_ascii_alphabetic()),
        '_' => !(word(before) && word(after)),
        '&' => after.is_none_or(|c| c == '#' || c.is_ascii_alphabetic()),
        '!' => after.is_none(),
        // `{{`, `{%` and `{#` begin the commands of site generators, which look for them before Markdown does.
        '{' | '%' | '#' => before == Some('{'),
        _ => false,
    }
}

/// Would `characters[at]` make a block of the line that they begin?
fn leads(characters: &[char], at: usize) -> bool {
    let parted = |at: usize| characters.get(at + 1).is_none_or(|c| c.is_whitespace());
    match characters[at] {
        '#' | '>' | '+' | '-' | '=' | '|' | ':' | '%' => at == 0,
        '.' | ')' if parted(at) => numbers(characters[..at].strip_prefix(&['(']).unwrap_or(&characters[..at])),
        _ => false,
    }
}

/// `1.` and `1)` begin a list; so do, to Pandoc, `(1)`, `a.`, `iv)` and `#.`.
fn numbers(label: &[char]) -> bool {
    let all = |is: fn(&char) -> bool| label.iter().all(is);
    let is_roman = |c: &char| "ivxlcdmIVXLCDM".contains(*c);
    match label.len() {
        0 => false,
        1 => label[0].is_ascii_alphanumeric(),
        length => length <= 9 && (all(char::is_ascii_digit) || all(is_roman)),
    }
}

/// What an edge of a text has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Edge {
    /// As it is.
    Bare,
    /// Punctuation.
    Punctuation,
    /// No character that it can be taken for.
    Any,
}

impl Edge {
    pub(super) const fn of(needed: bool) -> Self {
        if needed { Self::Punctuation } else { Self::Bare }
    }
}

/// The first or last character of `text` as a character reference, which Markdown takes for
/// punctuation, as it took the item's own `~` and `}`: `**Length:**` in front of a letter would not close.
pub(super) fn guarded(text: &str, start: Edge, end: Edge) -> String {
    let mut characters: Vec<char> = text.chars().collect();
    let guard = |edge: Edge, at: Option<usize>| {
        let at = at?;
        let c = *characters.get(at)?;
        let needed = match edge {
            Edge::Bare => false,
            Edge::Punctuation => !c.is_ascii_punctuation(),
            // What is escaped or a reference already is no part of anything.
            Edge::Any => !matches!(c, '\\' | '&'),
        };
        needed.then_some((at, c))
    };
    let last = text.chars().count().checked_sub(1);
    let start = guard(start, Some(0));
    let end = guard(end, last).filter(|end| start.is_none_or(|start| start.0 != end.0));
    let reference = |c: char| format!("&#{};", u32::from(c));
    let mut out = String::new();
    if let Some((_, c)) = start {
        characters.remove(0);
        out.push_str(&reference(c));
    }
    let tail = end.and_then(|_| characters.pop()).map(reference);
    // A backslash that stood before a letter must not stand before the `&`.
    let backslashes = characters.iter().rev().take_while(|&&c| c == '\\').count();
    let lone = tail.is_some() && backslashes % 2 == 1;
    out.extend(characters);
    out.push_str(if lone { "\\" } else { "" });
    out.push_str(&tail.unwrap_or_default());
    out
}

/// Text that is escaped already, without the signs that could end a tag, a destination or a title that text before it begins.
pub(super) fn unread(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' | '>' | '"' | '\'' | '(' | ')' | '=' => {
                // A backslash stood there for the sign, and a reference needs none.
                let backslashes = out.len() - out.trim_end_matches('\\').len();
                out.truncate(out.len() - backslashes % 2);
                out.push_str(&format!("&#{};", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_would_be_read_is_escaped() {
        let shown = |text| escape(text, Spot { line_start: true, ..Spot::default() });
        for same in [
            "9.7 ± 0.2 m/s²",
            "t_fall",
            "R & D",
            "a = b",
            "a - b",
            "a > b",
            "a < 1",
            "(1 ± 3) × 10⁶ m",
            "5 % {x}",
            "3.5 m",
            "C:\\3",
        ] {
            assert_eq!(shown(same), same);
        }
        for (text, escaped) in [
            ("*x*", "\\*x\\*"),
            ("_x_", "\\_x\\_"),
            ("~{d}", "\\~{d}"),
            ("<b>", "\\<b>"),
            ("&amp;", "\\&amp;"),
            ("a\\*", "a\\\\\\*"),
            ("# a", "\\# a"),
            ("1. a", "1\\. a"),
            ("- a", "\\- a"),
            ("a\r\n  b", "a b"),
            ("[a](b)", "\\[a\\](b)"),
            ("5 $", "5 \\$"),
            ("5 % | 3", "5 % \\| 3"),
            ("C:\\x", "C:\\\\x"),
            ("{{x}} {%", "{\\{x}} {\\%"),
            ("iv. a (1) b", "iv\\. a (1) b"),
            ("(1) a", "(1\\) a"),
            (": a", "\\: a"),
            ("x^2", "x\\^2"),
        ] {
            assert_eq!(shown(text), escaped);
        }
        assert_eq!(escape("- a", Spot::default()), "- a");
        assert_eq!(escape("a|b", Spot { cell: true, ..Spot::default() }), "a\\|b");
        assert_eq!(escape("a {#b}", Spot { heading: true, ..Spot::default() }), "a &#123;\\#b}");
    }

    #[test]
    fn edges_become_punctuation() {
        use Edge::{Any, Bare, Punctuation};
        assert_eq!(guarded("L = 1 m", Punctuation, Bare), "&#76; = 1 m");
        assert_eq!(guarded("L = 1 m", Punctuation, Punctuation), "&#76; = 1 &#109;");
        assert_eq!(guarded("5", Punctuation, Punctuation), "&#53;");
        assert_eq!(guarded("$x$", Punctuation, Punctuation), "$x$");
        assert_eq!(guarded(":x", Any, Bare), "&#58;x");
        assert_eq!(guarded("\\*x", Any, Bare), "\\*x");
        assert_eq!(guarded("a\\b", Bare, Punctuation), "a\\\\&#98;");
        assert_eq!(guarded("", Any, Punctuation), "");
    }
}
