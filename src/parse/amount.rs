//! Amounts: arithmetic on plain numbers and units, flat and in the order of a stack machine.

use super::ast::{Amount, AmountStep};
use super::number;
use super::recover::{Out, Part, expected, fail};
use super::token::{self, keyword, skip};
use super::{FaultKind, unit};
use crate::span::Spanned;

/// An amount, which has to stand here.
pub(super) fn amount<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Amount>> {
    // A number and its unit, in most.
    let mut steps = Vec::with_capacity(2);
    let (rest, ()) = sum(part, &mut steps, i)?;
    Ok((rest, part.at(Amount { steps }, i, rest)))
}

/// Could an amount begin here?
pub(super) fn begins(i: &str) -> bool {
    number::signed_begins(i) || i.starts_with('(') || keyword(i, "range").is_some()
}

fn sum<'s>(part: &Part, steps: &mut Vec<AmountStep>, i: &'s str) -> Out<'s, ()> {
    let (mut i, ()) = product(part, steps, i)?;
    loop {
        let at = skip(i);
        let (next, step) = match (at.strip_prefix('+'), token::minus(at)) {
            (Some(next), _) if token::plus_minus(at).is_none() => (next, AmountStep::Plus),
            (None, Some(next)) => (next, AmountStep::Minus),
            _ => return Ok((i, ())),
        };
        i = product(part, steps, skip(next))?.0;
        steps.push(step);
    }
}

fn product<'s>(part: &Part, steps: &mut Vec<AmountStep>, i: &'s str) -> Out<'s, ()> {
    let (mut i, ()) = quotient(part, steps, i)?;
    loop {
        let at = skip(i);
        let (next, step) = match (token::times(at), keyword(at, "of")) {
            (Some(next), _) => (next, AmountStep::Times),
            (None, Some(next)) => (next, AmountStep::Of),
            (None, None) => return Ok((i, ())),
        };
        i = quotient(part, steps, skip(next))?.0;
        steps.push(step);
    }
}

/// Operands with `/` between them. A unit belongs to the whole quotient before it, so that in
/// `2 × 1/4 mm` a quarter of a millimetre is doubled; one that has a unit already ends there, so that
/// in `1 mm / 2 s` the second unit is that of the 2.
fn quotient<'s>(part: &Part, steps: &mut Vec<AmountStep>, i: &'s str) -> Out<'s, ()> {
    let (mut i, ()) = operand(part, steps, i)?;
    let mut has_unit = false;
    (i, has_unit) = opt_unit(part, steps, has_unit, i)?;
    while let Some(next) = skip(i).strip_prefix('/') {
        i = operand(part, steps, skip(next))?.0;
        if has_unit {
            i = opt_unit(part, steps, true, i)?.0;
            steps.push(AmountStep::Over);
        } else {
            steps.push(AmountStep::Over);
            (i, has_unit) = opt_unit(part, steps, false, i)?;
        }
    }
    Ok((i, ()))
}

fn operand<'s>(part: &Part, steps: &mut Vec<AmountStep>, i: &'s str) -> Out<'s, ()> {
    if let Some(inner) = i.strip_prefix('(') {
        let (rest, ()) = part.deeper(i, |_| sum(part, steps, skip(inner)))?;
        return closing(i, inner, rest);
    }
    if let Some(rest) = keyword(i, "range") {
        steps.push(AmountStep::Range);
        return Ok((rest, ()));
    }
    if !number::signed_begins(i) {
        return expected(i, &["an amount"]);
    }
    let (rest, value) = number::recorded(part, i)?;
    steps.push(AmountStep::Number(value));
    Ok((rest, ()))
}

/// The `)` of the bracket that stands from `open` to `inner`.
fn closing<'s>(open: &'s str, inner: &'s str, rest: &'s str) -> Out<'s, ()> {
    let at = skip(rest);
    match at.strip_prefix(')') {
        Some(after) => Ok((after, ())),
        None if at.is_empty() => fail(open, inner, FaultKind::LoneBracket),
        None => expected(at, &["`)`"]),
    }
}

/// The unit behind what was read up to `i`, where there is one, and whether there is one.
fn opt_unit<'s>(part: &Part, steps: &mut Vec<AmountStep>, had: bool, i: &'s str) -> Out<'s, bool> {
    let (rest, unit) = unit::behind_number(part, i)?;
    let has = had || unit.is_some();
    steps.extend(unit.map(AmountStep::Unit));
    Ok((rest, has))
}
