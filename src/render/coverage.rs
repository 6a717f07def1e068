//! How well a standard uncertainty is known, how wide an interval it was expanded to, and what ties readings: in the
//! words of a rationale.

use super::View;
use super::figure::{self, Figure};
use super::piece::{Math, Piece};
use super::style::per_cent;
use super::{unit, words};
use crate::course::{Combine, Course, Coverage};
use crate::evaluate::Quantity;
use crate::evaluate::cause::Cause;
use crate::evaluate::coverage::whole;
use crate::evaluate::expanded::Expanded;
use crate::evaluate::sheet::Source;
use crate::evaluate::sheet::Tie;
use crate::quantity::{Decimal, Rounding, Shape, round};

/// Figures of a coverage factor.
const FIGURES: u32 = 3;
/// With as many degrees of freedom Student's t is the normal distribution to a tenth of a per cent, and they are not told.
const MANY: f64 = 1000.0;
/// Symbols that are listed one by one.
const MOST_LISTED: usize = 24;

/// Degrees of freedom cut to a tenth, from a hundred on to a whole number, as the coverage factor takes them; `None`
/// where they do not matter.
pub(super) fn dof(view: View<'_>, dof: f64) -> Option<Vec<Piece<'_>>> {
    let counts = view.course.combine == Combine::Standard && dof < MANY;
    counts.then(|| degrees(dof, view.course)).flatten().map(|degrees| vec![degrees])
}

fn degrees(dof: f64, course: &Course) -> Option<Piece<'_>> {
    let cut = match dof {
        ..1.0 => return Some(number(Figure::rough(dof, FIGURES)?, course)),
        1.0..100.0 => whole(10.0 * dof) / 10.0,
        _ => whole(dof),
    };
    Some(plain(Decimal::of_f64(cut)?.trimmed(), course))
}

/// `, degrees of freedom 5`, behind the word for a kind.
pub(super) fn behind(view: View<'_>, dof: f64) -> Vec<Piece<'_>> {
    self::dof(view, dof).map(|_| of_dof(dof, view.course)).unwrap_or_default()
}

fn of_dof(dof: f64, course: &Course) -> Vec<Piece<'_>> {
    let Some(degrees) = degrees(dof, course) else { return Vec::new() };
    let mut pieces = vec![Piece::text(", ")];
    pieces.extend(words::DOF.filled(course, [("dof", vec![degrees])]));
    pieces
}

/// `, level 95 %, degrees of freedom 5`: what kind of limit an amount is, and how well it is known.
pub(super) fn limit<'r>(source: &Source, course: &'r Course) -> Vec<Piece<'r>> {
    let word = words::of_shape(source.shape).of(course);
    let (parameter, behind) = match source.shape {
        Shape::Expanded(x) | Shape::Trapezoidal(x) => (Decimal::of_f64(x), ""),
        Shape::Level(level) => (Decimal::of_f64(level).map(|level| level.shifted(2)), "\u{a0}%"),
        Shape::Normal | Shape::Rectangular | Shape::Triangular | Shape::Arcsine => (None, ""),
    };
    let mut pieces = vec![Piece::text(format!(", {word}"))];
    if let Some(parameter) = parameter {
        pieces.extend([Piece::text(" "), plain(parameter.trimmed(), course), Piece::text(behind)]);
    }
    pieces.extend(source.dof.into_iter().flat_map(|dof| of_dof(dof, course)));
    pieces
}

/// `expanded uncertainty, level of confidence 95 %, k = 2.14`.
pub(super) fn expanded<'r>(view: View<'r>, expanded: &Expanded) -> Vec<Piece<'r>> {
    let factor = Figure::rough(expanded.factor, FIGURES).map(|figure| number(figure, view.course));
    let factor = ("factor", factor.into_iter().collect());
    match expanded.level.and_then(|level| level_of(view, level)) {
        Some(level) => words::EXPANDED_AT_LEVEL.filled(view.course, [("level", vec![level]), factor]),
        None => words::EXPANDED_UNCERTAINTY.filled(view.course, [factor]),
    }
}

/// That the rows of a result column show expanded uncertainties.
pub(super) fn of_rows(view: View<'_>) -> Option<Vec<Piece<'_>>> {
    match view.course.coverage.filter(|_| view.course.combine == Combine::Standard)? {
        Coverage::Level(level) => {
            let level = level_of(view, level).into_iter().collect();
            Some(words::EXPANDED_IN_ROWS_AT_LEVEL.filled(view.course, [("level", level)]))
        }
        Coverage::Factor(factor) => {
            let factor = Figure::rough(factor, FIGURES).map(|figure| number(figure, view.course));
            Some(words::EXPANDED_IN_ROWS.filled(view.course, [("factor", factor.into_iter().collect())]))
        }
    }
}

/// What a reading is tied to, and why.
pub(super) fn ties<'r>(view: View<'r>, quantity: &Quantity) -> Vec<(Vec<Piece<'r>>, Vec<Piece<'r>>)> {
    let Some((id, _)) = view.sheet.find(&quantity.symbol) else { return Vec::new() };
    let ties = view.sheet.ties.of(id).take(MOST_LISTED);
    let said = ties.filter_map(|tie| {
        let other = tie.of.iter().find(|&&of| of != id)?;
        let symbol = Math::Symbol(view.sheet.quantities.get(*other)?.symbol.clone());
        let value = plain(Decimal::of_f64(tie.coefficient)?.trimmed(), view.course);
        let parts = [("symbol", vec![Piece::Math(symbol)]), ("value", vec![value])];
        let reason = tie.reason.iter().map(|reason| Piece::text(&**reason)).collect();
        Some((words::TIED_TO.filled(view.course, parts), reason))
    });
    said.collect()
}

/// What several correlated variables make together: whose they are, and why.
pub(super) fn tied<'r>(view: View<'r>, cause: &Cause<'_>, several: &[&Quantity], stated: &[&Tie]) -> Vec<Piece<'r>> {
    let word = if stated.is_empty() { words::TIED_BY_ROWS } else { words::TIED };
    let mut pieces = word.filled(view.course, [("symbols", symbols(several))]);
    pieces.extend(cause.dof.into_iter().flat_map(|dof| behind(view, dof)));
    let reasons: Vec<&str> = stated.iter().filter_map(|tie| tie.reason.as_deref()).take(MOST_LISTED).collect();
    if !reasons.is_empty() {
        pieces.push(Piece::text(format!(" ({})", reasons.join("; "))));
    }
    pieces
}

/// `V, I, φ`
pub(super) fn symbols<'r>(several: &[&Quantity]) -> Vec<Piece<'r>> {
    let shown = several.iter().take(MOST_LISTED);
    let shown: Vec<_> = shown.map(|quantity| vec![Piece::Math(Math::Symbol(quantity.symbol.clone()))]).collect();
    let mut pieces = shown.join(&Piece::text(", "));
    pieces.extend((several.len() > MOST_LISTED).then(|| Piece::text(", …")));
    pieces
}

fn level_of(view: View<'_>, level: f64) -> Option<Piece<'static>> {
    let value = Decimal::of_f64(level)?.shifted(2).trimmed();
    let value = if value.last_place() > 0 { round::to_place(value, 0, Rounding::Nearest) } else { value };
    Some(Piece::Math(per_cent(view, Figure { value, uncertainty: None, power: None })))
}

fn number(figure: Figure, course: &Course) -> Piece<'static> {
    Piece::Math(figure.math(unit::NONE, course.decimal))
}

fn plain(decimal: Decimal, course: &Course) -> Piece<'static> {
    let whole = if decimal.last_place() > 0 { round::to_place(decimal, 0, Rounding::Nearest) } else { decimal };
    Piece::Math(Math::row(figure::number(whole, course.decimal)))
}
