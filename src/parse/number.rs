//! Numbers as they are typed, and the ways of typing one that this notation does not have.

use nom::Parser;
use nom::character::complete::{digit1, one_of};
use nom::combinator::{opt, recognize};

use super::FaultKind;
use super::ast::Number;
use super::character::{is_blank, is_prime, starts};
use super::recover::{Out, Part, absent, expected, fail};
use super::token::{self, skip};
use crate::quantity::{Decimal, LARGEST_EXPONENT};
use crate::span::Spanned;

/// Could a number without a sign begin here?
pub(super) fn begins(i: &str) -> bool {
    starts(i.strip_prefix('.').unwrap_or(i), |c| c.is_ascii_digit())
}

/// Could a number, with or without a sign, begin here?
pub(super) fn signed_begins(i: &str) -> bool {
    begins(sign(i).0)
}

/// The rest behind a sign and its blanks, and whether it is a minus.
fn sign(i: &str) -> (&str, bool) {
    match i.chars().next() {
        Some(c @ ('-' | '−')) => (skip(&i[c.len_utf8()..]), true),
        Some('+') => (skip(&i[1..]), false),
        _ => (i, false),
    }
}

/// A number with or without a sign, and without a power of ten behind a multiplication sign.
pub(super) fn signed<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Number>> {
    let (unsigned_part, negative) = sign(i);
    let (rest, number) = unsigned(part, unsigned_part)?;
    Ok((rest, part.at(if negative { negated(number.value) } else { number.value }, i, rest)))
}

/// The number with the other sign.
pub(super) fn negated(number: Number) -> Number {
    let decimal = number.decimal;
    Number { decimal: Decimal::new(!decimal.is_negative(), decimal.digits(), decimal.last_place()), ..number }
}

/// `12.40`, `.5`, `1.602e-19`.
pub(super) fn unsigned<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Number>> {
    let (after, plain) = plain(i)?;
    if is_over(after) {
        return read_at(part, i, after, None);
    }
    if let Some(end) = clock_time(after) {
        return fail(i, end, FaultKind::ClockTime);
    }
    if separator_begins(after) {
        return separated(part, i, plain, after);
    }
    let (rest, power) = opt_e_power(after)?;
    if power.is_some() && rest.strip_prefix(',').is_some_and(begins) {
        return expected(&rest[1..], &["a blank behind the comma"]);
    }
    read_at(part, i, rest, power)
}

/// Has a number come to its end with its digits, so that nothing else need be looked for? Most have.
fn is_over(after: &str) -> bool {
    match after.as_bytes() {
        [] | [b' '] => true,
        [b' ', next, ..] => !next.is_ascii_digit(),
        [next, ..] => next.is_ascii_graphic() && !matches!(next, b':' | b',' | b'e' | b'E' | b'\'' | b'_'),
    }
}

/// The number that stands from `i` to `rest`.
fn read_at<'s>(part: &Part, i: &'s str, rest: &'s str, power: Option<&str>) -> Out<'s, Spanned<Number>> {
    match read(&i[..i.len() - rest.len()], power) {
        Some(number) => Ok((rest, part.at(number, i, rest))),
        None => fail(i, rest, FaultKind::NumberTooLong),
    }
}

/// Digits, at most one point among or about them.
fn plain(i: &str) -> Out<'_, &str> {
    if !begins(i) {
        return absent(i);
    }
    let (after, _) = digits(i);
    let rest = after.strip_prefix('.').map_or(after, |part| digits(part).0);
    Ok((rest, &i[..i.len() - rest.len()]))
}

fn digits(i: &str) -> (&str, &str) {
    token::run(i, token::Class::DIGITS)
}

/// The digits behind an `e`, where there are any.
fn opt_e_power(i: &str) -> Out<'_, Option<&str>> {
    if i.starts_with(['e', 'E']) { opt(e_power).parse(i) } else { Ok((i, None)) }
}

/// The digits behind an `e`, their sign with them.
fn e_power(i: &str) -> Out<'_, &str> {
    let sign = opt(one_of("+-−"));
    let (rest, text) = recognize((one_of("eE"), sign, digit1)).parse(i)?;
    Ok((rest, &text[1..]))
}

fn read(text: &str, power: Option<&str>) -> Option<Number> {
    let power = match power {
        Some(digits) => Some(power_of_ten(digits)?),
        None => None,
    };
    Some(Number { decimal: Decimal::read(text)?, power })
}

/// A power of ten; `None` where it is past all reason.
fn power_of_ten(text: &str) -> Option<i32> {
    let text = text.strip_prefix('+').unwrap_or(text);
    let size = |digits: &str| digits.parse::<i32>().ok().filter(|n| *n <= LARGEST_EXPONENT);
    match token::minus(text) {
        Some(digits) => size(digits).map(|n| -n),
        None => size(text),
    }
}

/// `× 10^-19`, `*10⁻¹⁹`: the power, or nothing where it is past all reason.
pub(super) fn times_ten(i: &str) -> Out<'_, Option<i32>> {
    let Some(ten) = token::times(skip(i)).and_then(|rest| skip(rest).strip_prefix("10")) else { return absent(i) };
    let (rest, text) = match ten.strip_prefix('^') {
        Some(rest) => {
            let sign = opt(one_of("+-−"));
            let (rest, text) = recognize((sign, digit1)).parse(rest)?;
            (rest, text.to_owned())
        }
        None => token::superscript(ten)?,
    };
    // `10^2.5` and `10^2^2` are formulas.
    if starts(rest, |c| matches!(c, '.' | '^')) {
        return absent(i);
    }
    Ok((rest, power_of_ten(&text)))
}

/// The power of ten behind the bracket of an uncertainty: `(3)e-19`, `(9.11 ± 0.02) × 10^-31`.
pub(super) fn power_behind_bracket(i: &str) -> Out<'_, Option<i32>> {
    let (rest, power) = match opt_e_power(i)? {
        (rest, Some(digits)) => (rest, Some(power_of_ten(digits))),
        (_, None) => opt(times_ten).parse(i)?,
    };
    match power {
        Some(None) => fail(skip(i), rest, FaultKind::NumberTooLong),
        power => Ok((rest, power.flatten())),
    }
}

/// The number, its power of ten raised; `None` where it leaves what a number may be.
pub(super) fn raised(number: Number, power: i32) -> Option<Number> {
    let decimal = number.decimal.shifted(power);
    let total = number.power.unwrap_or(0).checked_add(power)?;
    let within = decimal.last_place().abs().max(total.abs()) <= LARGEST_EXPONENT;
    within.then_some(Number { decimal, power: Some(total) })
}

/// A number with or without a sign, with any power of ten: what a reading records.
pub(super) fn recorded<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Number>> {
    let (after, number) = signed(part, i)?;
    let Ok((rest, power)) = times_ten(after) else { return Ok((after, number)) };
    match power.and_then(|power| raised(number.value, power)) {
        Some(value) => Ok((rest, part.at(value, i, rest))),
        None => fail(i, rest, FaultKind::NumberTooLong),
    }
}

/// The end of `12:04:31`, where the rest after its first digits is `:04:31`.
fn clock_time(after: &str) -> Option<&str> {
    let mut rest = after;
    while let Some(next) = rest.strip_prefix(':').filter(|next| begins(next)) {
        rest = next.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    }
    (rest.len() < after.len()).then_some(rest)
}

/// Do the digits go on behind a sign that is none of a number?
fn separator_begins(after: &str) -> bool {
    match after.chars().next() {
        Some(',') => begins(&after[1..]),
        Some(c) if is_group_separator(c) => group(after).is_some(),
        _ => false,
    }
}

/// What some write between groups of three digits.
fn is_group_separator(c: char) -> bool {
    is_blank(c) && !matches!(c, '\n' | '\r') || is_prime(c) || c == '_'
}

/// What follows a separator and exactly three digits.
fn group(i: &str) -> Option<&str> {
    let mut chars = i.chars();
    chars.next().filter(|&c| c == ',' || is_group_separator(c))?;
    let digits = chars.as_str();
    let rest = digits.trim_start_matches(|c: char| c.is_ascii_digit());
    (digits.len() - rest.len() == 3).then_some(rest)
}

/// `131,5`, `1,200`, `1 200`: says which, and goes on with the number that was meant where that is
/// certain.
fn separated<'s>(part: &Part, i: &'s str, plain: &str, after: &'s str) -> Out<'s, Spanned<Number>> {
    let whole =
        !plain.contains('.') && plain.len() <= 3 && !(plain.starts_with('0') && plain.len() > 1) && plain != "0";
    let mut rest = after;
    while let Some(next) = group(rest).filter(|_| whole) {
        rest = next;
    }
    let all_groups = rest.len() < after.len() && !(rest.starts_with(',') && begins(&rest[1..]));
    if all_groups {
        let decimals = rest.strip_prefix('.').map(digits).filter(|(_, decimals)| !decimals.is_empty());
        let end = decimals.map_or(rest, |(end, _)| end);
        let digits = i[..i.len() - end.len()].chars().filter(|c| c.is_ascii_digit() || *c == '.').collect();
        return meant(part, i, end, digits, |right| FaultKind::ThousandsSeparator { right });
    }
    if !after.starts_with(',') {
        return expected(skip(after), &["a comma and a blank before the next value", "an operator"]);
    }
    if plain.contains('.') {
        return expected(&after[1..], &["a blank behind the comma of a list"]);
    }
    let (end, fields) = fields(after);
    if fields > 1 || end.starts_with('.') {
        return fail(i, end, FaultKind::DecimalComma { right: None });
    }
    let mantissa = i[..i.len() - end.len()].replace(',', ".");
    meant(part, i, end, mantissa, |right| FaultKind::DecimalComma { right: Some(right) })
}

/// The end of `,5,7`, and how many commas there are.
fn fields(mut i: &str) -> (&str, usize) {
    let mut count = 0;
    while let Some(next) = i.strip_prefix(',').filter(|next| begins(next)) {
        i = next.trim_start_matches(|c: char| c.is_ascii_digit());
        count += 1;
    }
    (i, count)
}

/// Notes the right spelling of what stands from `i` to `end` and its `e` power, and reads that.
fn meant<'s>(
    part: &Part,
    i: &'s str,
    end: &'s str,
    mantissa: String,
    kind: impl Fn(String) -> FaultKind,
) -> Out<'s, Spanned<Number>> {
    let (rest, power) = opt_e_power(end)?;
    let right = mantissa + &end[..end.len() - rest.len()];
    let Some(number) = read(&right, power) else { return fail(i, rest, FaultKind::NumberTooLong) };
    part.note(part.span(i, rest), kind(right));
    Ok((rest, part.at(number, i, rest)))
}

/// A number without a sign that stands alone, as a parameter.
pub(super) fn parameter<'s>(part: &Part, i: &'s str, wanted: &'static str) -> Out<'s, Spanned<f64>> {
    if !begins(i) {
        return expected(i, &[wanted]);
    }
    let (rest, number) = unsigned(part, i)?;
    Ok((rest, Spanned::new(number.value.decimal.to_f64(), number.span)))
}
