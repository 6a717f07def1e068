//! A quantity in the style that was asked for, and two held against each other.

use std::sync::LazyLock;

use super::View;
use super::figure::{self, Figure};
use super::formula::{self, Part, Rank};
use super::number;
use super::picture::Picture;
use super::piece::{Math, Piece, Sign};
use super::unit;
use super::words;
use crate::course::Agree;
use crate::evaluate::sheet::{Compared, Origin};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Against, Comparison, Estimate, Formula, Item, Style, Symbol};
use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Figures, Unit, figures, round};

/// The unit that a quantity is shown in where nothing else is asked for: that of the author's own
/// figure, where there is one.
pub(super) fn own_unit(quantity: &Quantity) -> &Unit {
    match &quantity.origin {
        Origin::Result { stated: Some(stated) } => &stated.unit,
        _ => &quantity.unit,
    }
}

/// A quantity in `unit`, or its own. `None` where it has no value.
pub(super) fn styled<'r>(
    view: View<'r>,
    id: QuantityId,
    unit: Option<&'r Unit>,
    style: Style,
) -> Option<Vec<Piece<'r>>> {
    let quantity = view.sheet.quantities.get(id)?;
    let unit = unit.unwrap_or_else(|| own_unit(quantity));
    let figure = number::figure(view, id, Some(unit))?;
    let (spelling, sign) = (&unit.shown, view.course.decimal);
    Some(match style {
        Style::Plain => vec![Piece::Math(figure.math(spelling, sign))],
        Style::Full => vec![Piece::Math(equation(&quantity.symbol, [figure.math(spelling, sign)]))],
        Style::Short => vec![Piece::Math(figure.short(spelling, sign))],
        Style::Value => vec![Piece::Math(figure.value_alone().math(spelling, sign))],
        Style::Uncertainty => match figure.uncertainty_alone() {
            Some(alone) => vec![Piece::Math(alone.math(spelling, sign))],
            None => vec![words::EXACT.piece(view.course)],
        },
        Style::Relative => vec![relative(view, quantity)?],
        Style::Interval => interval(view, figure, spelling),
        Style::Name => vec![name(view, quantity)],
        Style::Working => working(view, quantity, figure.math(spelling, sign)),
    })
}

/// What a quantity is called: by its symbol, where it has no name.
pub(super) fn name<'r>(view: View<'r>, quantity: &'r Quantity) -> Piece<'r> {
    match words::name_of(quantity, view.course) {
        Some(name) => Piece::text(name),
        None => Piece::Math(Math::Symbol(quantity.symbol.clone())),
    }
}

/// `symbol = a = b`, in one piece.
pub(super) fn equation<'r>(symbol: &Symbol, sides: impl IntoIterator<Item = Math<'r>>) -> Math<'r> {
    let mut row = vec![Math::Symbol(symbol.clone())];
    for side in sides {
        row.extend([Math::Sign(Sign::Equals), side]);
    }
    Math::row(row)
}

/// The relative uncertainty to two figures, from unrounded numbers; a whole number above 100 %.
pub(super) fn relative<'r>(view: View<'r>, quantity: &Quantity) -> Option<Piece<'r>> {
    let measure = quantity.measure?;
    if measure.uncertainty == 0.0 || quantity.exact {
        return Some(words::EXACT.piece(view.course));
    }
    if measure.value == 0.0 {
        return Some(words::UNDEFINED.piece(view.course));
    }
    let percent = Decimal::of_f64(100.0 * (view.sheet.reported(quantity, &measure) / measure.value).abs())?;
    Some(Piece::Math(per_cent(view, in_per_cent(view, percent))))
}

/// Two figures; a whole number above 100 %.
fn in_per_cent(view: View<'_>, percent: Decimal) -> Figure {
    let two = figures::uncertainty(percent, Figures::Two, view.course.round);
    let shown = if two.last_place() > 0 { round::to_place(percent, 0, view.course.round) } else { two };
    Figure { value: shown, uncertainty: None, power: None }.scaled()
}

/// `1.7 %`
pub(super) fn per_cent(view: View<'_>, figure: Figure) -> Math<'static> {
    static PER_CENT: LazyLock<Spelling> = LazyLock::new(|| Spelling::symbol("%"));
    figure.math(&*PER_CENT, view.course.decimal)
}

fn interval<'r>(view: View<'r>, figure: Figure, unit: &'r Spelling) -> Vec<Piece<'r>> {
    let sign = view.course.decimal;
    let Some((low, high)) = figure.ends() else { return vec![Piece::Math(figure.math(unit, sign))] };
    let end = |value| vec![Piece::Math(Figure { value, ..figure.value_alone() }.math(unit, sign))];
    words::INTERVAL.filled(view.course, [("low", end(low)), ("high", end(high))])
}

/// The formula, the formula with its numbers, the result: each a piece of its own, so that a line can
/// break between them.
fn working<'r>(view: View<'r>, quantity: &Quantity, result: Math<'r>) -> Vec<Piece<'r>> {
    let Some(formula) = formula_of(view, quantity) else {
        return vec![Piece::Math(equation(&quantity.symbol, [result]))];
    };
    let Some(symbols) = printed(view, formula) else {
        let long = long_formula(view, formula);
        return vec![Piece::Math(equation(&quantity.symbol, [long])), blank(), side(result)];
    };
    let mut pieces = vec![Piece::Math(equation(&quantity.symbol, [symbols]))];
    if !quantity.operands.is_empty() {
        let numbers = formula::math(formula, view.course, &|symbol| substituted(view, symbol));
        pieces.extend(numbers.into_iter().flat_map(|numbers| [blank(), side(numbers)]));
    }
    pieces.extend([blank(), side(result)]);
    pieces
}

/// The formula as it is printed, its symbols as symbols; `None` of a long one.
pub(super) fn printed<'r>(view: View<'r>, formula: &'r Formula) -> Option<Math<'r>> {
    formula::math(formula, view.course, &|symbol| Part::new(Math::Symbol(symbol.clone()), Rank::Whole))
}

/// What stands in place of a formula that is too long to print.
pub(super) fn long_formula(view: View<'_>, formula: &Formula) -> Math<'static> {
    let text = words::LONG_FORMULA.of(view.course).replace("{count}", &formula.steps.len().to_string());
    Math::Word(text.into())
}

/// The formula of a result.
pub(super) fn formula_of<'r>(view: View<'r>, quantity: &Quantity) -> Option<&'r Formula> {
    match view.items.get(quantity.item)?.item.as_ref()? {
        Item::Result(derived) => Some(&derived.formula),
        Item::Column(column) => column.formula.as_ref(),
        _ => None,
    }
}

fn blank() -> Piece<'static> {
    Piece::text(" ")
}

fn side(math: Math<'_>) -> Piece<'_> {
    Piece::Math(Math::row(vec![Math::Sign(Sign::Equals), math]))
}

/// A quantity's value and unit in place of its symbol.
fn substituted<'r>(view: View<'r>, symbol: &Symbol) -> Part<'r> {
    let found = view.sheet.find(symbol).and_then(|(id, quantity)| {
        let unit = own_unit(quantity);
        Some((number::for_working(view, id, unit)?, unit))
    });
    let Some((figure, unit)) = found else { return Part::new(Math::Symbol(symbol.clone()), Rank::Whole) };
    let rank = match (figure.value.is_negative(), figure.power.is_some() || !unit.is_one()) {
        (true, _) => Rank::Negative,
        (false, true) => Rank::Quantity,
        (false, false) => Rank::Whole,
    };
    Part::new(figure.math(&unit.shown, view.course.decimal), rank)
}

/// A sentence that says by how much two values differ and whether they agree.
pub(super) fn comparison<'r>(
    view: View<'r>,
    comparison: &'r Comparison,
    compared: &'r Compared,
) -> Option<Vec<Piece<'r>>> {
    let unit = &compared.unit.shown;
    let left = styled(view, compared.left, None, Style::Plain)?;
    let right = match (compared.right, &comparison.right) {
        (Some(right), _) => styled(view, right, None, Style::Plain)?,
        (None, Against::Estimate { estimate, reason }) => {
            let mut pieces = vec![reference(view, &estimate.value, compared)?];
            pieces.extend(reason.as_ref().map(|reason| Piece::text(format!(" ({})", reason.value))));
            pieces
        }
        (None, Against::Symbol(_)) => return None,
    };
    let times = if view.course.agree == Agree::TwoSigma { 2.0 } else { 1.0 };
    let figure = Figure::difference(compared.difference, compared.uncertainty, (times, compared.agree), view.course)?;
    let mut difference = vec![Piece::Math(figure.math(unit, view.course.decimal))];
    let relative =
        relative_difference(view, compared).map(|percent| vec![Piece::text(" ("), percent, Piece::text(")")]);
    difference.extend(relative.into_iter().flatten());
    let word = match compared.agree {
        true if compared.difference == 0.0 && compared.uncertainty == 0.0 => words::EQUAL,
        true if view.course.agree == Agree::TwoSigma && compared.difference.abs() > compared.uncertainty => {
            words::AGREE_TWICE
        }
        true => words::AGREE,
        false => words::DISAGREE,
    };
    let picture = intervals(view, compared, &left, &right);
    let sentence = word.filled(view.course, [("left", left), ("right", right), ("difference", difference)]);
    Some(picture.into_iter().chain(sentence).collect())
}

/// By what part of the right side the two differ, to two figures; not of temperature points, whose zero is a custom.
fn relative_difference<'r>(view: View<'r>, compared: &Compared) -> Option<Piece<'r>> {
    let point = view.sheet.quantities.get(compared.left)?.measure?.point;
    let part = Decimal::of_f64(100.0 * (compared.difference / compared.reference.0).abs())?;
    (!point && !part.is_zero()).then(|| Piece::Math(per_cent(view, in_per_cent(view, part))))
}

/// Both values with their uncertainties on one scale.
fn intervals<'r>(view: View<'r>, compared: &Compared, left: &[Piece<'r>], right: &[Piece<'r>]) -> Option<Piece<'r>> {
    let quantity = view.sheet.quantities.get(compared.left)?;
    let (value, uncertainty) = compared.reference;
    let own = number::spread(view.sheet.reported(quantity, quantity.measure.as_ref()?), &compared.unit);
    let values = [(value + compared.difference, own), (value, uncertainty)];
    let label = words::ON_ONE_SCALE.filled(view.course, [("left", left.to_vec()), ("right", right.to_vec())]);
    let label = label.iter().map(Piece::bare).collect();
    let finite = values.iter().all(|(value, uncertainty)| value.is_finite() && uncertainty.is_finite());
    finite.then_some(Piece::Picture(Picture::Intervals { values, label }))
}

/// A value from elsewhere, with the digits and in the unit that it was typed in.
fn reference<'r>(view: View<'r>, estimate: &'r Estimate, compared: &Compared) -> Option<Piece<'r>> {
    let spelling = estimate.unit.as_ref().map(|unit| &unit.value);
    let unit = spelling.map_or_else(|| Some(Unit::one()), |spelling| view.sheet.units.find(spelling).ok());
    let factor = unit.map_or(1.0, |unit| compared.unit.factor() / unit.factor());
    let number = estimate.value.value;
    let total = match compared.reference.1 {
        0.0 => None,
        amount => figure::Size::Near(Decimal::of_f64(amount * factor)?.abs())
            .at_place(number.decimal.last_place(), view.course.round),
    };
    let shown = spelling.map_or(unit::NONE.into(), unit::shown);
    Some(Piece::Math(number::typed(number, total).math(shown, view.course.decimal)))
}
