//! One line of a rationale, and the amounts in it.

use crate::course::{Combine, Course};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Measure;
use crate::quantity::{Decimal, Exact, Rounding};
use crate::render::figure::Figure;
use crate::render::piece::{Math, Piece};
use crate::render::style::own_unit;
use crate::render::words::{self, Word};
use crate::render::{View, coverage, number};

/// Operands and recorded values that are listed one by one.
pub(super) const MOST_LISTED: usize = 24;
/// A smaller share of the whole is what rounding left.
pub(super) const LEAST_SHARE: f64 = 1e-12;
/// Figures of a contribution.
pub(super) const FIGURES: u32 = 3;

#[derive(Default)]
pub(super) struct Line<'r> {
    pub(super) source: Vec<Piece<'r>>,
    pub(super) amount: Vec<Piece<'r>>,
    pub(super) share: Vec<Piece<'r>>,
    /// The share as a number, for a picture.
    pub(super) part: Option<f64>,
    pub(super) reason: Vec<Piece<'r>>,
    pub(super) total: bool,
}

impl<'r> Line<'r> {
    pub(super) fn saying(word: Word, course: &'r Course) -> Self {
        Self { source: vec![word.piece(course)], ..Self::default() }
    }
}

/// An amount in the unit of the reading: all its digits where they end soon, else three figures.
pub(super) fn amount<'r>(exact: Option<Exact>, near: f64, quantity: &'r Quantity, view: View<'_>) -> Option<Math<'r>> {
    let whole = exact.and_then(Exact::decimal).map(Decimal::trimmed).filter(|decimal| decimal.figures() <= 6);
    let figure = match whole {
        Some(decimal) => Figure::exact(decimal, Rounding::Nearest),
        None => Figure::rough(near, FIGURES)?,
    };
    Some(figure.math(&own_unit(quantity).shown, view.course.decimal))
}

/// What the sources come to, before it is rounded for the report.
pub(super) fn total<'r>(view: View<'r>, quantity: &'r Quantity, exact: Option<Exact>) -> Option<Line<'r>> {
    total_line(view, quantity, quantity.measure?.uncertainty, exact)
}

/// The same of an uncertainty in SI.
pub(super) fn total_line<'r>(
    view: View<'r>,
    quantity: &'r Quantity,
    uncertainty: f64,
    exact: Option<Exact>,
) -> Option<Line<'r>> {
    let near = number::spread(uncertainty, own_unit(quantity));
    let amount = amount(exact, near, quantity, view)?;
    Some(Line { amount: vec![Piece::Math(amount)], total: true, ..Line::saying(total_word(view.course), view.course) })
}

const fn total_word(course: &Course) -> Word {
    match course.combine {
        Combine::Sum => words::TOTAL_SUM,
        Combine::Quadrature => words::TOTAL_QUADRATURE,
        Combine::Standard => words::TOTAL_STANDARD,
    }
}

/// The effective degrees of freedom, where they are limited and not those of one source.
pub(super) fn dof<'r>(view: View<'r>, measure: &Measure, several: bool) -> Option<Line<'r>> {
    let amount = coverage::dof(view, view.sheet.dof(measure)).filter(|_| several)?;
    Some(Line { amount, total: true, ..Line::saying(words::EFFECTIVE_DOF, view.course) })
}
