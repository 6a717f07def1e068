//! A quantity in the style that was asked for, and two held against each other.

use super::View;
use super::figure::{self, Figure};
use super::formula::{self, Part, Rank};
use super::number;
use super::picture::Picture;
use super::piece::{Math, Piece, Sign};
use super::unit::shown;
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
pub(super) fn styled(view: View<'_>, id: QuantityId, unit: Option<&Unit>, style: Style) -> Option<Vec<Piece>> {
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
pub(super) fn name(view: View<'_>, quantity: &Quantity) -> Piece {
    match words::name_of(quantity, view.course) {
        Some(name) => Piece::Text(name.to_owned()),
        None => Piece::Math(Math::Symbol(quantity.symbol.clone())),
    }
}

/// `symbol = a = b`, in one piece.
pub(super) fn equation(symbol: &Symbol, sides: impl IntoIterator<Item = Math>) -> Math {
    let mut row = vec![Math::Symbol(symbol.clone())];
    for side in sides {
        row.extend([Math::Sign(Sign::Equals), side]);
    }
    Math::row(row)
}

/// The relative uncertainty to two figures, from unrounded numbers; a whole number above 100 %.
pub(super) fn relative(view: View<'_>, quantity: &Quantity) -> Option<Piece> {
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
pub(super) fn per_cent(view: View<'_>, figure: Figure) -> Math {
    figure.math(&Spelling { over: vec![("%".into(), 1)], under: vec![] }, view.course.decimal)
}

fn interval(view: View<'_>, figure: Figure, unit: &Spelling) -> Vec<Piece> {
    let sign = view.course.decimal;
    let Some((low, high)) = figure.ends() else { return vec![Piece::Math(figure.math(unit, sign))] };
    let end = |value| vec![Piece::Math(Figure { value, ..figure.value_alone() }.math(unit, sign))];
    words::INTERVAL.filled(view.course, &[("low", end(low)), ("high", end(high))])
}

/// The formula, the formula with its numbers, the result: each a piece of its own, so that a line can
/// break between them.
fn working(view: View<'_>, quantity: &Quantity, result: Math) -> Vec<Piece> {
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
pub(super) fn printed(view: View<'_>, formula: &Formula) -> Option<Math> {
    formula::math(formula, view.course, &|symbol| Part::new(Math::Symbol(symbol.clone()), Rank::Whole))
}

/// What stands in place of a formula that is too long to print.
pub(super) fn long_formula(view: View<'_>, formula: &Formula) -> Math {
    let text = words::LONG_FORMULA.of(view.course).replace("{count}", &formula.steps.len().to_string());
    Math::Word(text)
}

/// The formula of a result.
pub(super) fn formula_of<'r>(view: View<'r>, quantity: &Quantity) -> Option<&'r Formula> {
    match view.items.get(quantity.item)?.item.as_ref()? {
        Item::Result(derived) => Some(&derived.formula),
        Item::Column(column) => column.formula.as_ref(),
        _ => None,
    }
}

fn blank() -> Piece {
    Piece::Text(" ".into())
}

fn side(math: Math) -> Piece {
    Piece::Math(Math::row(vec![Math::Sign(Sign::Equals), math]))
}

/// A quantity's value and unit in place of its symbol.
fn substituted(view: View<'_>, symbol: &Symbol) -> Part {
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
pub(super) fn comparison(view: View<'_>, comparison: &Comparison, compared: &Compared) -> Option<Vec<Piece>> {
    let unit = &compared.unit.shown;
    let left = styled(view, compared.left, None, Style::Plain)?;
    let right = match (compared.right, &comparison.right) {
        (Some(right), _) => styled(view, right, None, Style::Plain)?,
        (None, Against::Estimate { estimate, reason }) => {
            let mut pieces = vec![reference(view, &estimate.value, compared)?];
            pieces.extend(reason.as_ref().map(|reason| Piece::Text(format!(" ({})", reason.value))));
            pieces
        }
        (None, Against::Symbol(_)) => return None,
    };
    let figure = Figure::computed(compared.difference.abs(), compared.uncertainty, view.course)?;
    let mut difference = vec![Piece::Math(figure.math(unit, view.course.decimal))];
    let relative = relative_difference(view, compared)
        .map(|percent| vec![Piece::Text(" (".into()), percent, Piece::Text(")".into())]);
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
    let sentence = word.filled(view.course, &[("left", left), ("right", right), ("difference", difference)]);
    Some(picture.into_iter().chain(sentence).collect())
}

/// By what part of the right side the two differ, to two figures; not of temperature points, whose zero is a custom.
fn relative_difference(view: View<'_>, compared: &Compared) -> Option<Piece> {
    let point = view.sheet.quantities.get(compared.left)?.measure?.point;
    let part = Decimal::of_f64(100.0 * (compared.difference / compared.reference.0).abs())?;
    (!point && !part.is_zero()).then(|| Piece::Math(per_cent(view, in_per_cent(view, part))))
}

/// Both values with their uncertainties on one scale.
fn intervals(view: View<'_>, compared: &Compared, left: &[Piece], right: &[Piece]) -> Option<Piece> {
    let quantity = view.sheet.quantities.get(compared.left)?;
    let (value, uncertainty) = compared.reference;
    let own = number::spread(view.sheet.reported(quantity, quantity.measure.as_ref()?), &compared.unit);
    let values = [(value + compared.difference, own), (value, uncertainty)];
    let label = words::ON_ONE_SCALE.filled(view.course, &[("left", left.to_vec()), ("right", right.to_vec())]);
    let label = label.iter().map(Piece::bare).collect();
    let finite = values.iter().all(|(value, uncertainty)| value.is_finite() && uncertainty.is_finite());
    finite.then_some(Piece::Picture(Picture::Intervals { values, label }))
}

/// A value from elsewhere, with the digits and in the unit that it was typed in.
fn reference(view: View<'_>, estimate: &Estimate, compared: &Compared) -> Option<Piece> {
    let spelling = estimate.unit.as_ref().map(|unit| &unit.value);
    let unit = spelling.map_or_else(|| Some(Unit::one()), |spelling| view.sheet.units.find(spelling).ok());
    let factor = unit.map_or(1.0, |unit| compared.unit.factor() / unit.factor());
    let number = estimate.value.value;
    let total = match compared.reference.1 {
        0.0 => None,
        amount => figure::Size::Near(Decimal::of_f64(amount * factor)?.abs())
            .at_place(number.decimal.last_place(), view.course.round),
    };
    let shown = spelling.map(shown).unwrap_or_default();
    Some(Piece::Math(number::typed(number, total).math(&shown, view.course.decimal)))
}
