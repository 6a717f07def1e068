//! The smallest pieces: blanks, signs, prose in quotes, words, symbols, superscripts.

use std::borrow::Cow;
use std::sync::Arc;

use nom::Parser;
use nom::bytes::complete::take_while1;
use nom::character::complete::{one_of, satisfy};
use nom::combinator::{opt, recognize};
use nom::multi::many0_count;

use super::FaultKind;
use super::ast::{Function, Symbol};
use super::character::{closer, closes_at, is_blank, is_prime, starts};
use super::recover::{Out, Part, absent, expected, fail};
use crate::span::{Span, Spanned};

const GREEK: [(&str, char, char); 24] = [
    ("alpha", 'α', 'Α'),
    ("beta", 'β', 'Β'),
    ("gamma", 'γ', 'Γ'),
    ("delta", 'δ', 'Δ'),
    ("epsilon", 'ε', 'Ε'),
    ("zeta", 'ζ', 'Ζ'),
    ("eta", 'η', 'Η'),
    ("theta", 'θ', 'Θ'),
    ("iota", 'ι', 'Ι'),
    ("kappa", 'κ', 'Κ'),
    ("lambda", 'λ', 'Λ'),
    ("mu", 'μ', 'Μ'),
    ("nu", 'ν', 'Ν'),
    ("xi", 'ξ', 'Ξ'),
    ("omicron", 'ο', 'Ο'),
    ("pi", 'π', 'Π'),
    ("rho", 'ρ', 'Ρ'),
    ("sigma", 'σ', 'Σ'),
    ("tau", 'τ', 'Τ'),
    ("upsilon", 'υ', 'Υ'),
    ("phi", 'φ', 'Φ'),
    ("chi", 'χ', 'Χ'),
    ("psi", 'ψ', 'Ψ'),
    ("omega", 'ω', 'Ω'),
];

/// What follows the blanks at the start of `i`: nearly always none, or a single one.
#[inline]
pub(super) fn skip(i: &str) -> &str {
    let i = i.strip_prefix(' ').unwrap_or(i);
    if i.as_bytes().first().is_some_and(u8::is_ascii_graphic) { i } else { i.trim_start_matches(is_blank) }
}

/// What stands before the blanks at the end of `i`.
pub(super) fn skip_end(i: &str) -> &str {
    if i.as_bytes().last().is_some_and(u8::is_ascii_graphic) { i } else { i.trim_end_matches(is_blank) }
}

/// A letter; the raised and lowered ones, which Unicode counts as letters too, are none.
#[inline]
pub(super) fn is_letter(c: char) -> bool {
    c.is_ascii_alphabetic() || !c.is_ascii() && is_other_letter(c)
}

fn is_other_letter(c: char) -> bool {
    c.is_alphabetic() && !is_lowered(c) && !matches!(c, 'ⁱ' | 'ⁿ' | 'ª' | 'º' | 'ʹ' | 'ʺ')
}

fn is_lowered(c: char) -> bool {
    matches!(c, '₀'..='₉' | 'ₐ'..='ₜ' | 'ᵢ'..='ᵪ' | 'ⱼ')
}

#[inline]
fn is_letter_or_digit(c: char) -> bool {
    c.is_ascii_alphanumeric() || !c.is_ascii() && is_other_letter(c)
}

/// Does a word go on with it?
#[inline]
fn is_in_word(c: char) -> bool {
    is_letter_or_digit(c) || is_prime(c) || c == '_'
}

/// A class of characters. Nearly all of an item are ASCII, which a table tells.
#[derive(Clone, Copy)]
pub(super) struct Class {
    /// Those of [`KINDS`] that belong to it.
    ascii: u8,
    other: fn(char) -> bool,
}

const LETTER: u8 = 1;
const DIGIT: u8 = 2;
const PRIME: u8 = 4;
const LOW_LINE: u8 = 8;

/// What each ASCII character is in a word; the bytes of all others are nothing.
static KINDS: [u8; 256] = {
    let mut kinds = [0; 256];
    let mut byte: u8 = 0;
    while byte.is_ascii() {
        kinds[byte as usize] = match byte {
            b'a'..=b'z' | b'A'..=b'Z' => LETTER,
            b'0'..=b'9' => DIGIT,
            b'\'' => PRIME,
            b'_' => LOW_LINE,
            _ => 0,
        };
        byte += 1;
    }
    kinds
};

impl Class {
    pub(super) const LETTERS: Self = Self { ascii: LETTER, other: is_letter };
    pub(super) const DIGITS: Self = Self { ascii: DIGIT, other: |_| false };
    const LETTERS_AND_DIGITS: Self = Self { ascii: LETTER | DIGIT, other: is_letter };
    const PRIMES: Self = Self { ascii: PRIME, other: is_prime };
    const IN_NAME: Self = Self { ascii: LETTER | DIGIT | LOW_LINE, other: is_letter };
    const IN_WORD: Self = Self { ascii: LETTER | DIGIT | LOW_LINE | PRIME, other: |c| is_letter(c) || is_prime(c) };

    fn has(self, c: char) -> bool {
        if c.is_ascii() { KINDS[c as usize] & self.ascii != 0 } else { (self.other)(c) }
    }
}

/// As many characters of a class as there are, perhaps none.
#[inline]
pub(super) fn run(i: &str, class: Class) -> (&str, &str) {
    let ascii = i.bytes().position(|b| KINDS[usize::from(b)] & class.ascii == 0).unwrap_or(i.len());
    let (run, rest) = i.split_at(ascii);
    if starts_ascii(rest) {
        return (rest, run);
    }
    let rest = rest.trim_start_matches(|c| class.has(c));
    (rest, &i[..i.len() - rest.len()])
}

/// Does `i` begin with an ASCII character, or end here?
#[inline]
fn starts_ascii(i: &str) -> bool {
    i.as_bytes().first().is_none_or(u8::is_ascii)
}

/// A character of one class, which is a part of another, then as many of that.
#[inline]
fn run_of<'s>(i: &'s str, first: impl Fn(char) -> bool, more: Class) -> Out<'s, &'s str> {
    if starts(i, first) { Ok(run(i, more)) } else { absent(i) }
}

/// The rest behind a minus, `-` or `−`.
#[inline]
pub(super) fn minus(i: &str) -> Option<&str> {
    i.strip_prefix(['-', '−'])
}

/// The rest behind a multiplication sign.
#[inline]
pub(super) fn times(i: &str) -> Option<&str> {
    i.strip_prefix(['*', '×', '·', '⋅'])
}

/// The rest behind `±`, `+-` or `+/-`.
pub(super) fn plus_minus(i: &str) -> Option<&str> {
    i.strip_prefix('±').or_else(|| minus(i.strip_prefix("+/").or_else(|| i.strip_prefix('+'))?))
}

/// The word at the start of `i`: a letter, then letters, digits, primes, and `_`; or nothing.
#[inline]
pub(super) fn peek_word(i: &str) -> &str {
    if starts(i, is_letter) { run(i, Class::IN_WORD).1 } else { "" }
}

/// The rest behind a keyword that stands as a whole word.
#[inline]
pub(super) fn keyword<'s>(i: &'s str, keyword: &str) -> Option<&'s str> {
    // The first letter tells nearly all others apart.
    if i.as_bytes().first() != keyword.as_bytes().first() {
        return None;
    }
    i.strip_prefix(keyword).filter(|rest| !starts(rest, is_in_word))
}

/// A name of an instrument or a kind: a word without primes, in which hyphens and points may stand
/// before a letter or a digit.
pub(super) fn name(i: &str) -> Out<'_, &str> {
    let word = |i| run_of(i, is_letter, Class::IN_NAME);
    let more = (one_of("-."), |i| run_of(i, is_letter_or_digit, Class::IN_NAME));
    recognize((word, many0_count(more))).parse(i)
}

/// Prose in quotes, where there is any; the place includes them.
pub(super) fn opt_prose<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Spanned<Arc<str>>>> {
    let Some((opener, closer)) = i.chars().next().and_then(|c| Some((c, closer(c)?))) else { return Ok((i, None)) };
    let inner = &i[opener.len_utf8()..];
    let Some(length) = closes_at(closer, inner) else { return fail(i, inner, FaultKind::OpenQuote) };
    let rest = &inner[length + closer.len_utf8()..];
    Ok((rest, Some(part.at(literal(&inner[..length], part.in_table), i, rest))))
}

/// Prose is literal, but a line break and the blanks around it are a blank: where an editor breaks
/// its lines says nothing.
fn literal(text: &str, in_table: bool) -> Arc<str> {
    let text = if in_table { Cow::Owned(text.replace("\\|", "|")) } else { Cow::Borrowed(text) };
    if memchr::memchr2(b'\n', b'\r', text.as_bytes()).is_none() {
        return text.as_ref().into();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_ref();
    while let Some(start) = rest.find(is_blank) {
        let after = skip(&rest[start..]);
        let blanks = &rest[start..rest.len() - after.len()];
        out.push_str(&rest[..start]);
        out.push_str(if blanks.contains(['\n', '\r']) { " " } else { blanks });
        rest = after;
    }
    out.push_str(rest);
    out.into()
}

/// A symbol that may be used or defined: none of the notation's own words.
pub(super) fn symbol<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Symbol>> {
    let (rest, symbol) = any_symbol(part, i)?;
    match reserved(symbol.value.as_str()) {
        Some(word) => fail(i, rest, FaultKind::ReservedWord { word: word.to_owned() }),
        None => Ok((rest, symbol)),
    }
}

/// The notation's own word that a canonical symbol would be.
pub(super) fn reserved(symbol: &str) -> Option<&'static str> {
    match symbol {
        "π" => Some("pi"),
        word => own(word).or_else(|| Function::of_word(word).map(Function::word)),
    }
}

/// Is it a word of the notation, the functions' names aside?
pub(super) fn is_own(word: &str) -> bool {
    own(word).is_some()
}

fn own(word: &str) -> Option<&'static str> {
    Some(match word {
        "pi" => "pi",
        "in" => "in",
        "as" => "as",
        "against" => "against",
        "of" => "of",
        "graph" => "graph",
        "budget" => "budget",
        "rationale" => "rationale",
        "summary" => "summary",
        _ => return None,
    })
}

/// A symbol in its canonical spelling, reserved or not.
pub(super) fn any_symbol<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Symbol>> {
    let (after_base, base) = run_of(i, is_letter, Class::LETTERS_AND_DIGITS)?;
    let greek = greek(base);
    if greek.is_none()
        && base.is_ascii()
        && let Some(rest) = plain_end(after_base)
    {
        return Ok((rest, part.at(Symbol::new(&i[..i.len() - rest.len()]), i, rest)));
    }
    let (after_primes, primes) = run(after_base, Class::PRIMES);
    let (after_sub, sub) = opt_subscript(after_primes);
    let (after_subscript, more) = if sub.is_empty() { (after_sub, "") } else { run(after_sub, Class::PRIMES) };
    let (rest, typeset) = typeset_subscript(part, i, after_subscript)?;
    if starts(rest, is_letter_or_digit) {
        // Behind a prime only: `v'as` is neither `v'` nor a symbol of its own.
        return expected(rest, &["a blank"]);
    }
    let parts = SymbolParts { greek, base, primes, more_primes: more, subscript: [sub, &typeset] };
    Ok((rest, part.at(Symbol::new(&parts.canonical()), i, rest)))
}

/// The end of a symbol that is typed as it is kept, as most are: nothing but a subscript in ASCII follows its base.
fn plain_end(after_base: &str) -> Option<&str> {
    let (rest, sub) = opt_subscript(after_base);
    let ends = !starts(rest, |c| !c.is_ascii() || is_in_word(c));
    (ends && sub.is_ascii()).then_some(rest)
}

/// The `0` of `_0`, or nothing.
fn opt_subscript(i: &str) -> (&str, &str) {
    let subscript = i.strip_prefix('_').map(|after| run(after, Class::LETTERS_AND_DIGITS));
    subscript.filter(|(_, sub)| !sub.is_empty()).unwrap_or((i, ""))
}

/// Few symbols have more bytes.
const LONGEST_USUAL: usize = 16;

/// A symbol, taken apart.
struct SymbolParts<'s> {
    /// The letter whose name the base is.
    greek: Option<char>,
    base: &'s str,
    primes: &'s str,
    /// Those that stand behind the subscript.
    more_primes: &'s str,
    /// The subscript, and what typesetters write in its place.
    subscript: [&'s str; 2],
}

impl SymbolParts<'_> {
    /// One spelling for all that mean the same: primes of both places stand before the subscript.
    fn canonical(&self) -> String {
        let mut out = String::with_capacity(LONGEST_USUAL);
        match self.greek {
            Some(letter) => out.push(letter),
            None => out.extend(self.base.chars().map(one_code_point)),
        }
        for c in self.primes.chars().chain(self.more_primes.chars()) {
            out.push_str(if c == '″' { "′′" } else { "′" });
        }
        if self.subscript != [""; 2] {
            out.push('_');
            out.extend(self.subscript.iter().flat_map(|part| part.chars()).map(one_code_point));
        }
        out
    }
}

fn greek(name: &str) -> Option<char> {
    let (&first, more) = name.as_bytes().split_first()?;
    if !more.first().is_some_and(u8::is_ascii_lowercase) {
        return None;
    }
    let same = |greek: &str| greek.as_bytes()[1..] == *more && greek.as_bytes()[0].eq_ignore_ascii_case(&first);
    let &(_, small, capital) = GREEK.iter().find(|(greek, ..)| same(greek))?;
    Some(if first.is_ascii_lowercase() { small } else { capital })
}

/// Letters that Unicode encodes twice are one.
fn one_code_point(c: char) -> char {
    match c {
        '\u{B5}' => 'μ',
        '\u{2126}' => 'Ω',
        '\u{212B}' => 'Å',
        '\u{212A}' => 'K',
        other => other,
    }
}

/// A symbol from `i` to `rest` is over but for a subscript in a form that typesetters know, which is
/// noted and read.
fn typeset_subscript<'s>(part: &Part, i: &'s str, rest: &'s str) -> Out<'s, String> {
    let so_far = &i[..i.len() - rest.len()];
    if let Some(braced) = rest.strip_prefix("_{") {
        return braced_subscript(part, i, so_far, braced);
    }
    if let Some(after) = rest.strip_prefix('_') {
        return match so_far.contains('_') {
            true => expected(rest, &["one subscript"]),
            false => expected(after, &["a subscript of letters or digits"]),
        };
    }
    if !starts(rest, is_lowered) {
        return Ok((rest, String::new()));
    }
    let after = rest.trim_start_matches(is_lowered);
    let subscript: String = rest[..rest.len() - after.len()].chars().map(raised_to_line).collect();
    let join = if so_far.contains('_') { "" } else { "_" };
    part.note(part.span(i, after), FaultKind::SubscriptCharacter { right: format!("{so_far}{join}{subscript}") });
    Ok((after, subscript))
}

/// `x_{max}`. The brace that closes it has ended the item already, so the place reaches over it.
fn braced_subscript<'s>(part: &Part, i: &'s str, so_far: &str, braced: &'s str) -> Out<'s, String> {
    let inner = braced.split('}').next().unwrap_or(braced);
    let subscript: String = inner.chars().filter(|&c| is_letter_or_digit(c)).collect();
    if subscript.is_empty() || so_far.contains('_') {
        return expected(braced, &["a subscript of letters or digits"]);
    }
    let rest = &braced[inner.len()..];
    let end = match (rest.strip_prefix('}'), part.closer) {
        (None, Some(closer)) if rest.is_empty() => closer,
        (after, _) => part.offset(after.unwrap_or(rest)),
    };
    let span = Span::new(part.offset(i), end);
    part.note(span, FaultKind::BracedSubscript { right: format!("{so_far}_{subscript}") });
    Ok((rest.strip_prefix('}').unwrap_or(rest), subscript))
}

/// The letter or digit of a lowered one.
fn raised_to_line(c: char) -> char {
    const LETTERS: [(char, char); 26] = [
        ('ₐ', 'a'),
        ('ₑ', 'e'),
        ('ₒ', 'o'),
        ('ₓ', 'x'),
        ('ₔ', 'ə'),
        ('ₕ', 'h'),
        ('ₖ', 'k'),
        ('ₗ', 'l'),
        ('ₘ', 'm'),
        ('ₙ', 'n'),
        ('ₚ', 'p'),
        ('ₛ', 's'),
        ('ₜ', 't'),
        ('ᵢ', 'i'),
        ('ᵣ', 'r'),
        ('ᵤ', 'u'),
        ('ᵥ', 'v'),
        ('ᵦ', 'β'),
        ('ᵧ', 'γ'),
        ('ᵨ', 'ρ'),
        ('ᵩ', 'φ'),
        ('ᵪ', 'χ'),
        ('ⱼ', 'j'),
        ('₀', '0'),
        ('₁', '1'),
        ('₂', '2'),
    ];
    match c {
        '₃'..='₉' => char::from(b'3' + u8::try_from(u32::from(c) - u32::from('₃')).unwrap_or(0)),
        _ => LETTERS.iter().find(|(low, _)| *low == c).map_or(c, |(_, letter)| *letter),
    }
}

/// Superscript digits with their sign, as plain digits: `-1` of `⁻¹`.
pub(super) fn superscript(i: &str) -> Out<'_, String> {
    if starts_ascii(i) {
        return absent(i);
    }
    let sign = |c| matches!(c, '⁻' | '⁺');
    let digit = |c: char| matches!(c, '⁰' | '¹' | '²' | '³' | '⁴'..='⁹');
    let (rest, text) = recognize((opt(satisfy(sign)), take_while1(digit))).parse(i)?;
    Ok((rest, text.chars().filter_map(lowered_to_line).collect()))
}

fn lowered_to_line(c: char) -> Option<char> {
    const RAISED: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
    match c {
        '⁻' => Some('-'),
        _ => RAISED.chars().zip('0'..='9').find(|(raised, _)| *raised == c).map(|(_, digit)| digit),
    }
}
