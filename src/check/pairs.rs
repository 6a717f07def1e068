//! Measurements in running text: a number, a sign, another number, with or without units.

use crate::parse;
use crate::quantity::Units;
use crate::span::Span;

/// Two numbers about a sign.
pub(super) struct Pair<'t> {
    /// From the first number to the end of the second.
    pub(super) span: Span,
    /// The sign alone.
    pub(super) sign: Span,
    first: &'t str,
    second: &'t str,
    unit: &'t str,
}

impl Pair<'_> {
    /// Both numbers, without blanks and units.
    pub(super) fn close(&self) -> String {
        let pair = [self.first, "±", self.second].concat();
        pair.chars().filter(|c| !is_blank(*c)).collect()
    }

    /// As an item takes it.
    pub(super) fn as_estimate(&self) -> String {
        let Self { first, second, unit, .. } = self;
        let blank = if unit.is_empty() { "" } else { " " };
        format!("{} ± {}{blank}{unit}", first.replace(',', "."), second.replace(',', "."))
    }
}

/// How far before the sign its number may begin, in bytes: that is a long number with a long unit.
const REACH: usize = 48;

/// The places where `sign` stands between two numbers.
pub(super) fn around<'t>(place: Span, text: &'t str, sign: &'t str) -> impl Iterator<Item = Pair<'t>> + 't {
    text.match_indices(sign).filter_map(move |(at, _)| {
        let (start, first, own_unit) = number_before(&text[..at])?;
        let behind = text[at + sign.len()..].trim_start_matches(is_blank);
        let length = number(behind)?;
        let (second, rest) = behind.split_at(length);
        let unit = unit_first(rest.trim_start_matches(')').trim_start_matches(is_blank));
        let end = text.len() - rest.len();
        Some(Pair {
            span: Span::new(place.start + start, place.start + end),
            sign: Span::new(place.start + at, place.start + at + sign.len()),
            first,
            second,
            unit: if unit.is_empty() { own_unit } else { unit },
        })
    })
}

/// Is there a digit on either side of a bracket, so that [`bracketed`] is worth its while?
pub(super) fn may_hold_bracketed(text: &str) -> bool {
    text.as_bytes().windows(3).any(|near| near[1] == b'(' && near[0].is_ascii_digit() && near[2].is_ascii_digit())
}

/// `80.6(2) g`: a number with decimals, the doubt of its last digits in brackets, a unit. From the number to the
/// unit's end, and that text.
pub(super) fn bracketed(place: Span, text: &str) -> impl Iterator<Item = (Span, &str)> {
    text.match_indices('(').filter_map(move |(at, _)| {
        let before = text[..at].chars().next_back().filter(char::is_ascii_digit)?;
        let (start, number, _) = number_before(&text[..at])?;
        let digits = text[at + 1..].find(|c: char| !c.is_ascii_digit()).filter(|digits| matches!(digits, 1 | 2))?;
        let rest = text[at + 1 + digits..].strip_prefix(')')?.trim_start_matches(is_blank);
        let unit = unit_first(rest);
        let whole = number.ends_with(before) && number.contains('.') && !unit.is_empty();
        let end = text.len() - rest.len() + unit.len();
        whole.then(|| (Span::new(place.start + start, place.start + end), &text[start..end]))
    })
}

/// The number that ends at the end of a text, a unit between allowed: where it begins, itself, its unit.
fn number_before(text: &str) -> Option<(usize, &str, &str)> {
    let text = text.trim_end_matches(is_blank);
    let mut from = text.len().saturating_sub(REACH);
    while !text.is_char_boundary(from) {
        from += 1;
    }
    let mut before = text[..from].chars().next_back();
    for (at, c) in text[from..].char_indices() {
        let begins = c.is_ascii_digit() && !before.is_some_and(|b| b.is_alphanumeric() || ".,^_".contains(b));
        before = Some(c);
        if !begins {
            continue;
        }
        let here = &text[from + at..];
        let (number, rest) = here.split_at(number(here)?);
        let rest = rest.trim_start_matches(is_blank);
        let unit = unit_first(rest);
        if unit.len() == rest.len() {
            return Some((from + at, number, unit));
        }
    }
    None
}

/// The length of the number at the beginning of a text, its power of ten included.
fn number(text: &str) -> Option<usize> {
    let digits = |text: &str| text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let mut length = digits(text);
    if length == 0 {
        return None;
    }
    if text[length..].starts_with(['.', ',']) {
        let decimals = digits(&text[length + 1..]);
        length += if decimals > 0 { 1 + decimals } else { 0 };
    }
    Some(length + power(&text[length..]))
}

/// The length of `e-19`, `×10^-19`, ` x 10⁻³` at the beginning of a text; 0 where there is none.
fn power(text: &str) -> usize {
    let exponent = |rest: &str| {
        let raised = |c: char| c.is_ascii_digit() || matches!(c, '-' | '−' | '⁻' | '⁰'..='⁹' | '¹' | '²' | '³');
        let ends = rest.find(|c| !raised(c)).unwrap_or(rest.len());
        (rest[..ends].chars().next_back().is_some_and(|c| !matches!(c, '-' | '−' | '⁻'))).then_some(ends)
    };
    if let Some(rest) = text.strip_prefix(['e', 'E']) {
        return exponent(rest).map_or(0, |ends| 1 + ends);
    }
    let times = text.trim_start_matches(is_blank).strip_prefix(['×', 'x', '·', '*']);
    let ten = times.and_then(|rest| rest.trim_start_matches(is_blank).strip_prefix("10"));
    let Some(rest) = ten else { return 0 };
    let rest = rest.strip_prefix('^').unwrap_or(rest);
    exponent(rest).map_or(0, |ends| text.len() - rest.len() + ends)
}

/// The known unit at the beginning of a text; empty where there is none.
fn unit_first(text: &str) -> &str {
    let part = |c: char| c.is_alphanumeric() || "°%/^*·-−⁻".contains(c);
    let end = text.find(|c| !part(c)).unwrap_or(text.len());
    let unit = &text[..end];
    let known = unit.len() <= REACH
        && !unit.starts_with(|c: char| c.is_numeric())
        && parse::unit(unit).is_ok_and(|spelling| Units::default().knows(&spelling));
    if known { unit } else { "" }
}

fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measurement_is_two_numbers_about_the_sign() {
        for (text, spans, estimates) in [
            (
                "It is 14.3 ± 0.1 cm, not ± 2 or 5±x, and 8±1.",
                vec!["14.3 ± 0.1", "8±1"],
                vec!["14.3 ± 0.1 cm", "8 ± 1"],
            ),
            ("14.3 cm ± 0.1 cm", vec!["14.3 cm ± 0.1"], vec!["14.3 ± 0.1 cm"]),
            ("about 20 °C ± 1 °C", vec!["20 °C ± 1"], vec!["20 ± 1 °C"]),
            ("(14,3 ± 0,1) cm", vec!["14,3 ± 0,1"], vec!["14.3 ± 0.1 cm"]),
            ("5 ± 10% of all", vec!["5 ± 10"], vec!["5 ± 10 %"]),
            (
                "1.2×10^3 ± 10 kg, 3e-4 ± 1e-5",
                vec!["1.2×10^3 ± 10", "3e-4 ± 1e-5"],
                vec!["1.2×10^3 ± 10 kg", "3e-4 ± 1e-5"],
            ),
            ("in 2 runs ± 3, section 2.1: ± 4, x1 ± 2", vec![], vec![]),
        ] {
            let pairs: Vec<_> = around(Span::new(0, text.len()), text, "±").collect();
            assert_eq!(pairs.iter().map(|pair| pair.span.of(text)).collect::<Vec<_>>(), spans, "{text}");
            assert_eq!(pairs.iter().map(Pair::as_estimate).collect::<Vec<_>>(), estimates, "{text}");
        }
    }
}
