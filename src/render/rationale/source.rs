//! A source of uncertainty as its author states it: its kind, its amount, its reason.

use super::line::{LEAST_SHARE, Line, amount};
use crate::course::{Combine, Course, Repeat};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Origin, Repeated, Source};
use crate::parse::ast::{Amount, Clause, Item};
use crate::quantity::Kind;
use crate::render::piece::{Math, Piece, Sign};
use crate::render::words::{self, Word};
use crate::render::{View, amount, coverage, figure, unit};
use crate::span::Spanned;

/// The clauses of a reading, or of a column's heading.
pub(super) fn clauses<'r>(view: View<'r>, quantity: &Quantity) -> &'r [Spanned<Clause>] {
    match view.items.get(quantity.item).and_then(|parsed| parsed.item.as_ref()) {
        Some(Item::Reading(reading)) => &reading.clauses,
        Some(Item::Column(column)) => &column.clauses,
        _ => &[],
    }
}

pub(super) fn exact<'r>(view: View<'r>, quantity: &Quantity) -> Line<'r> {
    let reason = clauses(view, quantity).iter().find_map(|clause| match &clause.value {
        Clause::Exact(reason) => reason.as_ref(),
        _ => None,
    });
    let reason = reason.map(|reason| Piece::text(&*reason.value));
    Line { reason: reason.into_iter().collect(), ..Line::saying(words::EXACT, view.course) }
}

/// One line a source, in the order of the report.
pub(super) fn sources<'r>(view: View<'r>, quantity: &'r Quantity) -> Vec<Line<'r>> {
    if quantity.sources.is_empty() {
        return vec![Line::saying(words::NO_SOURCE, view.course)];
    }
    let line = |source: &'r Source| Line {
        source: kind(source, view.course),
        amount: worked_out(source, quantity, view).map(Piece::Math).into_iter().collect(),
        reason: reason(source, quantity, view),
        ..Line::default()
    };
    quantity.sources.iter().map(line).collect()
}

/// The kind in the course's word, with the instrument that brought it in.
pub(super) fn kind<'r>(source: &'r Source, course: &'r Course) -> Vec<Piece<'r>> {
    let word = match (&source.word, &source.kind) {
        (Some(word), _) | (None, Kind::Named(word)) => word,
        (None, kind) => kind_word(kind).of(course),
    };
    let mut word = vec![Piece::text(word)];
    // What kind of limit it is, and how well it is known, matters to standard uncertainties only.
    if course.combine == Combine::Standard {
        word.extend(coverage::limit(source, course));
    }
    match &source.instrument {
        None => word,
        Some(name) => {
            words::WITH_INSTRUMENT.filled(course, [("kind", word), ("instrument", vec![Piece::text(&**name)])])
        }
    }
}

pub(super) const fn kind_word(kind: &Kind) -> Word {
    match kind {
        Kind::Reading => words::READING,
        Kind::Definition => words::DEFINITION,
        Kind::Instrument => words::INSTRUMENT,
        Kind::Reaction => words::REACTION,
        Kind::Repeat => words::REPEAT,
        Kind::Counting => words::COUNTING,
        Kind::Plain | Kind::Named(_) => words::PLAIN_KIND,
    }
}

/// `2 × 1/4 × 1 mm = 0.5 mm`: the arithmetic as it was written, then the amount in the unit of the
/// reading, where that says more.
pub(super) fn worked_out<'r>(source: &'r Source, quantity: &'r Quantity, view: View<'r>) -> Option<Math<'r>> {
    let amount = two_errors(source, quantity, view).or_else(|| amount(source.exact, source.amount, quantity, view))?;
    let written = match (&source.written, &source.kind, &quantity.origin) {
        (Some(written), ..) if !says_the_same(written, quantity) => amount::math(written, view.course),
        (None, Kind::Counting, Origin::Reading(record)) => {
            let count = figure::number(record.value.value.decimal, view.course.decimal);
            Some(Math::Root(2, Box::new(Math::row(count))))
        }
        _ => None,
    };
    Some(match written {
        Some(written) => Math::row(vec![written, Math::Sign(Sign::Equals), amount]),
        None => amount,
    })
}

/// `0.0113 V + 0.002 V`: an instrument's two errors, where they do not simply add up.
fn two_errors<'r>(source: &'r Source, quantity: &'r Quantity, view: View<'r>) -> Option<Math<'r>> {
    let [_, absolute] = &source.parts[..] else { return None };
    if view.course.combine == Combine::Sum {
        return None;
    }
    let (relative, absolute) = (source.amount - absolute.amount, absolute.amount);
    let plus = Math::Sign(Sign::Plus);
    Some(Math::row(vec![amount(None, relative, quantity, view)?, plus, amount(None, absolute, quantity, view)?]))
}

fn says_the_same(written: &Amount, quantity: &Quantity) -> bool {
    let unit = amount::plain_unit(written).unwrap_or(unit::NONE.into());
    amount::is_plain(written) && (*unit == quantity.unit.shown || *unit == *unit::NONE)
}

pub(super) fn reason<'r>(source: &'r Source, quantity: &'r Quantity, view: View<'r>) -> Vec<Piece<'r>> {
    let mut pieces: Vec<Piece<'_>> = source.reason.iter().map(|reason| Piece::text(&**reason)).collect();
    let scatter = match (&source.kind, &quantity.origin) {
        (Kind::Repeat, Origin::Repeated(repeated)) => scatter(repeated, quantity, view),
        (Kind::Repeat, Origin::Column(_)) => vec![words::SCATTER_STANDARD_DEVIATION.piece(view.course)],
        _ => return pieces,
    };
    if !pieces.is_empty() {
        pieces.push(Piece::text("; "));
    }
    pieces.extend(scatter);
    pieces
}

/// How the scatter was taken, with its formula.
fn scatter<'r>(repeated: &Repeated, quantity: &'r Quantity, view: View<'r>) -> Vec<Piece<'r>> {
    if repeated.deviation == Some(0.0) {
        return vec![words::ALIKE.piece(view.course)];
    }
    let word = match (view.course.combine, view.course.repeat) {
        (Combine::Standard, _) | (_, Repeat::StandardError) => words::SCATTER_STANDARD_ERROR,
        (_, Repeat::StandardDeviation) => words::SCATTER_STANDARD_DEVIATION,
        (_, Repeat::HalfRange) => words::SCATTER_HALF_RANGE,
    };
    let deviation = repeated.deviation.and_then(|deviation| amount(None, deviation, quantity, view));
    let deviation = deviation.into_iter().map(Piece::Math).collect();
    word.filled(view.course, [("deviation", deviation), ("count", vec![Piece::text(counted(repeated).to_string())])])
}

fn counted(repeated: &Repeated) -> usize {
    repeated.left_out.iter().filter(|reason| reason.is_none()).count()
}

/// Does a line of what the sources come to say anything new? Under `standard` it does of one whose amount is a limit.
pub(super) fn is_totalled(view: View<'_>, quantity: &Quantity, uncertainty: f64) -> bool {
    let [source] = quantity.sources.as_slice() else { return quantity.sources.len() > 1 };
    let amount = source.amount * quantity.unit.factor();
    view.course.combine == Combine::Standard && libm::fabs(amount - uncertainty) > LEAST_SHARE * amount
}
