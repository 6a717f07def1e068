//! Estimates in all the forms of JCGM 100:2008, 7.2.2, lists of them, and what a hurried author
//! writes in their place.

use std::sync::Arc;

use super::ast::{Amount, AmountStep, Attached, Estimate, Number, Total};
use super::character::{closer, starts};
use super::recover::{Out, Part, Wrong, absent, expected, fail};
use super::token::{self, skip};
use super::{FaultKind, amount, limit, number, unit};
use crate::quantity::Decimal;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

/// What stands behind the `=` of a reading.
#[derive(Debug)]
pub(super) struct Recorded {
    pub(super) values: Vec<Spanned<Number>>,
    pub(super) unit: Option<Spanned<Spelling>>,
    pub(super) total: Option<Box<Spanned<Total>>>,
}

type OptUnit = Option<Spanned<Spelling>>;

/// One estimate or a list of values. [`absent`] where the text is a formula instead: where something
/// other than a unit and an uncertainty stands behind the number.
pub(super) fn recorded<'s>(part: &Part, i: &'s str) -> Out<'s, Recorded> {
    if let Some(value) = value_in_bracket(part, i)? {
        return bracketed(part, i, value).map(|(rest, estimate)| (rest, estimate.into()));
    }
    if !number::signed_begins(i) {
        return absent(i);
    }
    let (after, value) = number::recorded(part, i)?;
    slips_of_one(part, i, after)?;
    let noted = part.noted();
    let (rest, estimate) = after_value(part, value, after)?;
    let at = skip(rest);
    if at.starts_with(',') {
        part.forget(noted);
        return list(part, value, after);
    }
    if estimate.total.is_some() {
        return Ok((rest, estimate.into()));
    }
    match &estimate.unit {
        Some(unit) if number::signed_begins(at) => drop(sum_of_units(part, i, at, unit)?),
        None if number::begins(at) => {
            return expected(at, &["a comma and a blank before the next value", "an operator"]);
        }
        _ => {}
    }
    if at.is_empty() || starts(at, |c| closer(c).is_some()) {
        return Ok((rest, estimate.into()));
    }
    match &estimate.unit {
        Some(unit) if follows_in_vain(at) && unit::known(&unit.value) => {
            expected(at, &["`;`", "`±`", "a reason in quotes"])
        }
        _ => absent(i),
    }
}

/// One estimate: a stated figure, what a quantity is compared with, a table's cell.
pub(super) fn estimate<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Estimate>> {
    let (rest, estimate) = if let Some(value) = value_in_bracket(part, i)? {
        bracketed(part, i, value)?
    } else if number::signed_begins(i) {
        let (after, value) = number::recorded(part, i)?;
        after_value(part, value, after)?
    } else {
        return expected(i, &["a number"]);
    };
    Ok((rest, part.at(estimate, i, rest)))
}

impl From<Estimate> for Recorded {
    fn from(estimate: Estimate) -> Self {
        Self { values: vec![estimate.value], unit: estimate.unit, total: estimate.total }
    }
}

/// A word behind a recorded number and its unit that is neither a formula's nor a clause's.
fn follows_in_vain(at: &str) -> bool {
    starts(at, token::is_letter) && token::peek_word(at) != "in"
}

/// Uncertainty and unit of a value without brackets about it, in either order.
fn after_value<'s>(part: &Part, value: Spanned<Number>, i: &'s str) -> Out<'s, Estimate> {
    if let Some((end, total)) = digits_in_brackets(part, &value.value, i)? {
        let (rest, (value, total)) = raise_both(value, total, i, end)?;
        let (rest, unit) = unit::behind_number(part, rest)?;
        let (rest, shaped) = shape_and_reason(part, i, rest, total.value)?;
        return Ok((rest, Estimate { value, unit, total: Some(Box::new(Spanned::new(shaped.value, total.span))) }));
    }
    let (after, unit) = unit::behind_number(part, i)?;
    let at = skip(after);
    if token::plus_minus(at).is_none() {
        return Ok((after, Estimate { value, unit, total: None }));
    }
    let (rest, (total, unit)) = sign_and_amount(part, at, unit)?;
    let (rest, total) = shape_and_reason(part, at, rest, total)?;
    Ok((rest, Estimate { value, unit, total: Some(Box::new(total)) }))
}

/// `± 0.15 cm`. A unit that stands nowhere but behind the amount is that of both.
fn sign_and_amount<'s>(part: &Part, i: &'s str, unit: OptUnit) -> Out<'s, (Total, OptUnit)> {
    let Some(after_sign) = token::plus_minus(i) else { return expected(i, &["`±`"]) };
    let attached = Attached::Sign(part.span(i, after_sign));
    let (rest, amount) = amount::amount(part, skip(after_sign))?;
    let mut amount = amount.value;
    let unit = match unit {
        None => shared_unit(&mut amount),
        Some(unit) if unitless(&amount) && !is_zero(&amount) => {
            part.note(Span::at(part.offset(rest)), missing_unit());
            Some(unit)
        }
        unit => unit,
    };
    Ok((rest, (Total { amount: Arc::new(amount), attached, shape: None, reason: None }, unit)))
}

fn missing_unit() -> FaultKind {
    FaultKind::Expected { wanted: vec!["the unit of the uncertainty"], found: String::new() }
}

fn unitless(amount: &Amount) -> bool {
    !amount.steps.iter().any(|step| matches!(step, AmountStep::Unit(_) | AmountStep::Range))
}

fn is_zero(amount: &Amount) -> bool {
    matches!(amount.steps.as_slice(), [AmountStep::Number(number)] if number.value.decimal.is_zero())
}

/// Takes the one unit out of an amount that has one.
fn shared_unit(amount: &mut Amount) -> OptUnit {
    let is_unit = |step: &AmountStep| matches!(step, AmountStep::Unit(_));
    let ranges = amount.steps.iter().any(|step| matches!(step, AmountStep::Range));
    if ranges || amount.steps.iter().filter(|step| is_unit(step)).count() != 1 {
        return None;
    }
    let place = amount.steps.iter().position(is_unit)?;
    match amount.steps.remove(place) {
        AmountStep::Unit(unit) => Some(unit),
        _ => None,
    }
}

/// What kind of limit the total is, and why; `start` is where its `±` stands.
fn shape_and_reason<'s>(part: &Part, start: &str, i: &'s str, total: Total) -> Out<'s, Spanned<Total>> {
    let (rest, shape) = limit::opt_limit(part, i)?;
    let (rest, reason) = limit::opt_reason(part, rest)?;
    Ok((rest, part.at(Total { shape, reason, ..total }, start, rest)))
}

/// A value and perhaps its unit, and what is left behind them, its `±` first.
type BeforeSign<'s> = (&'s str, Spanned<Number>, OptUnit);

/// What stands before the `±` of a bracket, where one with a `±` in it begins here: a formula's has none.
fn value_in_bracket<'s>(part: &Part, i: &'s str) -> Result<Option<BeforeSign<'s>>, nom::Err<Wrong>> {
    let Some(inner) = i.strip_prefix('(').map(skip).filter(|inner| number::signed_begins(inner)) else {
        return Ok(None);
    };
    let noted = part.noted();
    let value = number::recorded(part, inner).and_then(|(rest, value)| {
        let (rest, unit) = unit::behind_number(part, rest)?;
        Ok((skip(rest), value, unit))
    });
    match value {
        Ok(before) if token::plus_minus(before.0).is_some() => Ok(Some(before)),
        // What is wrong with the number is wrong in a formula too, and is said best here.
        Err(nom::Err::Failure(wrong)) => Err(nom::Err::Failure(wrong)),
        _ => {
            part.forget(noted);
            Ok(None)
        }
    }
}

/// `(14.30 ± 0.15) cm`, `(9.11 ± 0.02) × 10^-31 kg`, from its bracket on.
fn bracketed<'s>(part: &Part, i: &'s str, (at, value, own_unit): BeforeSign<'s>) -> Out<'s, Estimate> {
    let (rest, total) = match &own_unit {
        Some(unit) => sign_and_amount(part, at, Some(unit.clone())).map(|(rest, (total, _))| (rest, total))?,
        // The unit may still follow behind the bracket: one inside stays with the amount.
        None => amount_alone(part, at)?,
    };
    let close = skip(rest);
    let Some(outside) = close.strip_prefix(')') else {
        return if close.is_empty() { fail(i, &i[1..], FaultKind::LoneBracket) } else { expected(close, &["`)`"]) };
    };
    let (rest, (value, mut total)) = raise_both(value, part.at(total, at, rest), i, outside)?;
    let (rest, unit) = match own_unit {
        Some(unit) => (rest, Some(unit)),
        None => unit::behind_number(part, rest)?,
    };
    let unit = unit.or_else(|| shared_unit(Arc::make_mut(&mut total.value.amount)));
    let (rest, total) = shape_and_reason(part, at, rest, total.value)?;
    Ok((rest, Estimate { value, unit, total: Some(Box::new(total)) }))
}

fn amount_alone<'s>(part: &Part, i: &'s str) -> Out<'s, Total> {
    let Some(after_sign) = token::plus_minus(i) else { return expected(i, &["`±`"]) };
    let attached = Attached::Sign(part.span(i, after_sign));
    let (rest, amount) = amount::amount(part, skip(after_sign))?;
    Ok((rest, Total { amount: Arc::new(amount.value), attached, shape: None, reason: None }))
}

/// `(15)` or `(0.15)` right behind the value: in units of its last digit where the digits have no
/// point, else in the unit of the value (JCGM 100:2008, 7.2.2).
fn digits_in_brackets<'s>(
    part: &Part,
    value: &Number,
    i: &'s str,
) -> Result<Option<(&'s str, Spanned<Total>)>, nom::Err<Wrong>> {
    let Some(inner) = i.strip_prefix('(').filter(|inner| number::begins(inner)) else { return Ok(None) };
    let noted = part.noted();
    let (rest, typed) = number::unsigned(part, inner)?;
    let Some(outside) = rest.strip_prefix(')') else {
        part.forget(noted);
        return Ok(None);
    };
    let decimal = typed.value.decimal;
    let (attached, decimal) = match decimal.last_place() {
        0 if typed.value.power.is_none() => {
            (Attached::LastDigits, Decimal::new(false, decimal.digits(), value.decimal.last_place()))
        }
        _ => (Attached::InBrackets, decimal),
    };
    let steps = vec![AmountStep::Number(Spanned::new(Number { decimal, ..typed.value }, typed.span))];
    let total = Total { amount: Arc::new(Amount { steps }), attached, shape: None, reason: None };
    Ok(Some((outside, part.at(total, i, outside))))
}

/// A power of ten behind a bracket raises both the value and the numbers of its uncertainty.
fn raise_both<'s>(
    value: Spanned<Number>,
    total: Spanned<Total>,
    start: &'s str,
    i: &'s str,
) -> Out<'s, (Spanned<Number>, Spanned<Total>)> {
    let (rest, power) = number::power_behind_bracket(i)?;
    let Some(power) = power else { return Ok((i, (value, total))) };
    let Total { amount, attached, shape, reason } = total.value;
    match (number::raised(value.value, power), raised_amount(Arc::unwrap_or_clone(amount), power)) {
        (Some(number), Some(amount)) => {
            let total = Spanned::new(Total { amount: Arc::new(amount), attached, shape, reason }, total.span);
            Ok((rest, (Spanned::new(number, value.span), total)))
        }
        _ => fail(start, rest, FaultKind::NumberTooLong),
    }
}

/// The amount times a power of ten; a relative one stays as it is.
fn raised_amount(amount: Amount, power: i32) -> Option<Amount> {
    if !unitless(&amount) {
        return Some(amount);
    }
    match amount.steps.as_slice() {
        [AmountStep::Number(only)] => {
            let number = number::raised(only.value, power)?;
            Some(Amount { steps: vec![AmountStep::Number(Spanned::new(number, only.span))] })
        }
        _ => {
            let span = Span::default();
            let ten = Number { decimal: Decimal::step(power), power: Some(power) };
            let mut steps = amount.steps;
            steps.push(AmountStep::Number(Spanned::new(ten, span)));
            steps.push(AmountStep::Times);
            Some(Amount { steps })
        }
    }
}

/// The values of a repeated reading: commas, each with a blank behind it, then the one unit.
fn list<'s>(part: &Part, first: Spanned<Number>, i: &'s str) -> Out<'s, Recorded> {
    let mut values = vec![first];
    let mut i = i;
    loop {
        let (after, (unit, uncertain)) = tail_of_value(part, i)?;
        let at = skip(after);
        let more = at.strip_prefix(',');
        if let Some(span) = uncertain {
            part.note(span, FaultKind::UncertaintyInList);
        }
        let Some(more) = more else { return Ok((after, Recorded { values, unit, total: None })) };
        if let Some(unit) = unit {
            part.note(unit.span, FaultKind::UnitInList);
        }
        let next = skip(more);
        if next.len() == more.len() && !more.is_empty() {
            return expected(next, &["a blank behind the comma of a list"]);
        }
        if !number::signed_begins(next) {
            return expected(next, &["the next value of the list"]);
        }
        let (rest, value) = number::recorded(part, next)?;
        values.push(value);
        i = rest;
    }
}

/// What stands behind one value of a list: at most a unit where the list ends, and never a `±`.
fn tail_of_value<'s>(part: &Part, i: &'s str) -> Out<'s, (OptUnit, Option<Span>)> {
    let dummy = Number { decimal: Decimal::ZERO, power: None };
    if !skip(i).starts_with(['±', '+', '(']) && !unit::begins(skip(i)) {
        return Ok((i, (None, None)));
    }
    let (rest, estimate) = after_value(part, part.at(dummy, i, i), i)?;
    Ok((rest, (estimate.unit, estimate.total.map(|total| total.span))))
}

/// `+0.3/−0.1`, `1/2 m`: forms that begin as one number does and end in none.
fn slips_of_one<'s>(part: &Part, i: &'s str, after: &'s str) -> Out<'s, ()> {
    let noted = part.noted();
    if let Some((from, to)) = two_sided(part, after) {
        return fail(from, to, FaultKind::TwoSided);
    }
    part.forget(noted);
    if let Some(end) = fraction(part, after) {
        return fail(i, end, FaultKind::FractionAsEstimate);
    }
    part.forget(noted);
    Ok((after, ()))
}

/// `+0.3/−0.1`, with or without a unit before it or behind each number, or brackets about it.
fn two_sided<'s>(part: &Part, i: &'s str) -> Option<(&'s str, &'s str)> {
    if !i.contains('+') {
        return None;
    }
    let (after, _) = unit::behind_number(part, i).ok()?;
    let from = skip(after);
    let inner = from.strip_prefix('(').unwrap_or(from);
    let upper = inner.strip_prefix('+').filter(|rest| number::begins(skip(rest)))?;
    let (rest, _) = number::unsigned(part, skip(upper)).ok()?;
    let (rest, _) = unit::behind_number(part, rest).ok()?;
    let lower = skip(skip(rest).strip_prefix('/')?);
    let lower = token::minus(lower).filter(|rest| number::begins(skip(rest)))?;
    let (rest, _) = number::unsigned(part, skip(lower)).ok()?;
    let end = if inner.len() < from.len() { skip(rest).strip_prefix(')').unwrap_or(rest) } else { rest };
    Some((from, end))
}

/// The end of the denominator of `1/2 m`, where the rest behind the 1 is `/2 m`.
fn fraction<'s>(part: &Part, after: &'s str) -> Option<&'s str> {
    let denominator = skip(skip(after).strip_prefix('/')?);
    if !number::begins(denominator) {
        return None;
    }
    let (end, _) = number::unsigned(part, denominator).ok()?;
    let (rest, unit) = unit::behind_number(part, end).ok()?;
    let rest = skip(rest);
    let over = rest.is_empty() || token::plus_minus(rest).is_some() || starts(rest, |c| closer(c).is_some());
    (unit.is_some() && over).then_some(end)
}

/// `2 h + 3 min`, `2 h 3 min`: numbers with a unit each, where one number has to stand.
fn sum_of_units<'s>(part: &Part, start: &'s str, at: &'s str, unit: &Spanned<Spelling>) -> Out<'s, ()> {
    let noted = part.noted();
    let mut end = at;
    let mut i = at;
    while number::signed_begins(i) {
        let term = number::recorded(part, i).and_then(|(rest, _)| unit::behind_number(part, rest));
        let Ok((rest, Some(_))) = term else { break };
        end = rest;
        i = skip(rest);
    }
    part.forget(noted);
    let whole = i.is_empty() || starts(i, |c| closer(c).is_some());
    if end.len() < at.len() && whole && unit::known(&unit.value) {
        return fail(start, end, FaultKind::SumAsEstimate);
    }
    Ok((at, ()))
}
