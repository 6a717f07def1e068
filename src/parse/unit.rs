//! Units as they are typed: `kg*m/s^2`, `J/(kg*K)`, `min⁻¹`, `1/s`, `%`.

use nom::Parser;
use nom::bytes::complete::take_while;
use nom::character::complete::{digit1, one_of, satisfy};
use nom::combinator::{opt, recognize};

use super::ast::Limit;
use super::character::{is_blank, starts};
use super::fault::{FaultKind, UnitWriting};
use super::recover::{Out, Part, Wrong, absent, expected, fail};
use super::token::{self, Class, is_letter, skip};
use crate::quantity::Units;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

/// The largest exponent of a unit's symbol, in size: no unit has a tenth of it.
const LARGEST_POWER: i32 = 99;

/// Of a unit with so many blanks for products the words are looked up; what stands behind them is
/// taken for more of the same.
const LOOKED_UP: usize = 8;

/// A unit while it is read, with the first thing in it that is not as it should be.
#[derive(Default)]
struct Reader {
    spelling: Spelling,
    trouble: Option<Trouble>,
    blank_products: usize,
    /// Was the slash written without blanks?
    close_slash: bool,
}

#[derive(Clone, Copy)]
enum Trouble {
    BlankProduct,
    TwoSlashes,
    OpenDenominator,
    Writing(UnitWriting),
    /// `ms-1`: milliseconds, or metres and seconds?
    Doubtful,
}

/// Where the next factor goes.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Over,
    /// Behind the slash, one factor without brackets.
    Under,
    /// Behind the slash, in brackets.
    Bracket,
}

/// Could a unit begin at `i`? `in` could be a student's inch.
pub(super) fn begins(i: &str) -> bool {
    factor_begins(i) || one_over(i).is_some()
}

/// A unit's symbol begins here, and it is no word of the notation.
fn factor_begins(i: &str) -> bool {
    match token::peek_word(i) {
        "" => starts(i, is_sign),
        "in" => inch(i),
        // The shape takes a number; the prefix may be cut off from its unit.
        "k" => known_symbol(&format!("k{}", token::peek_word(skip(&i[1..])))),
        word => !ends_at(word) && !is_call(i, word),
    }
}

/// Words at which a unit ends: the notation's own, those of the shapes, which follow an amount, and one that
/// is an amount.
fn ends_at(word: &str) -> bool {
    word == "range" || Limit::WORDS.contains(&word) || token::is_own(word)
}

/// Is this `in` an inch? It is the keyword where a unit follows.
fn inch(i: &str) -> bool {
    let after = skip(&i["in".len()..]);
    let next = token::peek_word(after);
    (ends_at(next) || next.is_empty()) && !starts(after, is_sign) && !after.starts_with('1')
}

/// A name with a bracket behind it calls a function.
fn is_call(i: &str, word: &str) -> bool {
    i[word.len()..].starts_with('(') || token::reserved(word).is_some()
}

/// Signs that are units by themselves.
fn is_sign(c: char) -> bool {
    matches!(c, '%' | '‰' | '′' | '″' | '℃' | '℉') || is_degree(c)
}

/// The sign of the degree, and the two that keyboards offer in its place.
const fn is_degree(c: char) -> bool {
    matches!(c, '°' | 'º' | '˚')
}

/// Signs that stand at their number without a blank (SI Brochure, 9th edition, 5.4.3; from memory).
fn stands_close(i: &str) -> bool {
    i.strip_prefix(['°', '′', '″']).is_some_and(|rest| !starts(rest, is_letter))
}

/// The rest behind `1/`, where a unit follows it.
fn one_over(i: &str) -> Option<&str> {
    let slash = skip(i.strip_prefix('1')?);
    slash.strip_prefix('/').filter(|rest| denominator_begins(skip(rest))).map(|_| slash)
}

fn denominator_begins(i: &str) -> bool {
    factor_begins(i.strip_prefix('(').map_or(i, skip))
}

/// Is every symbol of it known without a course's help?
pub(super) fn known(spelling: &Spelling) -> bool {
    Units::default().knows(spelling)
}

/// A unit, which has to stand here.
pub(super) fn unit<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Spelling>> {
    if begins(i) { begun(part, i) } else { expected(i, &["a unit"]) }
}

/// A unit that is known to begin here.
fn begun<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Spelling>> {
    let mut reader = Reader::default();
    let rest = match one_over(i) {
        Some(slash) => under(part, &mut reader, &slash[1..])?.0,
        None => factor(part, &mut reader, Side::Over, i)?.0,
    };
    let rest = factors(part, &mut reader, rest)?.0;
    let span = part.span(i, rest);
    if let Some(trouble) = reader.trouble {
        part.note(span, trouble.kind(&reader.spelling));
    }
    Ok((rest, Spanned::new(reader.spelling, span)))
}

/// The unit behind a number, where there is one; one without a blank before it is noted. `1/s` needs the blank:
/// without it, it would be a part of the number.
pub(super) fn behind_number<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Spanned<Spelling>>> {
    let at = skip(i);
    let close = at.len() == i.len();
    if !begins(at) || close && at.starts_with('1') {
        return Ok((i, None));
    }
    let (rest, unit) = begun(part, at)?;
    if close && !stands_close(at) {
        part.note(Span::at(part.offset(at)), FaultKind::NoBlankBeforeUnit);
    }
    Ok((rest, Some(unit)))
}

/// A unit, or the `1` of pure numbers.
pub(super) fn unit_or_one<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Spelling>> {
    let one = i.strip_prefix('1').filter(|rest| !starts(rest, |c| c.is_alphanumeric() || c == '.'));
    match one {
        Some(rest) if one_over(i).is_none() => Ok((rest, part.at(Spelling::default(), i, rest))),
        _ => unit(part, i),
    }
}

/// A unit in square brackets; the place is that of the unit.
pub(super) fn bracketed<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Spelling>> {
    let Some(inner) = i.strip_prefix('[') else { return absent(i) };
    let (rest, unit) = unit_or_one(part, skip(inner))?;
    match skip(rest).strip_prefix(']') {
        Some(after) => Ok((after, unit)),
        None if skip(rest).is_empty() => fail(i, inner, FaultKind::LoneBracket),
        None => expected(skip(rest), &["`]`"]),
    }
}

/// The factors after the first.
fn factors<'s>(part: &Part, reader: &mut Reader, mut i: &'s str) -> Out<'s, ()> {
    loop {
        let at = skip(i);
        let spaced = at.len() < i.len();
        let next = match at.chars().next() {
            Some('/') => quotient(part, reader, spaced, &at[1..])?,
            Some('.') => full_stop(part, reader, &at[1..])?,
            Some('*' | '×' | '·' | '⋅') => product(part, reader, spaced, at)?,
            Some(_) if spaced => behind_blank(part, reader, at)?,
            _ => None,
        };
        match next {
            Some(rest) => i = rest,
            None => return Ok((i, ())),
        }
    }
}

/// What is left behind one more factor; nothing where there is none.
type More<'s> = Result<Option<&'s str>, nom::Err<Wrong>>;

/// `/s^2`, from behind the slash on.
fn quotient<'s>(part: &Part, reader: &mut Reader, spaced: bool, i: &'s str) -> More<'s> {
    if !denominator_begins(skip(i)) {
        return Ok(None);
    }
    reader.side(Trouble::TwoSlashes);
    reader.close_slash = !spaced && !starts(i, is_blank);
    under(part, reader, i).map(|(rest, ())| Some(rest))
}

/// `*m`, from its sign on.
fn product<'s>(part: &Part, reader: &mut Reader, spaced: bool, at: &'s str) -> More<'s> {
    let behind_sign = token::times(at).unwrap_or(at);
    let next = skip(behind_sign);
    // In `9.81 m/s^2 * t` the unit is over.
    let over = reader.close_slash && (spaced || next.len() < behind_sign.len());
    if over || !factor_begins(next) {
        return Ok(None);
    }
    let side = reader.side(Trouble::OpenDenominator);
    factor(part, reader, side, next).map(|(rest, ())| Some(rest))
}

/// ` per s`, ` C` behind `deg`, ` m` behind `N`: what goes on behind a blank, which no unit should.
fn behind_blank<'s>(part: &Part, reader: &mut Reader, at: &'s str) -> More<'s> {
    if let Some(next) = at.strip_prefix("per ").map(skip).filter(|next| factor_begins(next)) {
        reader.trouble.get_or_insert(Trouble::Writing(UnitWriting::Per));
        return factor(part, reader, Side::Under, next).map(|(rest, ())| Some(rest));
    }
    if let Some(rest) = reader.joined(at) {
        return Ok(Some(rest));
    }
    if !reader.goes_on(part, at) {
        return Ok(None);
    }
    reader.trouble.get_or_insert(Trouble::BlankProduct);
    reader.blank_products += 1;
    let side = reader.side(Trouble::BlankProduct);
    factor(part, reader, side, at).map(|(rest, ())| Some(rest))
}

/// `.m`, or the full stop of an abbreviation, from behind it on; in front of a digit it is none.
fn full_stop<'s>(part: &Part, reader: &mut Reader, i: &'s str) -> More<'s> {
    if starts(i, |c| c.is_ascii_digit()) {
        return Ok(None);
    }
    reader.trouble.get_or_insert(Trouble::Writing(UnitWriting::FullStop));
    let next = skip(i);
    if let Some(rest) = reader.joined(next) {
        return Ok(Some(rest));
    }
    if !factor_begins(next) {
        return Ok(Some(next));
    }
    let side = if reader.spelling.under.is_empty() { Side::Over } else { Side::Under };
    factor(part, reader, side, next).map(|(rest, ())| Some(rest))
}

/// What stands behind a slash: one factor, or several in brackets.
fn under<'s>(part: &Part, reader: &mut Reader, i: &'s str) -> Out<'s, ()> {
    let i = skip(i);
    let Some(inner) = i.strip_prefix('(') else { return factor(part, reader, Side::Under, i) };
    let (mut rest, ()) = factor(part, reader, Side::Bracket, skip(inner))?;
    loop {
        let at = skip(rest);
        if let Some(after) = at.strip_prefix(')') {
            return Ok((after, ()));
        }
        let next = match token::times(at).map(skip) {
            Some(next) => next,
            None if at.is_empty() => return fail(i, inner, FaultKind::LoneBracket),
            None if at.len() < rest.len() && factor_begins(at) => {
                reader.trouble.get_or_insert(Trouble::BlankProduct);
                at
            }
            None => return expected(at, &["`*`", "`)`"]),
        };
        rest = factor(part, reader, Side::Bracket, next)?.0;
    }
}

impl Reader {
    /// Where a factor goes that stands behind what is read already; in a denominator that is trouble.
    fn side(&mut self, trouble: Trouble) -> Side {
        if self.spelling.under.is_empty() {
            return Side::Over;
        }
        self.trouble.get_or_insert(trouble);
        Side::Under
    }

    /// Is the word behind a blank one more factor, rather than something else that follows?
    fn goes_on(&self, part: &Part, at: &str) -> bool {
        if !factor_begins(at) || token::peek_word(at) == "in" {
            return false;
        }
        if self.blank_products >= LOOKED_UP {
            return true;
        }
        let (noted, mut one) = (part.noted(), Self::default());
        let read = factor(part, &mut one, Side::Over, at).is_ok();
        part.forget(noted);
        read && known(&one.spelling)
    }
}

/// Prefixes that are no unit by themselves, so that alone they are cut off from theirs.
const LONE_PREFIXES: [&str; 6] = ["k", "c", "n", "p", "µ", "μ"];

impl Reader {
    /// Takes the word at `at` and the factor before it for one unit, where they are one with a blank inside.
    fn joined<'s>(&mut self, at: &'s str) -> Option<&'s str> {
        let word = token::peek_word(at);
        let factors = if self.spelling.under.is_empty() { &mut self.spelling.over } else { &mut self.spelling.under };
        let (symbol, 1) = factors.last()? else { return None };
        let whole = match (symbol.as_str(), word) {
            (_, "") => return None,
            ("deg" | "°" | "º" | "˚" | "degree" | "degrees", "C" | "Celsius" | "celsius") => ("°C".to_owned(), 1),
            ("deg" | "°" | "º" | "˚" | "degree" | "degrees", "F" | "Fahrenheit" | "fahrenheit") => {
                ("°F".to_owned(), 1)
            }
            ("c", "c") => ("cm".to_owned(), 3),
            ("sq" | "square", _) if known_symbol(word) => (word.to_owned(), 2),
            ("cu" | "cubic", _) if known_symbol(word) => (word.to_owned(), 3),
            (prefix, _) if LONE_PREFIXES.contains(&prefix) && known_symbol(&format!("{prefix}{word}")) => {
                (format!("{prefix}{word}"), 1)
            }
            _ => return None,
        };
        let (rest, power) = power(&at[word.len()..]).ok()?;
        *factors.last_mut()? = (whole.0, whole.1 * power);
        self.trouble.get_or_insert(Trouble::Writing(UnitWriting::Split));
        Some(rest)
    }

    /// A factor whose power stands close behind it. Of `ms-1` few mean milliseconds.
    fn raised(&mut self, side: Side, text: &str, power: i32) {
        if text == "ms" && power < 0 && self.spelling == Spelling::default() {
            self.trouble.get_or_insert(Trouble::Doubtful);
            self.push(Side::Over, "m", 1);
            return self.push(Side::Under, "s", -power);
        }
        self.trouble.get_or_insert(Trouble::Writing(UnitWriting::NoCaret));
        match Units::parted(text).filter(|_| !known_symbol(text)) {
            Some((left, right)) => {
                self.push(side, left, 1);
                self.push(side, right, power);
            }
            None => self.push(side, text, power),
        }
    }

    fn push(&mut self, side: Side, text: &str, power: i32) {
        let factors = if side == Side::Over { &mut self.spelling.over } else { &mut self.spelling.under };
        if factors.is_empty() {
            // Most units have but one.
            *factors = Vec::with_capacity(1);
        }
        factors.push((text.to_owned(), power));
    }
}

impl Trouble {
    fn kind(self, spelling: &Spelling) -> FaultKind {
        let right = written(spelling);
        match self {
            // `m.p.h.` is no product: of what are no units nobody can tell what the full stops part.
            Self::Writing(UnitWriting::FullStop) => {
                let certain = spelling.over.len() < 2 || known(spelling);
                FaultKind::UnitWriting { how: UnitWriting::FullStop, right, certain }
            }
            Self::Writing(how) => FaultKind::UnitWriting { how, right, certain: true },
            Self::Doubtful => FaultKind::UnitWriting { how: UnitWriting::NoCaret, right, certain: false },
            Self::BlankProduct => FaultKind::BlankProduct { right },
            Self::TwoSlashes => FaultKind::TwoSlashes { right },
            Self::OpenDenominator => FaultKind::OpenDenominator { right },
        }
    }
}

/// A unit in the one right spelling: one slash, brackets where two factors stand behind it.
fn written(spelling: &Spelling) -> String {
    Spelling { over: spelling.over.clone(), under: gathered(&spelling.under) }.to_string()
}

/// Equal neighbours as one power: `s*s` is `s^2`.
fn gathered(factors: &[(String, i32)]) -> Vec<(String, i32)> {
    let mut out: Vec<(String, i32)> = Vec::new();
    for (symbol, power) in factors {
        match out.last_mut() {
            Some((last, sum)) if last == symbol => *sum = sum.saturating_add(*power),
            _ => out.push((symbol.clone(), *power)),
        }
    }
    out
}

/// A symbol with its power.
fn factor<'s>(part: &Part, reader: &mut Reader, side: Side, i: &'s str) -> Out<'s, ()> {
    let (after, text) = symbol(part, i)?;
    if let Some((rest, power)) = bare_power(after).filter(|(_, power)| *power < 0 || known_symbol(text)) {
        reader.raised(side, text, power);
        return Ok((rest, ()));
    }
    let (rest, power) = power(after)?;
    reader.push(side, text, power);
    Ok((rest, ()))
}

/// `-1` or `2` close behind a symbol: a power without its `^`. What goes on behind it as a number or as an
/// amount does is none.
fn bare_power(i: &str) -> Option<(&str, i32)> {
    if !starts(i, |c| c.is_ascii_digit() || matches!(c, '-' | '−')) {
        return None;
    }
    let (rest, digits) = recognize((opt(one_of("-−")), digit1::<&str, Wrong>)).parse(i).ok()?;
    let behind = skip(rest);
    let ends = behind.is_empty()
        || starts(behind, |c| matches!(c, ';' | '±' | '"' | '“' | '„' | ']' | ')' | '/' | '*' | '·' | '×'))
        || behind.len() < rest.len() && has_bare_power(behind)
        || token::keyword(behind, "as").is_some();
    let power = digits.replace('−', "-").parse().ok()?;
    (ends && digits.len() <= 2 + '−'.len_utf8()).then_some((rest, power))
}

/// `K-1`: one more factor of the same make.
fn has_bare_power(i: &str) -> bool {
    let word = i.trim_start_matches(is_letter);
    let power = word.strip_prefix(['-', '−']);
    word.len() < i.len() && power.is_some_and(|power| starts(power, |c| c.is_ascii_digit()))
}

fn known_symbol(text: &str) -> bool {
    Units::is_built_in(text)
}

/// A unit's symbol as typed; the inch that is written `in` is noted and taken for `inch`.
fn symbol<'s>(part: &Part, i: &'s str) -> Out<'s, &'s str> {
    if let Some(rest) = token::keyword(i, "in") {
        part.note(part.span(i, rest), FaultKind::InchAsKeyword);
        return Ok((rest, "inch"));
    }
    let (rest, text) = match i.chars().next() {
        Some(c) if is_letter(c) => letters(i),
        Some(c) if is_degree(c) => recognize((satisfy(is_degree), take_while(is_letter))).parse(i)?,
        Some(c) if is_sign(c) => recognize(satisfy(is_sign)).parse(i)?,
        _ => return expected(i, &["a unit"]),
    };
    // `a2`, a symbol, begins no unit.
    if starts(rest, |c| c.is_ascii_digit()) && !known_symbol(text) {
        return absent(i);
    }
    Ok((rest, text))
}

/// Letters, digits only between them, as in `mmH2O`; behind them a country, as in `gal_US`.
fn letters(i: &str) -> (&str, &str) {
    let (mut rest, _) = token::run(i, Class::LETTERS);
    while starts(rest, |c| c.is_ascii_digit() || c == '_') {
        let country = rest.starts_with('_');
        let mark = if country { &rest[1..] } else { token::run(rest, Class::DIGITS).0 };
        match token::run(mark, Class::LETTERS) {
            (_, "") => break,
            (after, _) => rest = after,
        }
        if country {
            break;
        }
    }
    (rest, &i[..i.len() - rest.len()])
}

/// `^2`, `^-1`, `²`, `⁻¹`; 1 where there is none.
fn power(i: &str) -> Out<'_, i32> {
    let (rest, digits) = match i.strip_prefix('^') {
        Some(after) => match recognize((opt(one_of("+-−")), digit1::<&str, Wrong>)).parse(after) {
            Ok((rest, digits)) => (rest, digits.replace('−', "-")),
            Err(_) => return expected(after, &["a whole number as a power"]),
        },
        None => match token::superscript(i) {
            Ok(raised) => raised,
            Err(_) => return Ok((i, 1)),
        },
    };
    if rest.strip_prefix('.').is_some_and(|part| starts(part, |c| c.is_ascii_digit())) {
        return expected(i.strip_prefix('^').unwrap_or(i), &["a whole number as a power"]);
    }
    match digits.parse::<i32>() {
        Ok(power) if power.abs() <= LARGEST_POWER => Ok((rest, power)),
        _ => fail(i, rest, FaultKind::NumberTooLong),
    }
}
