//! The smallest pieces: blanks, signs, prose in quotes, words, symbols, superscripts.

use nom::Parser;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::character::complete::{one_of, satisfy};
use nom::combinator::{opt, recognize};
use nom::multi::many0_count;

use super::FaultKind;
use super::ast::{Function, Symbol};
use super::recover::{Out, Part, absent, expected, fail};
use crate::span::{Span, Spanned};

/// Words that can be no symbol; the functions' names are others.
pub(super) const KEYWORDS: [&str; 9] = ["pi", "in", "as", "against", "of", "graph", "budget", "rationale", "summary"];

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

/// A blank of any width, no-break ones included, or one of no width, which no author can see.
pub(super) fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

/// What follows the blanks at the start of `i`.
pub(super) fn skip(i: &str) -> &str {
    i.trim_start_matches(is_blank)
}

/// A letter; the raised and lowered ones, which Unicode counts as letters too, are none.
pub(super) fn is_letter(c: char) -> bool {
    c.is_alphabetic() && !is_lowered(c) && !matches!(c, 'ⁱ' | 'ⁿ' | 'ª' | 'º' | 'ʹ' | 'ʺ')
}

fn is_lowered(c: char) -> bool {
    matches!(c, '₀'..='₉' | 'ₐ'..='ₜ' | 'ᵢ'..='ᵪ' | 'ⱼ')
}

/// `′`, `’` and `'` are one, `″` is two.
pub(super) fn is_prime(c: char) -> bool {
    matches!(c, '\'' | '’' | '′' | '″')
}

fn is_letter_or_digit(c: char) -> bool {
    is_letter(c) || c.is_ascii_digit()
}

/// Does `i` begin with a character of that class?
pub(super) fn starts(i: &str, class: impl Fn(char) -> bool) -> bool {
    i.chars().next().is_some_and(class)
}

/// The rest behind a minus, `-` or `−`.
pub(super) fn minus(i: &str) -> Option<&str> {
    i.strip_prefix(['-', '−'])
}

/// The rest behind a multiplication sign.
pub(super) fn times(i: &str) -> Option<&str> {
    i.strip_prefix(['*', '×', '·', '⋅'])
}

/// The rest behind `±`, `+-` or `+/-`.
pub(super) fn plus_minus(i: &str) -> Option<&str> {
    i.strip_prefix('±').or_else(|| minus(i.strip_prefix("+/").or_else(|| i.strip_prefix('+'))?))
}

/// A word: letters, then letters, digits, primes, and `_`.
pub(super) fn word(i: &str) -> Out<'_, &str> {
    let letters = take_while1(is_letter);
    let more = take_while(|c| is_letter_or_digit(c) || is_prime(c) || c == '_');
    recognize((letters, more)).parse(i)
}

/// The word at the start of `i`, or nothing.
pub(super) fn peek_word(i: &str) -> &str {
    word(i).map_or("", |(_, word)| word)
}

/// The rest behind a keyword that stands as a whole word.
pub(super) fn keyword<'s>(i: &'s str, keyword: &str) -> Option<&'s str> {
    i.strip_prefix(keyword).filter(|rest| !starts(rest, |c| is_letter_or_digit(c) || is_prime(c) || c == '_'))
}

/// A name of an instrument or a kind: a word without primes, in which hyphens and points may stand
/// before a letter or a digit.
pub(super) fn name(i: &str) -> Out<'_, &str> {
    let word = || take_while(|c| is_letter_or_digit(c) || c == '_');
    let more = (one_of("-."), satisfy(is_letter_or_digit), word());
    recognize((satisfy(is_letter), word(), many0_count(more))).parse(i)
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

/// Prose in quotes; the place includes them.
pub(super) fn prose<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<String>> {
    let Some((opener, closer)) = i.chars().next().and_then(|c| Some((c, closer(c)?))) else { return absent(i) };
    let inner = &i[opener.len_utf8()..];
    match inner.split_once(closer) {
        Some((text, rest)) => Ok((rest, part.at(literal(text, part.in_table), i, rest))),
        None => fail(i, inner, FaultKind::OpenQuote),
    }
}

/// Prose, where there is any.
pub(super) fn opt_prose<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Spanned<String>>> {
    opt(|i| prose(part, i)).parse(i)
}

/// Prose is literal, but a line break and the blanks around it are a blank: where an editor breaks
/// its lines says nothing.
fn literal(text: &str, in_table: bool) -> String {
    let text = if in_table { text.replace("\\|", "|") } else { text.to_owned() };
    if !text.contains(['\n', '\r']) {
        return text;
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(start) = rest.find(is_blank) {
        let after = skip(&rest[start..]);
        let blanks = &rest[start..rest.len() - after.len()];
        out.push_str(&rest[..start]);
        out.push_str(if blanks.contains(['\n', '\r']) { " " } else { blanks });
        rest = after;
    }
    out.push_str(rest);
    out
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
    let functions = Function::ALL.iter().map(|f| f.word());
    let symbol = if symbol == "π" { "pi" } else { symbol };
    KEYWORDS.into_iter().chain(functions).find(|&word| word == symbol)
}

/// A symbol in its canonical spelling, reserved or not.
pub(super) fn any_symbol<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Symbol>> {
    let (after_base, base) = recognize((take_while1(is_letter), take_while(is_letter_or_digit))).parse(i)?;
    let (after_primes, primes) = take_while(is_prime).parse(after_base)?;
    let (rest, subscript) =
        opt((tag("_"), take_while1(is_letter_or_digit), take_while(is_prime))).parse(after_primes)?;
    let (_, sub, more) = subscript.unwrap_or_default();
    let (rest, typeset) = typeset_subscript(part, i, rest)?;
    if starts(rest, is_letter_or_digit) {
        // Behind a prime only: `v'as` is neither `v'` nor a symbol of its own.
        return expected(rest, &["a blank"]);
    }
    let canonical = canonical(base, primes, more, &format!("{sub}{typeset}"));
    Ok((rest, part.at(Symbol::new(&canonical), i, rest)))
}

/// One spelling for all that mean the same: primes of both places stand before the subscript.
fn canonical(base: &str, primes: &str, more_primes: &str, subscript: &str) -> String {
    let mut out = greek(base).map_or_else(|| base.chars().map(one_code_point).collect(), String::from);
    for c in primes.chars().chain(more_primes.chars()) {
        out.push_str(if c == '″' { "′′" } else { "′" });
    }
    if !subscript.is_empty() {
        out.push('_');
        out.extend(subscript.chars().map(one_code_point));
    }
    out
}

fn greek(name: &str) -> Option<char> {
    let lower = name.chars().next()?.is_lowercase();
    let &(_, small, capital) = GREEK.iter().find(|(greek, ..)| {
        name.is_char_boundary(1)
            && greek[1..] == name[1..]
            && greek.as_bytes()[0].eq_ignore_ascii_case(&name.as_bytes()[0])
    })?;
    Some(if lower { small } else { capital })
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
