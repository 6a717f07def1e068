//! Why an uncertainty is what it is: of each reading the sources as its author states them, of each
//! result what every source contributes.

use std::collections::BTreeMap;

use super::View;
use super::figure::{self, Figure};
use super::number;
use super::picture::Picture;
use super::piece::{Column, Group, Math, Piece, Row, Sign, Table};
use super::style::{equation, formula_of, long_formula, own_unit, per_cent, printed};
use super::unit;
use super::words::{self, Word};
use super::{amount, column, coverage, quality};
use crate::course::{Combine, Course, Fit, Repeat};
use crate::evaluate::cause::{Cause, Of, OfLine};
use crate::evaluate::propagate::Contribution;
use crate::evaluate::sheet::Asked;
use crate::evaluate::sheet::{self, Origin, Record, Repeated, Source};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Clause, Item, Reading};
use crate::quantity::{Decimal, Exact, Kind, Rounding, Unit, round};
use crate::span::Spanned;

/// Rows of a result before the rest is added up in one line.
const MOST_ROWS: usize = 12;
/// How far the search for the sources of one result may go, so that all of them together cost no more
/// than so much a result.
const MOST_STEPS: usize = 500;
/// Operands and recorded values that are listed one by one.
const MOST_LISTED: usize = 24;
/// Figures of a contribution.
const FIGURES: u32 = 3;
/// A smaller share of the whole is what rounding left.
const LEAST_SHARE: f64 = 1e-12;

/// The rationale of several quantities; `None` of none.
pub(super) fn table(view: View<'_>, quantities: impl Iterator<Item = QuantityId>) -> Option<Table<'_>> {
    let mut said = Vec::new();
    let sections = quantities.filter_map(|id| section(view, id, (MOST_ROWS, MOST_STEPS), &mut said));
    let sections: Vec<Section<'_>> = sections.collect();
    (!sections.is_empty()).then(|| set_out(view.course, sections))
}

/// The rationale of one quantity with every row.
pub(super) fn whole(view: View<'_>, id: QuantityId) -> Table<'_> {
    let mut section = section(view, id, (usize::MAX, 10 * MOST_STEPS), &mut Vec::new());
    for line in section.iter_mut().flat_map(|section| &mut section.lines) {
        line.share.splice(0..0, line.part.map(|part| Piece::Picture(Picture::Share(part))));
    }
    set_out(view.course, section.into_iter().collect())
}

/// The rows of one quantity, before it is known which columns the table has.
struct Section<'r> {
    title: Vec<Piece<'r>>,
    lines: Vec<Line<'r>>,
    is_result: bool,
}

#[derive(Default)]
struct Line<'r> {
    source: Vec<Piece<'r>>,
    amount: Vec<Piece<'r>>,
    share: Vec<Piece<'r>>,
    /// The share as a number, for a picture.
    part: Option<f64>,
    reason: Vec<Piece<'r>>,
    total: bool,
}

impl<'r> Line<'r> {
    fn saying(word: Word, course: &'r Course) -> Self {
        Self { source: vec![word.piece(course)], ..Self::default() }
    }
}

/// A table has the columns that its sections need: shares belong to results, reasons to readings.
fn set_out<'r>(course: &'r Course, sections: Vec<Section<'r>>) -> Table<'r> {
    let shares = sections.iter().any(|section| section.is_result);
    let reasons = sections.iter().any(|section| !section.is_result);
    let amount = if reasons { words::AMOUNT } else { words::CONTRIBUTION };
    let columns = [
        (true, words::SOURCE, false),
        (true, amount, true),
        (shares, words::SHARE, true),
        (reasons, words::REASON, false),
    ];
    let groups = sections.into_iter().map(|section| Group {
        title: section.title,
        rows: Box::new(section.lines.into_iter().map(move |line| row(line, shares, reasons))),
    });
    Table {
        caption: words::RATIONALE.of(course).into(),
        columns: columns
            .into_iter()
            .filter(|&(there, ..)| there)
            .map(|(_, word, numeric)| Column { heading: word.of(course).into(), numeric })
            .collect(),
        groups: groups.collect(),
    }
}

fn row(line: Line<'_>, shares: bool, reasons: bool) -> Row<'_> {
    let Line { source, amount, share, reason, total, .. } = line;
    let cells = [Some(source), Some(amount), shares.then_some(share), reasons.then_some(reason)];
    Row { cells: cells.into_iter().flatten().collect(), total }
}

/// `said`: the lines whose quality the table tells already.
fn section<'r>(
    view: View<'r>,
    id: QuantityId,
    (rows, steps): (usize, usize),
    said: &mut Vec<Asked>,
) -> Option<Section<'r>> {
    let quantity = view.sheet.quantities.get(id)?;
    if let Some((quantity, column)) = column::column(view, id) {
        return Some(of_column(view, quantity, column));
    }
    let title = title(view, id, quantity)?;
    let (lines, is_result) = match &quantity.origin {
        Origin::Reading(record) => (reading(view, quantity, record), false),
        Origin::Repeated(repeated) => (self::repeated(view, quantity, repeated), false),
        Origin::Result { stated } => {
            let mut lines = result(view, quantity, rows, steps);
            let sayings = quality::said(view, quantity, said);
            lines.extend(sayings.into_iter().map(|source| Line { source, ..Line::default() }));
            lines.extend(stated.is_some().then(|| beside_stated(view, quantity)).flatten());
            (lines, true)
        }
        // Of a column that failed there is nothing to say.
        Origin::Column(_) | Origin::Constant(_) | Origin::Unread => return None,
    };
    Some(Section { title, lines, is_result })
}

/// A column's sources as its heading states them, which hold for every row; of a result column its formula.
fn of_column<'r>(view: View<'r>, quantity: &'r Quantity, column: &sheet::Column) -> Section<'r> {
    let mut title: Vec<Piece<'_>> = quantity.name.iter().map(|name| Piece::text(format!("{name} "))).collect();
    title.push(Piece::Math(column::over_unit(quantity)));
    let formula = formula_of(view, quantity);
    let formula = formula.map(|formula| printed(view, formula).unwrap_or_else(|| long_formula(view, formula)));
    title.extend(
        formula.into_iter().flat_map(|formula| [Piece::text(": "), Piece::Math(equation(&quantity.symbol, [formula]))]),
    );
    let lines = match column.result {
        true => coverage::of_rows(view).into_iter().map(|source| Line { source, ..Line::default() }).collect(),
        false => of_rows(view, quantity, column),
    };
    Section { title, lines, is_result: false }
}

/// What the rows of a column of readings owe their uncertainty to.
fn of_rows<'r>(view: View<'r>, quantity: &'r Quantity, column: &sheet::Column) -> Vec<Line<'r>> {
    if quantity.exact {
        return vec![exact(view, quantity)];
    }
    if quantity.sources.is_empty() {
        return vec![Line::saying(words::NO_SOURCE, view.course)];
    }
    let same = column::same_uncertainty(column);
    if clauses(view, quantity).is_empty() {
        return vec![Line::saying(words::IN_ROWS, view.course)];
    }
    let line = |source: &'r Source| Line {
        source: kind(source, view.course),
        amount: in_rows(source, quantity, column, same.is_some(), view).map(Piece::Math).into_iter().collect(),
        reason: reason(source, quantity, view),
        ..Line::default()
    };
    let mut lines: Vec<Line<'_>> = quantity.sources.iter().map(line).collect();
    let total = same.filter(|&total| is_totalled(view, quantity, total));
    lines.extend(total.and_then(|total| total_line(view, quantity, total, None)));
    lines
}

/// The amount of a source in every row of a column: as it is written, and how much that comes to where it is the
/// same in all of them.
fn in_rows<'r>(
    source: &'r Source,
    quantity: &'r Quantity,
    column: &sheet::Column,
    same: bool,
    view: View<'r>,
) -> Option<Math<'r>> {
    if let (Kind::Repeat, Some(repeat)) = (&source.kind, &column.repeat) {
        return amount(None, number::spread(repeat.deviation, &quantity.unit), quantity, view);
    }
    match &source.written {
        Some(written) if !same && amount::varies(written) => amount::math(written, view.course),
        None if !same && source.kind == Kind::Counting => {
            Some(Math::Root(2, Box::new(Math::Symbol(quantity.symbol.clone()))))
        }
        None if !same => None,
        _ => worked_out(source, quantity, view),
    }
}

/// `length: L = 71.5 ± 1.5 mm`; of a result with its formula.
fn title<'r>(view: View<'r>, id: QuantityId, quantity: &'r Quantity) -> Option<Vec<Piece<'r>>> {
    let unit = own_unit(quantity);
    let figure = number::figure(view, id, Some(unit))?.math(&unit.shown, view.course.decimal);
    let formula = formula_of(view, quantity);
    let formula = formula.map(|formula| printed(view, formula).unwrap_or_else(|| long_formula(view, formula)));
    let mut pieces: Vec<Piece<'_>> = quantity.name.iter().map(|name| Piece::text([name, ": "].concat())).collect();
    pieces.push(Piece::Math(equation(&quantity.symbol, formula.into_iter().chain([figure]))));
    let remark = item(view, quantity).and_then(|reading| reading.remark.as_ref());
    pieces.extend(remark.map(|remark| Piece::text(format!(" ({})", remark.value))));
    Some(pieces)
}

fn item<'r>(view: View<'r>, quantity: &Quantity) -> Option<&'r Reading> {
    match view.items.get(quantity.item)?.item.as_ref()? {
        Item::Reading(reading) => Some(reading),
        _ => None,
    }
}

/// The clauses of a reading, or of a column's heading.
fn clauses<'r>(view: View<'r>, quantity: &Quantity) -> &'r [Spanned<Clause>] {
    match view.items.get(quantity.item).and_then(|parsed| parsed.item.as_ref()) {
        Some(Item::Reading(reading)) => &reading.clauses,
        Some(Item::Column(column)) => &column.clauses,
        _ => &[],
    }
}

fn reading<'r>(view: View<'r>, quantity: &'r Quantity, record: &Record) -> Vec<Line<'r>> {
    if quantity.exact {
        return vec![exact(view, quantity)];
    }
    let mut lines = sources(view, quantity);
    if quantity.measure.is_some_and(|measure| is_totalled(view, quantity, measure.uncertainty)) {
        let sum = if view.course.combine == Combine::Sum { record.sum } else { None };
        lines.extend(total(view, quantity, sum));
    }
    lines.extend(quantity.measure.and_then(|measure| dof(view, &measure, quantity.sources.len() > 1)));
    lines.extend(ties(view, quantity));
    if let Some(claimed) = record.claimed.as_ref().filter(|claimed| !claimed.alone) {
        let amount = claimed.amount.and_then(|amount| self::amount(Some(amount), amount.to_f64(), quantity, view));
        let line = Line::saying(words::TOTAL_CLAIMED, view.course);
        lines.push(Line { amount: amount.into_iter().map(Piece::Math).collect(), total: true, ..line });
    }
    lines
}

fn exact<'r>(view: View<'r>, quantity: &Quantity) -> Line<'r> {
    let reason = clauses(view, quantity).iter().find_map(|clause| match &clause.value {
        Clause::Exact(reason) => reason.as_ref(),
        _ => None,
    });
    let reason = reason.map(|reason| Piece::text(&*reason.value));
    Line { reason: reason.into_iter().collect(), ..Line::saying(words::EXACT, view.course) }
}

/// One line a source, in the order of the report.
fn sources<'r>(view: View<'r>, quantity: &'r Quantity) -> Vec<Line<'r>> {
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
fn kind<'r>(source: &'r Source, course: &'r Course) -> Vec<Piece<'r>> {
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

const fn kind_word(kind: &Kind) -> Word {
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
fn worked_out<'r>(source: &'r Source, quantity: &'r Quantity, view: View<'r>) -> Option<Math<'r>> {
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

fn says_the_same(written: &crate::parse::ast::Amount, quantity: &Quantity) -> bool {
    let unit = amount::plain_unit(written).unwrap_or(unit::NONE.into());
    amount::is_plain(written) && (*unit == quantity.unit.shown || *unit == *unit::NONE)
}

/// An amount in the unit of the reading: all its digits where they end soon, else three figures.
fn amount<'r>(exact: Option<Exact>, near: f64, quantity: &'r Quantity, view: View<'_>) -> Option<Math<'r>> {
    let whole = exact.and_then(Exact::decimal).map(Decimal::trimmed).filter(|decimal| decimal.figures() <= 6);
    let figure = match whole {
        Some(decimal) => Figure::exact(decimal, Rounding::Nearest),
        None => Figure::rough(near, FIGURES)?,
    };
    Some(figure.math(&own_unit(quantity).shown, view.course.decimal))
}

fn reason<'r>(source: &'r Source, quantity: &'r Quantity, view: View<'r>) -> Vec<Piece<'r>> {
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

fn repeated<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &'r Repeated) -> Vec<Line<'r>> {
    let mut lines = vec![recorded(view, quantity, repeated)];
    lines.extend(left_out(view, quantity, repeated));
    if quantity.exact {
        lines.push(exact(view, quantity));
        return lines;
    }
    lines.extend(sources(view, quantity));
    if quantity.sources.len() > 1 {
        lines.extend(total(view, quantity, None));
    }
    lines.extend(quantity.measure.and_then(|measure| dof(view, &measure, quantity.sources.len() > 1)));
    lines.extend(ties(view, quantity));
    lines
}

/// The effective degrees of freedom, where they are limited and not those of one source.
fn dof<'r>(view: View<'r>, measure: &sheet::Measure, several: bool) -> Option<Line<'r>> {
    let amount = coverage::dof(view, view.sheet.dof(measure)).filter(|_| several)?;
    Some(Line { amount, total: true, ..Line::saying(words::EFFECTIVE_DOF, view.course) })
}

/// What a reading is tied to.
fn ties<'r>(view: View<'r>, quantity: &Quantity) -> Vec<Line<'r>> {
    let said = coverage::ties(view, quantity).into_iter();
    said.map(|(source, reason)| Line { source, reason, ..Line::default() }).collect()
}

/// What was recorded, and the mean of what counts.
fn recorded<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &Repeated) -> Line<'r> {
    let (course, unit) = (view.course, &quantity.unit.shown);
    let mut row = Vec::new();
    for value in repeated.values.iter().take(MOST_LISTED) {
        row.extend((!row.is_empty()).then_some(Math::Sign(Sign::Comma)));
        row.push(number::typed(value.value, None).math(unit::NONE, course.decimal));
    }
    let mut values = vec![Piece::Math(figure::finish(row, None, unit))];
    if let Some(more) = repeated.values.len().checked_sub(MOST_LISTED).filter(|&more| more > 0) {
        values.push(Piece::text(" "));
        values.extend(words::MORE_VALUES.filled(course, [("count", vec![Piece::text(more.to_string())])]));
    }
    let mean = mean(view, quantity, repeated).map(|mean| words::MEAN.filled(course, [("mean", vec![mean])]));
    values.extend(mean.into_iter().flat_map(|mean| [Piece::text("; ")].into_iter().chain(mean)));
    let deviation = repeated.deviation.and_then(|deviation| amount(None, deviation, quantity, view));
    let deviation = deviation.map(|math| words::SCATTER.filled(course, [("scatter", vec![Piece::Math(math)])]));
    values.extend(deviation.into_iter().flat_map(|text| [Piece::text("; ")].into_iter().chain(text)));
    let count = vec![Piece::text(repeated.values.len().to_string())];
    Line { source: words::READINGS.filled(course, [("count", count)]), reason: values, ..Line::default() }
}

/// The mean to one place more than the readings have.
fn mean<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &Repeated) -> Option<Piece<'r>> {
    let place = repeated.values.iter().map(|value| value.value.decimal.last_place()).min()? - 1;
    let measure = quantity.measure?;
    let mean = Decimal::of_f64(quantity.unit.from_si(measure.value))?;
    let value = round::to_place(mean, place, Rounding::Nearest);
    let figure = Figure { value, uncertainty: None, power: None }.scaled();
    Some(Piece::Math(figure.math(&quantity.unit.shown, view.course.decimal)))
}

fn left_out<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &'r Repeated) -> Vec<Line<'r>> {
    let pairs = repeated.values.iter().zip(&repeated.left_out);
    let line = |value: Math<'r>, reason: &'r str| Line {
        source: words::LEFT_OUT.filled(view.course, [("value", vec![Piece::Math(value)])]),
        reason: vec![Piece::text(reason)],
        ..Line::default()
    };
    pairs
        .filter_map(|(value, reason)| {
            let figure = number::typed(value.value, None);
            reason.as_ref().map(|reason| line(figure.math(&quantity.unit.shown, view.course.decimal), reason))
        })
        .collect()
}

/// Does a line of what the sources come to say anything new? Under `standard` it does of one whose amount is a limit.
fn is_totalled(view: View<'_>, quantity: &Quantity, uncertainty: f64) -> bool {
    let [source] = quantity.sources.as_slice() else { return quantity.sources.len() > 1 };
    let amount = source.amount * quantity.unit.factor();
    view.course.combine == Combine::Standard && libm::fabs(amount - uncertainty) > LEAST_SHARE * amount
}

/// What the sources come to, before it is rounded for the report.
fn total<'r>(view: View<'r>, quantity: &'r Quantity, exact: Option<Exact>) -> Option<Line<'r>> {
    total_line(view, quantity, quantity.measure?.uncertainty, exact)
}

/// The same of an uncertainty in SI.
fn total_line<'r>(view: View<'r>, quantity: &'r Quantity, uncertainty: f64, exact: Option<Exact>) -> Option<Line<'r>> {
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

/// The sources of a result, largest first.
fn result<'r>(view: View<'r>, quantity: &'r Quantity, rows: usize, steps: usize) -> Vec<Line<'r>> {
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
fn beside_stated<'r>(view: View<'r>, quantity: &'r Quantity) -> Option<Line<'r>> {
    let unit: &Unit = own_unit(quantity);
    let computed = number::computed(view, quantity, unit)?.math(&unit.shown, view.course.decimal);
    let source = words::STATED.filled(view.course, [("computed", vec![Piece::Math(computed)])]);
    Some(Line { source, ..Line::default() })
}
