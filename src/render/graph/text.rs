//! Text in a picture: how wide it is at most, how it is broken into lines, how it is written.

use super::super::plain;
use crate::parse::ast::Symbol;

/// The size of text, in the units of the picture.
pub(super) const SIZE: f64 = 13.0;
/// The distance of two lines.
pub(super) const LINE: f64 = 17.0;
/// How far letters reach above their line's foot.
pub(super) const ABOVE: f64 = 10.5;
/// How far they reach below it.
pub(super) const BELOW: f64 = 3.5;

/// A stretch of text in one type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) text: String,
    pub(super) kind: Kind,
}

/// How a stretch is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Upright.
    Upright,
    /// A quantity's symbol (ISO 80000-1:2009, 7.1.1, from memory: italic).
    Italic,
    /// Its subscript: small, and lower.
    Subscript,
}

impl Run {
    /// Upright text.
    pub(super) fn upright(text: impl Into<String>) -> Self {
        Self { text: text.into(), kind: Kind::Upright }
    }

    fn width(&self) -> f64 {
        let size = if self.kind == Kind::Subscript { SUBSCRIPT } else { SIZE };
        width(&self.text) * size
    }
}

/// The size of subscripts.
pub(super) const SUBSCRIPT: f64 = 9.5;

/// A symbol: its base italic, its subscript small and lower.
pub(super) fn symbol(symbol: &Symbol) -> Vec<Run> {
    let base = format!("{}{}", symbol.base(), "′".repeat(symbol.primes()));
    let mut runs = vec![Run { text: base, kind: Kind::Italic }];
    runs.extend(symbol.subscript().map(|text| Run { text: text.to_owned(), kind: Kind::Subscript }));
    runs
}

/// `10⁻⁶`
pub(super) fn power_of_ten(power: i32) -> String {
    let raised = plain::superscript(&power.to_string().replace('-', "−")).unwrap_or_default();
    format!("10{raised}")
}

/// How wide a line is at most.
pub(super) fn line_width(runs: &[Run]) -> f64 {
    runs.iter().map(Run::width).sum()
}

/// How wide a text is in the widest of the usual system fonts, as a multiple of its size. Nothing measures text
/// here: what is too wide costs room, what is too narrow would let labels run into each other.
fn width(text: &str) -> f64 {
    text.chars().map(advance).sum()
}

/// From the advance widths of DejaVu Sans and Serif, the widest of those that systems come with, rounded up.
fn advance(c: char) -> f64 {
    match c {
        '\u{300}'..='\u{36F}' | '\u{200B}'..='\u{200F}' => 0.0,
        '⁰'..='⁹' | '¹' | '²' | '³' | '⁻' => 0.45,
        ' ' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | '\u{A0}' | '\u{202F}' => 0.36,
        'i' | 'j' | 'l' | 'I' | '(' | ')' | '[' | ']' | '/' | '′' | '·' => 0.42,
        'f' | 'r' | 's' | 't' | '-' => 0.56,
        'm' | 'M' | 'W' | '%' | '@' | '…' | '—' => 1.05,
        'w' | '−' | '±' | '×' | '=' | '+' => 0.9,
        'a'..='z' | '0'..='9' => 0.67,
        'A'..='Z' => 0.88,
        // Most letters of the Latin and Greek alphabets; all others may be as wide as they are high.
        '\u{A1}'..='\u{24F}' | '\u{370}'..='\u{52F}' => 0.95,
        _ => 1.05,
    }
}

/// Words, and what must not be parted behind them, in lines of that width: the words in `most` lines
/// at most, what stands behind them in the last or in one of its own. Of words that
/// find no room an ellipsis is left; what stands behind them always has its place.
pub(super) fn wrapped(words: &str, behind: &[Run], room: f64, most: usize) -> Vec<Vec<Run>> {
    let ellipsis = Run::upright("…");
    let mut lines = Vec::new();
    let mut line = Vec::new();
    for word in words.split_whitespace() {
        let part = cut(vec![Run::upright(word)], room - ellipsis.width());
        if line_width(&line) + gap(&line).width() + line_width(&part) + ellipsis.width() > room {
            if lines.len() + 1 >= most {
                line.push(ellipsis);
                break;
            }
            lines.push(std::mem::take(&mut line));
        }
        line.push(gap(&line));
        line.extend(part);
    }
    let behind = cut(behind.to_vec(), room);
    if line_width(&line) + gap(&line).width() + line_width(&behind) > room {
        lines.push(std::mem::take(&mut line));
    }
    if !behind.is_empty() {
        line.push(gap(&line));
        line.extend(behind);
    }
    lines.push(line);
    lines.into_iter().map(joined).filter(|line| !line.is_empty()).collect()
}

/// What parts a word from the line before it.
fn gap(line: &[Run]) -> Run {
    Run::upright(if line.is_empty() { "" } else { " " })
}

/// A part that is too wide for a line of its own ends with an ellipsis.
fn cut(part: Vec<Run>, room: f64) -> Vec<Run> {
    if line_width(&part) <= room {
        return part;
    }
    let mut left = room - Run::upright("…").width();
    let mut kept = Vec::new();
    for run in part {
        let size = if run.kind == Kind::Subscript { SUBSCRIPT } else { SIZE };
        let fits = |c: &char| {
            left -= advance(*c) * size;
            left >= 0.0
        };
        let text: String = run.text.chars().take_while(fits).collect();
        let whole = text.len() == run.text.len();
        kept.push(Run { text, ..run });
        if !whole {
            break;
        }
    }
    kept.push(Run::upright("…"));
    kept
}

/// Neighbours of one kind as one.
fn joined(line: Vec<Run>) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for run in line.into_iter().filter(|run| !run.text.is_empty()) {
        match runs.last_mut() {
            Some(last) if last.kind == run.kind => last.text.push_str(&run.text),
            _ => runs.push(run),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(lines: &[Vec<Run>]) -> Vec<String> {
        lines.iter().map(|line| line.iter().map(|run| run.text.as_str()).collect()).collect()
    }

    #[test]
    fn words_are_broken_and_symbol_and_unit_are_kept_together() {
        let behind = [symbol(&Symbol::new("x_1")), vec![Run::upright(" / cm")]].concat();
        assert_eq!(texts(&wrapped("extension", &behind, 400.0, 2)), ["extension x1 / cm"]);
        assert_eq!(texts(&wrapped("extension of the band", &behind, 160.0, 2)), ["extension of the", "band x1 / cm"]);
        assert_eq!(texts(&wrapped("", &behind, 160.0, 2)), ["x1 / cm"]);
        assert_eq!(texts(&wrapped("a b", &[], 160.0, 2)), ["a b"]);
    }

    #[test]
    fn nothing_is_wider_than_its_line() {
        let long = "pneumonoultramicroscopic".repeat(20);
        let behind = symbol(&Symbol::new(&"q".repeat(300)));
        for words in [long.as_str(), &format!("a {long} b"), &"word ".repeat(200)] {
            let lines = wrapped(words, &behind, 200.0, 3);
            assert!(lines.len() <= 4 && lines.iter().all(|line| line_width(line) <= 200.0), "{lines:?}");
            assert!(texts(&lines).last().unwrap().contains('q'), "{lines:?}");
        }
    }

    #[test]
    fn powers_are_raised() {
        assert_eq!([power_of_ten(6), power_of_ten(-12)], ["10⁶", "10⁻¹²"]);
    }
}
