//! Clauses, and the options of a graph.

use std::borrow::Cow;
use std::sync::Arc;

use super::ast::{Attached, Clause, GraphOption, Total};
use super::character::{closer, starts};
use super::limit::{opt_limit, opt_reason};
use super::recover::{Out, Part, expected, fail};
use super::token::{self, keyword, skip};
use super::{FaultKind, amount, estimate, number};
use crate::quantity::Kind;
use crate::quantity::nearest;
use crate::span::Spanned;

/// What a clause belongs to, which decides whether it may stand there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Reading,
    Repeated,
    Result,
    Column,
    ResultColumn,
    Graph,
    /// Mentions and all other forms that take no clause.
    Bare,
    /// The head could not be read: every clause gets the benefit of the doubt.
    Unknown,
}

/// A clause, to the end of its part.
pub(super) fn clause<'s>(part: &Part, form: Form, i: &'s str) -> Out<'s, Spanned<Clause>> {
    let word = token::name(i).map_or("", |(_, word)| word);
    let (rest, clause) = match word {
        "" if token::plus_minus(i).is_some() => total(part, i)?,
        "with" => with(part, &i[word.len()..])?,
        "exact" => exact(part, &i[word.len()..])?,
        "stated" => stated(part, &i[word.len()..])?,
        "without" => without(part, &i[word.len()..])?,
        "correlated" => return out_of_place(i, "correlated", "the list `correlations` of the front matter"),
        "" => return expected(i, &["a kind of uncertainty", "`±`", "`with`", "`exact`"]),
        _ => source(part, word, i)?,
    };
    let said = clause_word(&clause);
    if let Some(belongs) = out_of_form(&clause, form) {
        return out_of_place(i, said, belongs);
    }
    ends(part, rest, &clause)?;
    Ok((skip(rest), part.at(clause, i, rest)))
}

fn out_of_place<'s, T>(i: &'s str, clause: &str, belongs: &'static str) -> Out<'s, T> {
    let end = if i.starts_with('±') { '±'.len_utf8() } else { token::peek_word(i).len().max(1).min(i.len()) };
    fail(i, i.get(end..).unwrap_or(""), FaultKind::ClauseOutOfPlace { clause: clause.to_owned(), belongs })
}

fn clause_word(clause: &Clause) -> &str {
    match clause {
        Clause::Source { kind, .. } => &kind.value,
        Clause::Total(_) => "±",
        Clause::With(_) => "with",
        Clause::Exact(_) => "exact",
        Clause::Stated(_) => "stated",
        Clause::Without { .. } => "without",
    }
}

/// Where the clause belongs, if that is not here.
fn out_of_form(clause: &Clause, form: Form) -> Option<&'static str> {
    let stated = matches!(clause, Clause::Stated(_));
    let without = matches!(clause, Clause::Without { .. });
    let kind = match clause {
        Clause::Source { kind, .. } => Kind::known(&kind.value),
        _ => None,
    };
    match form {
        Form::Unknown => None,
        Form::Result => (!stated).then_some("a reading"),
        Form::Bare | Form::Graph | Form::ResultColumn => Some(if stated { "a result" } else { "a reading" }),
        _ if stated => Some("a result"),
        Form::Repeated => (kind == Some(Kind::Counting)).then_some("a reading of one count"),
        Form::Reading | Form::Column if without => Some("a repeated reading"),
        Form::Reading => (kind == Some(Kind::Repeat)).then_some("a repeated reading or a column"),
        Form::Column => None,
    }
}

/// Nothing may follow a clause.
fn ends<'s>(part: &Part, rest: &'s str, clause: &Clause) -> Out<'s, ()> {
    let at = skip(rest);
    if at.is_empty() {
        return Ok((at, ()));
    }
    let has_amount = matches!(clause, Clause::Source { amount: Some(_), .. } | Clause::Total(_));
    let takes_shape = has_amount && part.offset(at) > 0;
    match clause {
        _ if at.starts_with([')', ']']) => fail(at, &at[1..], FaultKind::LoneBracket),
        Clause::Source { reason: None, .. } | Clause::Total(Total { reason: None, .. }) if takes_shape => {
            expected(at, &["`;`", "a reason in quotes", "a shape"])
        }
        Clause::Source { reason: None, .. } | Clause::Exact(None) | Clause::Without { reason: None, .. } => {
            expected(at, &["`;`", "a reason in quotes"])
        }
        _ => expected(at, &["`;`"]),
    }
}

/// `reading 1/4 of 0.5 mm rectangular "both jaws seated"`.
fn source<'s>(part: &Part, word: &str, i: &'s str) -> Out<'s, Clause> {
    let after = &i[word.len()..];
    let (known, spelt) = Kind::known_word(word).unzip();
    let kind = part.at(spelt.map_or_else(|| Cow::Owned(word.to_owned()), Cow::Borrowed), i, after);
    if matches!(known, Some(Kind::Repeat | Kind::Counting)) {
        let (rest, reason) = opt_reason(part, after)?;
        return Ok((rest, Clause::Source { kind, amount: None, limit: None, reason }));
    }
    let at = skip(after);
    let signed = token::plus_minus(at).map_or(at, skip);
    if !amount::begins(signed) && (known.is_some() || signed.len() < at.len() || starts_otherwise(at)) {
        return expected(signed, &["an amount"]);
    }
    if !amount::begins(signed) {
        let (rest, reason) = opt_reason(part, after)?;
        return Ok((rest, Clause::Source { kind, amount: None, limit: None, reason }));
    }
    let (rest, amount) = amount::amount(part, signed)?;
    let (rest, limit) = opt_limit(part, rest)?;
    let (rest, reason) = opt_reason(part, rest)?;
    let amount = Some(Spanned::new(Arc::new(amount.value), amount.span));
    Ok((rest, Clause::Source { kind, amount, limit, reason }))
}

/// A word of the course may mean a kind without an amount; it then has a reason behind it, or nothing.
fn starts_otherwise(at: &str) -> bool {
    !at.is_empty() && !starts(at, |c| closer(c).is_some())
}

/// `± 0.5 mm "all in all"`.
fn total<'s>(part: &Part, i: &'s str) -> Out<'s, Clause> {
    let after = token::plus_minus(i).unwrap_or(i);
    let attached = Attached::Sign(part.span(i, after));
    let (rest, amount) = amount::amount(part, skip(after))?;
    let (rest, shape) = opt_limit(part, rest)?;
    let (rest, reason) = opt_reason(part, rest)?;
    Ok((rest, Clause::Total(Total { amount: Arc::new(amount.value), attached, shape, reason })))
}

/// `with stopwatch`.
fn with<'s>(part: &Part, i: &'s str) -> Out<'s, Clause> {
    let at = skip(i);
    match token::name(at) {
        Ok((rest, name)) => Ok((rest, Clause::With(part.at(name.to_owned(), at, rest)))),
        Err(_) => expected(at, &["the name of an instrument"]),
    }
}

fn exact<'s>(part: &Part, i: &'s str) -> Out<'s, Clause> {
    opt_reason(part, i).map(|(rest, reason)| (rest, Clause::Exact(reason)))
}

/// `stated 1.24 ± 0.04 m/s`.
fn stated<'s>(part: &Part, i: &'s str) -> Out<'s, Clause> {
    estimate::estimate(part, skip(i)).map(|(rest, estimate)| (rest, Clause::Stated(Box::new(estimate.value))))
}

/// `without 6.40 "knocked"`.
fn without<'s>(part: &Part, i: &'s str) -> Out<'s, Clause> {
    let at = skip(i);
    if !number::signed_begins(at) {
        return expected(at, &["the recorded value that is left out"]);
    }
    let (rest, value) = number::recorded(part, at)?;
    let (rest, reason) = opt_reason(part, rest)?;
    Ok((rest, Clause::Without { value, reason }))
}

/// An option of a graph, to the end of its part.
pub(super) fn graph_option<'s>(part: &Part, i: &'s str) -> Out<'s, Spanned<GraphOption>> {
    let word = token::peek_word(i);
    let after = &i[word.len()..];
    let (rest, option) = match word {
        "line" => line(after)?,
        "extreme" => (after, GraphOption::Extreme),
        "residuals" => (after, GraphOption::Residuals),
        "log" => log(skip(after))?,
        "title" => title(part, skip(after))?,
        _ => return unknown_option(i, word),
    };
    match skip(rest) {
        "" => Ok(("", part.at(option, i, rest))),
        more => expected(more, &["`;`"]),
    }
}

fn line(i: &str) -> Out<'_, GraphOption> {
    let Some(after) = keyword(skip(i), "through") else { return Ok((i, GraphOption::Line { through_origin: false })) };
    match skip(after).strip_prefix('0') {
        Some(rest) => Ok((rest, GraphOption::Line { through_origin: true })),
        None => expected(skip(after), &["`0`"]),
    }
}

fn log(i: &str) -> Out<'_, GraphOption> {
    match (keyword(i, "x"), keyword(i, "y")) {
        (Some(rest), _) => Ok((rest, GraphOption::LogX)),
        (None, Some(rest)) => Ok((rest, GraphOption::LogY)),
        (None, None) => expected(i, &["`x`", "`y`"]),
    }
}

fn title<'s>(part: &Part, i: &'s str) -> Out<'s, GraphOption> {
    match token::opt_prose(part, i)? {
        (rest, Some(title)) => Ok((rest, GraphOption::Title(title))),
        (_, None) => expected(i, &["a title in quotes"]),
    }
}

/// None of the options, the likeliest first.
fn unknown_option<'s, T>(i: &'s str, word: &str) -> Out<'s, T> {
    const OPTIONS: [&str; 5] = ["`line`", "`extreme`", "`residuals`", "`log`", "`title`"];
    let meant = nearest(word, OPTIONS.iter().map(|option| option.trim_matches('`')));
    let mut wanted = OPTIONS.to_vec();
    wanted.sort_by_key(|option| meant != Some(option.trim_matches('`')));
    expected(i, &wanted)
}
