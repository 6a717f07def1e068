//! What kind of limit an amount is, and why it is as large.

use std::sync::Arc;

use super::ast::Limit;
use super::number;
use super::recover::{Out, Part, expected};
use super::token::{self, keyword, skip};
use crate::quantity::Shape;
use crate::span::Spanned;

/// A reason in quotes, where there is one.
pub(super) fn opt_reason<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Spanned<Arc<str>>>> {
    let (rest, reason) = token::opt_prose(part, skip(i))?;
    Ok((if reason.is_some() { rest } else { i }, reason))
}

/// A shape and degrees of freedom, where there are any: `rectangular`, `k 2 dof 18`, `dof 18`.
pub(super) fn opt_limit<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Box<Spanned<Limit>>>> {
    let start = skip(i);
    let (after, shape) = opt_shape(part, start)?;
    let (rest, dof) = opt_dof(part, after)?;
    if shape.is_none() && dof.is_none() {
        return Ok((i, None));
    }
    let limit = Limit { shape: shape.unwrap_or(Shape::Normal), dof };
    Ok((rest, Some(Box::new(part.at(limit, start, rest)))))
}

fn opt_shape<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Shape>> {
    let word = token::peek_word(i);
    let rest = &i[word.len()..];
    let plain = match word {
        "normal" => Shape::Normal,
        "rectangular" => Shape::Rectangular,
        "triangular" => Shape::Triangular,
        "arcsine" => Shape::Arcsine,
        "trapezoidal" => return trapezoidal(part, skip(rest)),
        "k" => return coverage_factor(part, skip(rest)),
        "level" => return level(part, skip(rest)),
        _ => return Ok((i, None)),
    };
    Ok((rest, Some(plain)))
}

fn trapezoidal<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Shape>> {
    bounded(part, i, "a number from 0 to 1", |beta| beta <= 1.0)
        .map(|(rest, beta)| (rest, Some(Shape::Trapezoidal(beta))))
}

fn coverage_factor<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Shape>> {
    bounded(part, i, "a coverage factor above 0", |k| k > 0.0).map(|(rest, k)| (rest, Some(Shape::Expanded(k))))
}

/// `95 %`: the number's digits moved by two places give the fraction exactly.
fn level<'s>(part: &Part, i: &'s str) -> Out<'s, Option<Shape>> {
    const WANTED: &str = "a level between 0 % and 100 %";
    let (rest, _) = bounded(part, i, WANTED, |level| level > 0.0 && level < 100.0)?;
    let (_, typed) = number::unsigned(part, i)?;
    let Some(after) = skip(rest).strip_prefix('%') else { return expected(skip(rest), &["`%`"]) };
    Ok((after, Some(Shape::Level(typed.value.decimal.shifted(-2).to_f64()))))
}

fn opt_dof<'s>(part: &Part, i: &'s str) -> Out<'s, Option<f64>> {
    let Some(rest) = keyword(skip(i), "dof") else { return Ok((i, None)) };
    bounded(part, skip(rest), "degrees of freedom above 0", |dof| dof > 0.0).map(|(rest, dof)| (rest, Some(dof)))
}

/// A parameter that has to lie within bounds.
fn bounded<'s>(part: &Part, i: &'s str, wanted: &'static str, holds: impl Fn(f64) -> bool) -> Out<'s, f64> {
    let (rest, number) = number::parameter(part, i, wanted)?;
    if number.value.is_finite() && holds(number.value) { Ok((rest, number.value)) } else { expected(i, &[wanted]) }
}
