//! Correlations, as the list `correlations` of the front matter holds them.

use super::ast::Correlation;
use super::limit::opt_reason;
use super::number;
use super::recover::{Out, Part, expected};
use super::token::{self, keyword, skip};

/// `correlated a b 0.8 "same scale"`.
pub(super) fn correlation<'s>(part: &Part, i: &'s str) -> Out<'s, Correlation> {
    let Some(after) = keyword(i, "correlated") else { return expected(i, &["`correlated`"]) };
    let (after, first) = symbol(part, skip(after))?;
    let (after, second) = symbol(part, skip(after))?;
    let at = skip(after);
    if !number::signed_begins(at) {
        return expected(at, &["a correlation coefficient from −1 to 1"]);
    }
    let (after, coefficient) = number::recorded(part, at)?;
    let (rest, reason) = opt_reason(part, after)?;
    match skip(rest) {
        "" => Ok(("", Correlation { symbols: [first, second], coefficient, reason })),
        more => expected(more, &["a reason in quotes"]),
    }
}

fn symbol<'s>(part: &Part, i: &'s str) -> Out<'s, super::Spanned<super::ast::Symbol>> {
    match token::symbol(part, i) {
        Err(nom::Err::Error(_)) => expected(i, &["the symbol of a reading"]),
        read => read,
    }
}
