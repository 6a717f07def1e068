//! How well lines fit their points, and how well the results of a weighted mean agree: said beneath the sources of
//! what was worked out from them.

use super::View;
use super::figure::{self, Figure};
use super::number;
use super::piece::{Math, Piece};
use super::style::formula_of;
use super::unit;
use super::words;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Asked, Fitted};
use crate::evaluate::statistics::WeightedMean;
use crate::quantity::{Decimal, Rounding, round};

/// Figures of what describes a scatter.
const FIGURES: u32 = 3;

/// More lines of one formula than anybody wants to read of.
const MOST: usize = 4;

/// One saying each: of the lines in a quantity's formula that are not among `said` already, then of its weighted
/// means.
pub(super) fn said<'r>(view: View<'r>, quantity: &Quantity, said: &mut Vec<Asked>) -> Vec<Vec<Piece<'r>>> {
    let Some(formula) = formula_of(view, quantity) else { return Vec::new() };
    let mut sayings = Vec::new();
    for (_, asked) in view.sheet.lines_in(formula).into_iter().take(MOST) {
        if !said.contains(&asked)
            && let Some(saying) = line(view, asked)
        {
            said.push(asked);
            sayings.push(saying);
        }
    }
    let means = quantity.measure.map(|measure| view.sheet.weighted_in(measure.node)).into_iter().flatten();
    sayings.extend(means.take(MOST).map(|weighted| mean(view, &weighted.mean)));
    sayings
}

/// `line F against x: least squares, 10 points; degrees of freedom 8; …`
fn line(view: View<'_>, asked: Asked) -> Option<Vec<Piece<'_>>> {
    let fitted = view.sheet.lines.get(&asked)?;
    let (y, x) = (view.sheet.quantities.get(asked.0)?, view.sheet.quantities.get(asked.1)?);
    let symbol = |quantity: &Quantity| vec![Piece::Math(Math::Symbol(quantity.symbol.clone()))];
    let head = if asked.2 { words::LINE_THROUGH_ORIGIN } else { words::LINE };
    let method = vec![words::method(fitted.line.options.method).piece(view.course)];
    let count = vec![Piece::text(fitted.line.points.to_string())];
    let parts = [("y", symbol(y)), ("x", symbol(x)), ("method", method), ("count", count)];
    let mut pieces = head.filled(view.course, parts);
    for figure in figures(view, fitted, y, asked.2) {
        pieces.push(Piece::text("; "));
        pieces.extend(figure);
    }
    Some(pieces)
}

/// What there is to say of the line's quality.
fn figures<'r>(
    view: View<'r>,
    Fitted { line, .. }: &Fitted,
    y: &'r Quantity,
    through_origin: bool,
) -> Vec<Vec<Piece<'r>>> {
    if line.dof == 0 {
        return vec![vec![words::EXACT_LINE.piece(view.course)]];
    }
    let mut figures = vec![words::DOF.filled(view.course, [("dof", vec![Piece::text(line.dof.to_string())])])];
    let deviation = line.residual_sd.and_then(|sd| Figure::rough(number::spread(sd, &y.unit), FIGURES));
    let deviation = deviation.map(|figure| vec![Piece::Math(figure.math(&y.unit.shown, view.course.decimal))]);
    figures.extend(deviation.map(|figure| words::RESIDUAL_SD.filled(view.course, [("deviation", figure)])));
    let reduced = line.reduced_chi_squared().and_then(|reduced| plain(view, reduced));
    figures.extend(reduced.map(|figure| words::REDUCED_CHI_SQUARED.filled(view.course, [("value", vec![figure])])));
    let r_squared = line.r_squared.and_then(|value| near_one(view, value));
    figures.extend(r_squared.map(|figure| words::R_SQUARED.filled(view.course, [("value", vec![figure])])));
    let correlation = line.uncertainty.filter(|_| !through_origin).map(|uncertainty| uncertainty.correlation);
    let correlation = correlation.and_then(|value| near_one(view, value));
    figures.extend(correlation.map(|figure| words::CORRELATION.filled(view.course, [("value", vec![figure])])));
    figures
}

/// A pure number to a few figures.
fn plain(view: View<'_>, value: f64) -> Option<Piece<'_>> {
    Some(Piece::Math(Figure::rough(value, FIGURES)?.math(unit::NONE, view.course.decimal)))
}

/// A number between −1 and 1, to as many places as tell two figures of what it lacks to one: 0.99934, −0.91.
fn near_one(view: View<'_>, value: f64) -> Option<Piece<'_>> {
    let (value, one) = (Decimal::of_f64(value)?, 1.0 - value.abs());
    let lacks = Decimal::of_f64(one).filter(|lacks| !lacks.is_zero());
    let place = lacks.map_or(0, |lacks| (lacks.first_place() - 1).clamp(-9, -2));
    let shown = round::to_place(value, place, Rounding::Nearest);
    Some(Piece::Math(Math::row(figure::number(shown, view.course.decimal))))
}

/// `χ² = 4.1 with 2 degrees of freedom`, and the Birge ratio where it exceeds one.
fn mean<'r>(view: View<'r>, mean: &WeightedMean) -> Vec<Piece<'r>> {
    let count = vec![Piece::text((mean.dof + 1).to_string())];
    let dof = vec![Piece::text(mean.dof.to_string())];
    let chi_squared = plain(view, mean.chi_squared).into_iter().collect();
    let parts = [("count", count), ("chi_squared", chi_squared), ("dof", dof)];
    let mut pieces = words::WEIGHTED_MEAN.filled(view.course, parts);
    if let Some(ratio) = mean.birge_ratio().filter(|&ratio| ratio > 1.0).and_then(|ratio| plain(view, ratio)) {
        pieces.push(Piece::text("; "));
        pieces.extend(words::BIRGE_RATIO.filled(view.course, [("ratio", vec![ratio])]));
    }
    pieces
}
