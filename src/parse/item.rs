//! The forms of an item: its head, one function a form. Clauses are read on their own.

use super::ast::{Against, Column, Comparison, Derived, Graph, Head, Item, Mention, Reading, Style, Symbol};
use super::character::starts;
use super::clause::Form;
use super::limit::opt_reason;
use super::recover::{Out, Part, expected, fail};
use super::token::{self, keyword, skip};
use super::{FaultKind, estimate, formula, number, unit};
use crate::quantity::nearest;
use crate::quantity::unit::Spelling;
use crate::span::Spanned;

/// Where a head stands, and what it is known to define even where the rest of it is broken.
#[derive(Debug, Default)]
pub(super) struct Context {
    /// Is it a table's heading cell?
    pub(super) in_heading: bool,
    /// Do clauses follow?
    pub(super) has_clauses: bool,
    /// The symbol that the item defines.
    pub(super) defines: Option<Spanned<Symbol>>,
    /// The one that it most likely sets out to define, where its head is broken right behind it.
    pub(super) begins: Option<Spanned<Symbol>>,
}

/// What the clauses of an item belong to.
pub(super) fn form(item: Option<&Item>, head: &str) -> Form {
    match item {
        Some(Item::Reading(reading)) if reading.values.len() > 1 => Form::Repeated,
        Some(Item::Reading(_)) => Form::Reading,
        Some(Item::Result(_)) => Form::Result,
        Some(Item::Column(column)) if column.formula.is_some() => Form::ResultColumn,
        Some(Item::Column(_)) => Form::Column,
        Some(Item::Graph(_)) => Form::Graph,
        Some(_) => Form::Bare,
        None if keyword(head, "graph").is_some() => Form::Graph,
        None => Form::Unknown,
    }
}

/// A head, to the end of its part.
pub(super) fn head<'s>(part: &Part, context: &mut Context, i: &'s str) -> Out<'s, Item> {
    let word = token::peek_word(i);
    let after = &i[word.len()..];
    let defines = skip(after).starts_with('=');
    match word {
        "graph" if !defines => graph(part, skip(after)),
        "budget" if !defines => budget(part, skip(after)),
        "rationale" if !defines => ends(after, Item::Rationale),
        "summary" if !defines => ends(after, Item::Summary),
        "" => nameless(i),
        _ if operates(after) && token::reserved(word).is_some() => nameless(i),
        _ => quantity(part, context, i),
    }
}

fn ends(i: &str, item: Item) -> Out<'_, Item> {
    match skip(i) {
        "" => Ok(("", item)),
        more => expected(more, &["`}`"]),
    }
}

/// A formula without a symbol, or nothing of ours.
fn nameless(i: &str) -> Out<'_, Item> {
    let formula = number::signed_begins(i) || i.starts_with('(') || !token::peek_word(i).is_empty();
    if formula { fail(i, "", FaultKind::NoSymbol) } else { expected(i, &["a symbol"]) }
}

/// Does a formula go on here?
fn operates(i: &str) -> bool {
    skip(i).starts_with(['+', '-', '−', '*', '×', '·', '⋅', '/', '^', '(']) || token::superscript(i).is_ok()
}

/// `F against x`.
fn graph<'s>(part: &Part, i: &'s str) -> Out<'s, Item> {
    let (rest, y) = wanted_symbol(part, i)?;
    let Some(next) = keyword(skip(rest), "against") else { return expected(skip(rest), &["`against`"]) };
    let (rest, x) = wanted_symbol(part, skip(next))?;
    match skip(rest) {
        "" => Ok(("", Item::Graph(Graph { y, x, options: Vec::new() }))),
        more => expected(more, &["`;`", "`}`"]),
    }
}

/// `of g`.
fn budget<'s>(part: &Part, i: &'s str) -> Out<'s, Item> {
    let Some(next) = keyword(i, "of") else { return expected(i, &["`of`"]) };
    let (rest, symbol) = wanted_symbol(part, skip(next))?;
    ends(rest, Item::Budget(symbol))
}

fn wanted_symbol<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Symbol>> {
    if token::peek_word(i).is_empty() { expected(i, &["a symbol"]) } else { token::symbol(part, i) }
}

/// Everything that begins with a symbol.
fn quantity<'s>(part: &Part, context: &mut Context, i: &'s str) -> Out<'s, Item> {
    let (after, symbol) = token::symbol(part, i)?;
    let at = skip(after);
    if let Some(next) = keyword(at, "against") {
        return comparison(part, symbol, skip(next));
    }
    if part.noted() > 0 {
        // The symbol itself is misspelt, and what follows it may be cut off: `x_{max} = …`.
        context.defines = Some(symbol.clone());
    }
    let bare = at.is_empty() && !context.has_clauses;
    if bare || keyword(at, "in").is_some() || keyword(at, "as").is_some() {
        let (rest, (unit, style)) = view(part, at)?;
        return ends(rest, Item::Mention(Mention { symbol, unit, style }));
    }
    let (rest, name) = token::opt_prose(part, at)?;
    let (at, head) = (skip(rest), Head { symbol, name });
    if let Some(right) = at.strip_prefix('=') {
        context.defines = Some(head.symbol.clone());
        return definition(part, context, head, skip(right));
    }
    if context.in_heading && at.is_empty() || at.starts_with('[') {
        context.defines = Some(head.symbol.clone());
        return column(part, context, head, i, at);
    }
    if context.has_clauses || head.name.is_some() || at.contains('=') {
        context.begins = Some(head.symbol.clone());
    }
    not_a_definition(i, at, &head)
}

/// A symbol is followed by nothing that an item knows: says what was likely meant.
fn not_a_definition<'s>(i: &'s str, at: &'s str, head: &Head) -> Out<'s, Item> {
    if head.name.is_none() && operates(at) {
        return fail(i, "", FaultKind::NoSymbol);
    }
    let first = token::peek_word(i);
    match nearest(first, ["graph", "budget"]) {
        Some("graph") if !token::peek_word(at).is_empty() => return expected(i, &["`graph`"]),
        Some("budget") if keyword(at, "of").is_some() => return expected(i, &["`budget`"]),
        _ => {}
    }
    match nearest(token::peek_word(at), ["against"]) {
        Some(_) => expected(at, &["`against`"]),
        None if head.name.is_some() => expected(at, &["`=`"]),
        None => expected(at, &["`=`", "`in`", "`as`", "`against`", "a name in quotes"]),
    }
}

/// `g against 9.81 m/s^2 "survey value"`.
fn comparison<'s>(part: &Part, left: Spanned<Symbol>, i: &'s str) -> Out<'s, Item> {
    if starts(i, token::is_letter) {
        let (rest, right) = token::symbol(part, i)?;
        return ends(rest, Item::Comparison(Comparison { left, right: Against::Symbol(right) }));
    }
    if !number::signed_begins(i) && !i.starts_with('(') {
        return expected(i, &["a symbol", "a number"]);
    }
    let (rest, mut estimate) = estimate::estimate(part, i)?;
    let (rest, reason) = match &mut estimate.value.total {
        Some(total) => (rest, total.value.reason.take()),
        None => opt_reason(part, rest)?,
    };
    let right = Against::Estimate { estimate: Box::new(estimate), reason };
    ends(rest, Item::Comparison(Comparison { left, right }))
}

/// What stands behind the `=`: a reading where nothing but a unit and an uncertainty follows the
/// number, else a formula.
fn definition<'s>(part: &Part, context: &Context, head: Head, i: &'s str) -> Out<'s, Item> {
    let noted = part.noted();
    match estimate::recorded(part, i) {
        Ok((rest, recorded)) => reading(part, head, recorded, rest),
        Err(nom::Err::Error(_)) => {
            part.forget(noted);
            if context.in_heading { result_column(part, head, None, i) } else { result(part, head, i) }
        }
        Err(failure) => Err(failure),
    }
}

fn reading<'s>(part: &Part, head: Head, recorded: estimate::Recorded, i: &'s str) -> Out<'s, Item> {
    let estimate::Recorded { values, unit, total } = recorded;
    let (rest, remark) = if total.is_some() { (i, None) } else { opt_reason(part, i)? };
    let explained = remark.is_some() || total.as_ref().is_some_and(|total| total.value.reason.is_some());
    let at = skip(rest);
    if !at.is_empty() {
        return expected(at, if explained { &["`;`"] } else { &["`;`", "a reason in quotes"] });
    }
    Ok(("", Item::Reading(Reading { head, values, unit, total, remark, clauses: Vec::new() })))
}

/// `d / t in cm/s as full`.
fn result<'s>(part: &Part, head: Head, i: &'s str) -> Out<'s, Item> {
    let (rest, formula) = formula::formula(part, i)?;
    let at = skip(rest);
    if !at.is_empty() && keyword(at, "in").is_none() && keyword(at, "as").is_none() {
        return formula::stray(at, &["an operator", "`in`", "`as`", "`;`"]);
    }
    let (rest, (unit, style)) = view(part, at)?;
    match skip(rest) {
        "" => Ok(("", Item::Result(Derived { head, formula, unit, style, clauses: Vec::new() }))),
        more => expected(more, &["`;`"]),
    }
}

/// `[cm]` or `[N/m] = F / x`, from behind the name on; `start` is where the symbol stands.
fn column<'s>(part: &Part, context: &Context, head: Head, start: &str, i: &'s str) -> Out<'s, Item> {
    let (rest, unit) = match i.starts_with('[') {
        true => unit::bracketed(part, i).map(|(rest, unit)| (rest, Some(unit)))?,
        false => (i, None),
    };
    if !context.in_heading {
        part.note(part.span(start, rest), FaultKind::ColumnOutsideHeading);
    }
    let at = skip(rest);
    match at.strip_prefix('=') {
        Some(right) => result_column(part, head, unit, skip(right)),
        None if at.is_empty() => Ok(("", Item::Column(Column { head, unit, formula: None, clauses: Vec::new() }))),
        None => expected(at, &["`;`", "`=`"]),
    }
}

/// `F / x`, and in its place behind it the unit, where none stands in square brackets.
fn result_column<'s>(part: &Part, head: Head, unit: Option<Spanned<Spelling>>, i: &'s str) -> Out<'s, Item> {
    let (rest, formula) = formula::formula(part, i)?;
    let at = skip(rest);
    let (rest, unit) = match keyword(at, "in") {
        Some(next) if unit.is_none() => wanted_unit(part, skip(next)).map(|(rest, unit)| (rest, Some(unit)))?,
        _ => (at, unit),
    };
    match skip(rest) {
        "" => Ok(("", Item::Column(Column { head, unit, formula: Some(formula), clauses: Vec::new() }))),
        more => formula::stray(more, &["an operator", "`}`"]),
    }
}

type View = (Option<Spanned<Spelling>>, Option<Spanned<Style>>);

/// `in km/h as relative`, both optional, in this order.
fn view<'s>(part: &Part, i: &'s str) -> Out<'s, View> {
    let (rest, unit) = match keyword(i, "in") {
        Some(next) => wanted_unit(part, skip(next)).map(|(rest, unit)| (rest, Some(unit)))?,
        None => (i, None),
    };
    let at = skip(rest);
    let Some(next) = keyword(at, "as") else { return Ok((rest, (unit, None))) };
    let (after, style) = style(part, skip(next))?;
    if keyword(skip(after), "in").is_some() {
        return expected(skip(after), &["`in` before `as`"]);
    }
    if unit.is_some() && matches!(style.value, Style::Relative | Style::Name) {
        part.note(part.span(i, rest), FaultKind::StyleTakesNoUnit);
    }
    Ok((after, (unit, Some(style))))
}

fn wanted_unit<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Spelling>> {
    if token::peek_word(i) == "as" { expected(i, &["a unit"]) } else { unit::unit_or_one(part, i) }
}

fn style<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<Style>> {
    let word = token::peek_word(i);
    let rest = &i[word.len()..];
    match Style::ALL.iter().find(|(_, known)| *known == word) {
        Some((style, _)) => Ok((rest, part.at(*style, i, rest))),
        None => unknown_style(i, word),
    }
}

/// None of the styles, the likeliest first.
fn unknown_style<'s, T>(i: &'s str, word: &str) -> Out<'s, T> {
    const QUOTED: [&str; 9] =
        ["`plain`", "`full`", "`short`", "`value`", "`uncertainty`", "`relative`", "`interval`", "`name`", "`working`"];
    let meant = nearest(word, Style::ALL.iter().map(|(_, known)| *known));
    let mut wanted = QUOTED.to_vec();
    wanted.sort_by_key(|quoted| meant != Some(quoted.trim_matches('`')));
    expected(i, &wanted)
}
