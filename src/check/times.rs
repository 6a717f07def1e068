//! The letter x where a multiplication is meant: `2 x 1/4 mm`, `1.2x10^3`, `l x w`.

use super::paper::Paper;
use crate::locate::Place;
use crate::parse::Fault;
use crate::parse::ast::Symbol;
use crate::span::Span;

/// Of longer items the letter is not looked for: no formula of a report is a tenth as long.
const LONGEST: usize = 1_000;

/// The letter by which a fault came about, where it is one.
pub(super) fn letter(paper: &Paper<'_>, fault: &Fault, place: &Place<'_>) -> Option<Span> {
    let at = fault.span.start.checked_sub(place.span.start)?;
    let text = Some(&place.text).filter(|text| text.len() <= LONGEST)?;
    let letter = |from: usize| is_letter(text, from).then_some(from);
    let before = text.get(..at)?.trim_end();
    let found = letter(at).or_else(|| letter(before.len().checked_sub(1)?)).or_else(|| {
        text.char_indices().map(|(at, _)| at).find(|&at| touches_digits(text, at) && is_letter(text, at))
    })?;
    let symbol = Symbol::new(text.get(found..=found)?);
    let free = touches_digits(text, found) || paper.context.sheet.find(&symbol).is_none();
    let start = place.span.start + found;
    (free && paper.text(Span::new(start, start + 1)) == symbol.as_str()).then(|| Span::new(start, start + 1))
}

/// Does a lone x or X stand here, something before and behind it? Quotes hold no formula.
fn is_letter(text: &str, at: usize) -> bool {
    let Some((before, behind)) = text.get(..at).zip(text.get(at..)) else { return false };
    let Some(behind) = behind.strip_prefix(['x', 'X']) else { return false };
    let operand = |c: char| c.is_alphanumeric() || matches!(c, ')' | ']' | '(' | '.');
    let parted = |c: char| c.is_whitespace() || c.is_ascii_digit() || matches!(c, ')' | '(' | ']');
    before.ends_with(parted)
        && behind.starts_with(parted)
        && before.trim_end().ends_with(operand)
        && behind.trim_start().starts_with(operand)
        && before.matches('"').count() % 2 == 0
}

fn touches_digits(text: &str, at: usize) -> bool {
    let before = text.get(..at).is_some_and(|before| before.trim_end().ends_with(|c: char| c.is_ascii_digit()));
    let behind = text.get(at + 1..).unwrap_or("").trim_start();
    before && behind.starts_with(|c: char| c.is_ascii_digit())
}
