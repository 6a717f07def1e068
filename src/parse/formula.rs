//! Formulas: the usual precedence, flat and in the order of a stack machine. Long chains are loops;
//! only brackets, calls and towers of exponents go deeper, and those are counted.

use super::ast::{Binary, Formula, Function, Number, Step};
use super::character::is_blank;
use super::recover::{Out, Part, Wrong, expected, fail};
use super::token::{self, skip};
use super::{FaultKind, number, unit};
use crate::quantity::Decimal;
use crate::quantity::nearest;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

type Steps = Vec<Spanned<Step>>;

/// What can begin an operand.
const OPERAND: [&str; 4] = ["a number", "a symbol", "a function", "`(`"];

/// How far a unit without brackets is looked for, in characters.
const LONGEST_UNIT: usize = 64;

/// What people call functions that have another name here.
const OTHER_NAMES: [(&str, Function); 12] = [
    ("log", Function::Log10),
    ("lg", Function::Log10),
    ("arcsin", Function::Asin),
    ("arccos", Function::Acos),
    ("arctan", Function::Atan),
    ("tg", Function::Tan),
    ("root", Function::Sqrt),
    ("average", Function::Mean),
    ("avg", Function::Mean),
    ("std", Function::Sd),
    ("stdev", Function::Sd),
    ("len", Function::Count),
];

/// A formula, up to what can be no part of one.
pub(super) fn formula<'s>(part: &Part, i: &'s str) -> Out<'s, Formula> {
    let mut steps = Vec::with_capacity(expected_steps(i));
    let (rest, ()) = sum(part, &mut steps, i)?;
    Ok((rest, Formula { steps }))
}

/// How many steps a formula will have, more or less: each operator is one and brings an operand with it.
fn expected_steps(i: &str) -> usize {
    /// Longer formulas have to show what they are.
    const MOST: usize = 32;
    let operators = i.bytes().filter(|b| matches!(b, b'+' | b'-' | b'*' | b'/' | b'^' | b'('));
    (1 + 2 * operators.count()).min(MOST)
}

/// Something stands behind a whole operand that neither goes on nor ends there.
pub(super) fn stray<'s, T>(i: &'s str, wanted: &[&'static str]) -> Out<'s, T> {
    if i.starts_with([')', ']']) {
        return fail(i, &i[1..], FaultKind::LoneBracket);
    }
    let word = token::peek_word(i);
    if i.starts_with('(') || number::begins(i) || !word.is_empty() && !token::is_own(word) {
        let length = word.len().max(i.len() - i.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').len());
        return fail(i, &i[length.max(1)..], FaultKind::SideBySide);
    }
    expected(i, wanted)
}

fn sum<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let operator = |i: &'s str| match i.strip_prefix('+') {
        // `+-` announces an uncertainty wherever it stands.
        Some(rest) => token::plus_minus(i).is_none().then_some((rest, Binary::Add)),
        None => token::minus(i).map(|rest| (rest, Binary::Subtract)),
    };
    chain(part, steps, i, operator, product)
}

fn product<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let operator = |i: &'s str| match i.strip_prefix('/') {
        Some(rest) => Some((rest, Binary::Divide)),
        None => token::times(i).map(|rest| (rest, Binary::Multiply)),
    };
    chain(part, steps, i, operator, signed)
}

/// Operands with operators of one rank between them, from left to right.
fn chain<'s>(
    part: &Part,
    steps: &mut Steps,
    i: &'s str,
    operator: impl Fn(&'s str) -> Option<(&'s str, Binary)>,
    operand: fn(&Part, &mut Steps, &'s str) -> Out<'s, ()>,
) -> Out<'s, ()> {
    let (mut i, ()) = operand(part, steps, i)?;
    loop {
        let at = skip(i);
        let Some((rest, binary)) = operator(at) else { return Ok((i, ())) };
        i = operand(part, steps, skip(rest))?.0;
        steps.push(part.at(Step::Binary(binary), at, rest));
    }
}

/// Signs, then a power: the minus of `-x^2` is that of the square.
fn signed<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let (after, sign) = signs(part, i);
    let before = steps.len();
    let (rest, ()) = power(part, steps, after)?;
    let Some(sign) = sign else { return Ok((rest, ())) };
    let single = steps.len() == before + 1;
    match steps.last_mut() {
        // −5 °C is a point on its scale, and not the negative of another point.
        Some(Spanned { value: Step::Number(number, Some(_)), span }) if single => {
            *number = number::negated(*number);
            span.start = sign.start;
        }
        _ => steps.push(Spanned::new(Step::Negate, sign)),
    }
    Ok((rest, ()))
}

/// The rest behind a run of signs, and its place where they change the sign.
fn signs<'s>(part: &Part, i: &'s str) -> (&'s str, Option<Span>) {
    let (mut rest, mut end, mut odd) = (i, i, false);
    while let Some(next) = rest.strip_prefix(['-', '−', '+']) {
        odd ^= !rest.starts_with('+');
        end = next;
        rest = skip(next);
    }
    (rest, odd.then(|| part.span(i, end)))
}

/// An operand and its exponents. `^` binds to the right: what it waits for is kept in a list, since a
/// tower is as deep as it is long.
fn power<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let (mut i, ()) = operand(part, steps, i)?;
    let mut waiting: Vec<Spanned<Step>> = Vec::new();
    while let Some(next) = skip(i).strip_prefix('^') {
        let at = skip(i);
        if waiting.len() >= part.levels_left() {
            return fail(at, next, FaultKind::TooDeep { most: super::recover::DEEPEST });
        }
        waiting.push(part.at(Step::Binary(Binary::Power), at, next));
        let (after, sign) = signs(part, skip(next));
        waiting.extend(sign.map(|span| Spanned::new(Step::Negate, span)));
        i = operand(part, steps, after)?.0;
    }
    steps.extend(waiting.into_iter().rev());
    Ok((i, ()))
}

/// An atom and the superscript right behind it: `v²`.
fn operand<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let (after, ()) = atom(part, steps, i)?;
    let Ok((rest, digits)) = token::superscript(after) else { return Ok((after, ())) };
    let Some(decimal) = Decimal::read(&digits) else { return fail(after, rest, FaultKind::NumberTooLong) };
    let span = part.span(after, rest);
    steps.push(Spanned::new(Step::Number(Number { decimal, power: None }, None), span));
    steps.push(Spanned::new(Step::Binary(Binary::Power), span));
    Ok((rest, ()))
}

fn atom<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    if let Some(inner) = i.strip_prefix('(') {
        let (rest, ()) = part.deeper(i, |_| sum(part, steps, skip(inner)))?;
        return closing(i, inner, rest, &["an operator", "`)`"]);
    }
    if number::begins(i) {
        return number(part, steps, i);
    }
    match token::peek_word(i) {
        "" => expected(i, &OPERAND),
        word => named(part, steps, word, i),
    }
}

/// The `)` of the bracket that stands from `open` to `inner`.
fn closing<'s>(open: &'s str, inner: &'s str, rest: &'s str, wanted: &[&'static str]) -> Out<'s, ()> {
    let at = skip(rest);
    match at.strip_prefix(')') {
        Some(after) => Ok((after, ())),
        None if at.is_empty() => fail(open, inner, FaultKind::LoneBracket),
        None if at.starts_with(']') => expected(at, wanted),
        None => stray(at, wanted),
    }
}

/// A number, with the unit in its square brackets.
fn number<'s>(part: &Part, steps: &mut Steps, i: &'s str) -> Out<'s, ()> {
    let (after, value) = number::unsigned(part, i)?;
    if let Some((rest, unit)) = opt_unit(part, i, after)? {
        steps.push(part.at(Step::Number(value.value, Some(unit)), i, rest));
        return Ok((rest, ()));
    }
    // `1.602×10^-19[C]`: a power of ten in a number of its own. Without a unit behind it, it is what
    // the usual precedence makes of its signs.
    if let Ok((raised, power)) = number::times_ten(after) {
        match power.and_then(|power| number::raised(value.value, power)) {
            Some(number) => {
                if let Some((rest, unit)) = opt_unit(part, i, raised)? {
                    steps.push(part.at(Step::Number(number, Some(unit)), i, rest));
                    return Ok((rest, ()));
                }
            }
            None if skip(raised).starts_with('[') => return fail(i, raised, FaultKind::NumberTooLong),
            None => {}
        }
    }
    steps.push(Spanned::new(Step::Number(value.value, None), value.span));
    Ok((after, ()))
}

type OptUnit<'s> = Option<(&'s str, Box<Spanned<Spelling>>)>;

/// The unit of the number from `i` to `after`: in square brackets, or bare, which is noted.
fn opt_unit<'s>(part: &Part, i: &'s str, after: &'s str) -> Result<OptUnit<'s>, nom::Err<Wrong>> {
    let at = skip(after);
    if at.starts_with('[') {
        return unit::bracketed(part, at).map(|(rest, unit)| Some((rest, Box::new(unit))));
    }
    let Some((rest, spelling)) = bare_unit(at) else { return Ok(None) };
    let typed = &i[..i.len() - after.len()];
    let right = format!("{typed}[{}]", &at[..at.len() - rest.len()]);
    part.note(part.span(i, rest), FaultKind::BareUnit { right });
    Ok(Some((rest, Box::new(part.at(spelling, at, rest)))))
}

/// A known unit that stands here without brackets. Only what is written without blanks is taken for
/// it, since in `9.81 m/s^2 * t` the `t` is no tonne.
fn bare_unit(i: &str) -> Option<(&str, Spelling)> {
    if !unit::begins(i) || token::peek_word(i) == "in" {
        return None;
    }
    // A window, since a formula without blanks may be as long as it likes.
    let end = i.char_indices().take(LONGEST_UNIT).find(|(_, c)| is_blank(*c)).map(|(at, _)| at);
    let close = &i[..end.or_else(|| i.char_indices().nth(LONGEST_UNIT).map(|(at, _)| at)).unwrap_or(i.len())];
    let first = &close[..close.find(['*', '·', '×', '⋅', '/']).unwrap_or(close.len())];
    [close, first].into_iter().find_map(|text| {
        let (rest, unit) = unit::unit(&Part::new(text.len(), false, None), text).ok()?;
        let length = text.len() - rest.len();
        unit::known(&unit.value).then(|| (&i[length..], unit.value))
    })
}

/// A quantity, π or a call.
fn named<'s>(part: &Part, steps: &mut Steps, word: &str, i: &'s str) -> Out<'s, ()> {
    let after = &i[word.len()..];
    if let Some(function) = Function::of_word(word) {
        return call(part, steps, function, i, after);
    }
    if matches!(word, "in" | "as" | "against" | "of") {
        return expected(i, &OPERAND);
    }
    let (rest, symbol) = token::any_symbol(part, i)?;
    if rest.starts_with('(') {
        return unknown_function(i, rest, word);
    }
    let step = match token::reserved(symbol.value.as_str()) {
        None => Step::Symbol(symbol.value),
        Some("pi") => Step::Pi,
        Some(word) => return fail(i, rest, FaultKind::ReservedWord { word: word.to_owned() }),
    };
    steps.push(Spanned::new(step, symbol.span));
    Ok((rest, ()))
}

/// `sine(x)`; a symbol of one letter that has a bracket behind it lacks its `*`.
fn unknown_function<'s>(i: &'s str, rest: &'s str, word: &str) -> Out<'s, ()> {
    let other = OTHER_NAMES.iter().find(|(name, _)| *name == word).map(|(_, function)| function.word());
    let near = other.or_else(|| nearest(word, Function::ALL.iter().map(|function| function.word())));
    if near.is_none() && word.chars().count() < 2 {
        return stray(rest, &["an operator"]);
    }
    fail(i, rest, FaultKind::UnknownFunction { word: word.to_owned(), nearest: near })
}

/// The arguments of a call, from its bracket on.
fn call<'s>(part: &Part, steps: &mut Steps, function: Function, i: &'s str, after: &'s str) -> Out<'s, ()> {
    let open = skip(after);
    let Some(inner) = open.strip_prefix('(') else { return expected(open, &["`(`"]) };
    let takes_pair = matches!(function, Function::Slope | Function::Intercept);
    let mut function = function;
    let (rest, given) = part.deeper(open, |_| match skip(inner).strip_prefix(')') {
        Some(rest) => Ok((rest, 0)),
        None if takes_pair => pair(part, steps, &mut function, open, inner),
        None => arguments(part, steps, open, inner),
    })?;
    let span = part.span(i, rest);
    if !arity(function).contains(&given) {
        part.note(span, FaultKind::Arguments { function: function.word(), takes: takes(function), given });
    }
    steps.push(Spanned::new(Step::Call(function, given), span));
    Ok((rest, ()))
}

/// Arguments with commas between them.
fn arguments<'s>(part: &Part, steps: &mut Steps, open: &'s str, inner: &'s str) -> Out<'s, usize> {
    let mut i = inner;
    let mut given = 0;
    loop {
        i = sum(part, steps, skip(i))?.0;
        given += 1;
        match skip(i).strip_prefix(',') {
            Some(next) => i = next,
            None => return closing(open, inner, i, &["an operator", "`,`", "`)`"]).map(|(rest, ())| (rest, given)),
        }
    }
}

/// `y against x`, and `through 0`, which makes another function of a slope.
fn pair<'s>(part: &Part, steps: &mut Steps, function: &mut Function, open: &'s str, inner: &'s str) -> Out<'s, usize> {
    let (after, ()) = sum(part, steps, skip(inner))?;
    let at = skip(after);
    let Some(next) = token::keyword(at, "against") else { return expected(at, &["`against`"]) };
    let (mut rest, ()) = sum(part, steps, skip(next))?;
    let through = skip(rest);
    if let Some(behind) = token::keyword(through, "through") {
        let Some(origin) = skip(behind).strip_prefix('0') else { return expected(skip(behind), &["`0`"]) };
        match function {
            Function::Intercept => part.note(part.span(through, origin), FaultKind::InterceptOfOrigin),
            _ => *function = Function::SlopeThroughOrigin,
        }
        rest = origin;
    }
    closing(open, inner, rest, &["an operator", "`through`", "`)`"]).map(|(rest, ())| (rest, 2))
}

fn arity(function: Function) -> std::ops::RangeInclusive<usize> {
    match function {
        Function::Mean | Function::Wmean => 1..=usize::MAX,
        Function::Atan2 | Function::Row | Function::Slope | Function::Intercept | Function::SlopeThroughOrigin => 2..=2,
        _ => 1..=1,
    }
}

fn takes(function: Function) -> &'static str {
    match function {
        Function::Mean | Function::Wmean => "one argument or more",
        Function::Atan2 => "two arguments",
        Function::Row => "a column and the number of a row",
        Function::Slope | Function::Intercept | Function::SlopeThroughOrigin => "`y against x`",
        _ => "one argument",
    }
}
