//! What every source contributes to a result, the largest first.

use std::collections::BTreeMap;

use super::line::{FIGURES, LEAST_SHARE, Line, MOST_LISTED, amount, dof, total};
use super::source::{kind, kind_word};
use crate::course::{Combine, Fit};
use crate::evaluate::Quantity;
use crate::evaluate::cause::{Cause, Of, OfLine};
use crate::evaluate::propagate::Contribution;
use crate::quantity::{Decimal, Rounding, Unit, round};
use crate::render::figure::Figure;
use crate::render::piece::{Math, Piece, Sign};
use crate::render::style::{own_unit, per_cent};
use crate::render::words::{self, Word};
use crate::render::{View, coverage, number};

/// The sources of a result, largest first.
pub(super) fn result<'r>(view: View<'r>, quantity: &'r Quantity, rows: usize, steps: usize) -> Vec<Line<'r>> {
    let Some(node) = quantity.measure.map(|measure| measure.node) else { return Vec::new() };
    let Some(contributions) = view.sheet.propagation.contributions(node, steps) else {
        let mut lines = vec![too_many(view, quantity)];
        lines.extend(expanded(view, quantity, true));
        return lines;
    };
    let parts = gathered(view, &contributions);
    if parts.is_empty() {
        return vec![Line::saying(words::NOTHING_LEFT, view.course)];
    }
    // A line for one other would take the room of that one.
    let shown = if parts.len().saturating_sub(1) <= rows { parts.len() } else { rows };
    let (shown, rest) = parts.split_at(shown);
    // One power of ten for all of them, that of the largest, so that they can be compared at a glance.
    let power = parts.first().and_then(|part| in_figures(part.contribution, quantity)?.power);
    let mut lines: Vec<Line<'_>> = shown.iter().map(|part| contribution(view, quantity, part, power)).collect();
    lines.extend((!rest.is_empty()).then(|| others(view, rest)));
    lines.extend(expanded(view, quantity, parts.len() > 1));
    lines
}

/// What the contributions come to, and what the report shows of that.
fn expanded<'r>(view: View<'r>, quantity: &'r Quantity, several: bool) -> Vec<Line<'r>> {
    let Some(measure) = quantity.measure else { return Vec::new() };
    let expanded = view.sheet.expanded(&measure);
    let several = several || expanded.is_some();
    let mut lines: Vec<Line<'_>> = several.then(|| total(view, quantity, None)).flatten().into_iter().collect();
    lines.extend(dof(view, &measure, several));
    lines.extend(expanded.and_then(|expanded| {
        let near = number::spread(expanded.uncertainty, own_unit(quantity));
        let amount = vec![Piece::Math(amount(None, near, quantity, view)?)];
        Some(Line { source: coverage::expanded(view, &expanded), amount, total: true, ..Line::default() })
    }));
    lines
}

/// The contributions that one clause of one reading makes, as a single part.
struct Gathered<'s> {
    cause: Option<Cause<'s>>,
    contribution: f64,
    share: f64,
}

/// An instrument read at two ends brings two sources of one kind in by one clause, a column the same one in every
/// row: they stand in one line. What the arithmetic of doubles leaves of a sum that cancels is no contribution.
fn gathered<'s>(view: View<'s>, contributions: &[Contribution]) -> Vec<Gathered<'s>> {
    let mut places: BTreeMap<_, usize> = BTreeMap::new();
    let mut parts: Vec<Gathered<'_>> = Vec::new();
    for found in contributions.iter().filter(|found| found.share > LEAST_SHARE) {
        let cause = view.sheet.cause_of(found);
        let key = cause.as_ref().map(|cause| {
            let stated = cause.source.map(|source| source.span);
            // What no clause states is told by whose it is.
            let whose = cause.source.is_none().then(|| cause.of.words());
            (stated, whose, cause.kind, cause.relative)
        });
        let known = key.as_ref().and_then(|key| places.get(key)).copied();
        match known.and_then(|place| parts.get_mut(place)) {
            Some(part) => {
                part.share += found.share;
                part.contribution = match view.course.combine {
                    Combine::Sum => part.contribution + found.contribution,
                    Combine::Quadrature | Combine::Standard => libm::hypot(part.contribution, found.contribution),
                };
            }
            None => {
                places.extend(key.map(|key| (key, parts.len())));
                parts.push(Gathered { cause, contribution: found.contribution, share: found.share });
            }
        }
    }
    parts.sort_by(|a, b| b.share.total_cmp(&a.share));
    parts
}

/// An SI contribution in the unit of the quantity.
fn in_figures(contribution: f64, quantity: &Quantity) -> Option<Figure> {
    Figure::rough(number::spread(contribution, own_unit(quantity)), FIGURES)
}

fn contribution<'r>(view: View<'r>, quantity: &'r Quantity, part: &Gathered<'r>, power: Option<i32>) -> Line<'r> {
    let figure = in_figures(part.contribution, quantity).map(|figure| figure.with_power(power));
    let amount = figure.map(|figure| figure.math(&own_unit(quantity).shown, view.course.decimal));
    let source = part.cause.as_ref().map(|cause| self::cause(view, cause)).unwrap_or_default();
    let amount = amount.into_iter().map(Piece::Math).collect();
    Line { source, amount, share: vec![share(view, part.share)], part: Some(part.share), ..Line::default() }
}

/// Whose error it is, and what it comes from.
fn cause<'r>(view: View<'r>, cause: &Cause<'r>) -> Vec<Piece<'r>> {
    let kind = match cause.source {
        Some(source) => kind(source, view.course),
        None if matches!(cause.of, Of::Fit(..)) => {
            let scatter = view.course.fit == Fit::Scatter;
            vec![if scatter { words::ABOUT_LINE } else { words::OF_ITS_POINTS }.piece(view.course)]
        }
        None if matches!(cause.of, Of::Row(..)) => vec![words::IN_ROWS.piece(view.course)],
        None => {
            let mut kind = vec![kind_word(cause.kind).piece(view.course)];
            kind.extend(cause.dof.into_iter().flat_map(|dof| coverage::behind(view, dof)));
            kind
        }
    };
    // An error that all readings of an instrument share is not that of one reading.
    if cause.shared {
        let word = if cause.relative { words::SHARED_SHARE } else { words::SHARED };
        return word.filled(view.course, [("kind", kind)]);
    }
    let symbol = match &cause.of {
        Of::Quantity(quantity) | Of::Row(quantity, _) => vec![Piece::Math(Math::Symbol(quantity.symbol.clone()))],
        Of::Fit(lines) => {
            let lines = lines.iter().map(|line| vec![Piece::Math(self::line(view, line))]);
            lines.collect::<Vec<_>>().join(&Piece::text(", "))
        }
        Of::Scatter(several) => coverage::symbols(several),
        Of::Tied(several, stated) => return coverage::tied(view, cause, several, stated),
    };
    words::SOURCE_OF.filled(view.course, [("symbol", symbol), ("kind", kind)])
}

/// `F against x through 0`.
fn line(view: View<'_>, line: &OfLine<'_>) -> Math<'static> {
    let symbol = |quantity: &Quantity| Math::Symbol(quantity.symbol.clone());
    let word = |word: Word| Math::Word(format!(" {} ", word.of(view.course)).into());
    let mut row = vec![symbol(line.y), word(words::AGAINST), symbol(line.x)];
    if line.through_origin {
        row.extend([word(words::THROUGH), Math::Digits(Decimal::ZERO, view.course.decimal)]);
    }
    Math::row(row)
}

/// A share to a tenth of a per cent.
fn share(view: View<'_>, share: f64) -> Piece<'static> {
    let percent = Decimal::of_f64(100.0 * share).unwrap_or(Decimal::ZERO);
    let value = round::to_place(percent, -1, Rounding::Nearest);
    if value.is_zero() && share > 0.0 {
        let least = per_cent(view, Figure { value: Decimal::step(-1), uncertainty: None, power: None });
        return Piece::Math(Math::row(vec![Math::Word("< ".into()), least]));
    }
    Piece::Math(per_cent(view, Figure { value, uncertainty: None, power: None }))
}

fn others<'r>(view: View<'r>, rest: &[Gathered<'_>]) -> Line<'r> {
    let count = vec![Piece::text(rest.len().to_string())];
    let whole = rest.iter().map(|part| part.share).sum();
    Line {
        source: words::OTHERS.filled(view.course, [("count", count)]),
        share: vec![share(view, whole)],
        ..Line::default()
    }
}

/// Where the sources are too many to be looked for: what the formula uses.
fn too_many<'r>(view: View<'r>, quantity: &Quantity) -> Line<'r> {
    let mut row = Vec::new();
    for operand in quantity.operands.iter().filter_map(|&id| view.sheet.quantities.get(id)).take(MOST_LISTED) {
        row.extend((!row.is_empty()).then_some(Math::Sign(Sign::Comma)));
        row.push(Math::Symbol(operand.symbol.clone()));
    }
    if quantity.operands.len() > MOST_LISTED {
        row.push(Math::Word(", …".into()));
    }
    let operands = vec![Piece::Math(Math::row(row))];
    Line { source: words::TOO_MANY.filled(view.course, [("operands", operands)]), ..Line::default() }
}

/// What was computed, where the report shows the author's own figure.
pub(super) fn beside_stated<'r>(view: View<'r>, quantity: &'r Quantity) -> Option<Line<'r>> {
    let unit: &Unit = own_unit(quantity);
    let computed = number::computed(view, quantity, unit)?.math(&unit.shown, view.course.decimal);
    let source = words::STATED.filled(view.course, [("computed", vec![Piece::Math(computed)])]);
    Some(Line { source, ..Line::default() })
}
