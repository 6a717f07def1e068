//! What an amount comes to in the unit of its reading.

use std::sync::Arc;

use super::fault::{Doing, FaultKind};
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Exact, Unit, UnknownUnit};

/// A number that is exact wherever that is possible, and a double where it is not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Magnitude {
    /// As typed, or what follows from it.
    Exact(Exact),
    /// Of a square root, say, or past the reach of exact numbers.
    About(f64),
}

impl Magnitude {
    pub(super) const ZERO: Self = Self::Exact(Exact::ZERO);

    /// A typed number.
    pub(super) fn typed(decimal: Decimal) -> Self {
        Exact::of(decimal).map_or_else(|| Self::About(decimal.to_f64()), Self::Exact)
    }

    /// The nearest double; an exact number is rounded here, once.
    pub(super) fn float(self) -> f64 {
        match self {
            Self::Exact(exact) => exact.to_f64(),
            Self::About(float) => float,
        }
    }

    pub(super) const fn exact(self) -> Option<Exact> {
        match self {
            Self::Exact(exact) => Some(exact),
            Self::About(_) => None,
        }
    }

    /// Is it zero, as a double?
    pub(super) fn is_zero(self) -> bool {
        // An exact zero is one at a glance, and nothing is asked more often of an amount's parts.
        matches!(self, Self::Exact(exact) if exact.is_zero()) || self.float() == 0.0
    }

    /// Is it below zero, as a double?
    pub(super) fn is_negative(self) -> bool {
        match self {
            Self::Exact(exact) => exact.is_negative() && exact.to_f64() < 0.0,
            Self::About(float) => float < 0.0,
        }
    }

    pub(super) const fn abs(self) -> Self {
        match self {
            Self::Exact(exact) => Self::Exact(exact.abs()),
            Self::About(float) => Self::About(float.abs()),
        }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        self.join(other, Exact::plus, |a, b| a + b)
    }

    pub(super) fn times(self, other: Self) -> Self {
        self.join(other, Exact::times, |a, b| a * b)
    }

    fn minus(self, other: Self) -> Self {
        self.join(other, Exact::minus, |a, b| a - b)
    }

    fn over(self, other: Self) -> Self {
        self.join(other, Exact::over, |a, b| a / b)
    }

    /// In doubles only where there is no exact answer.
    fn join(self, other: Self, exact: fn(Exact, Exact) -> Option<Exact>, float: fn(f64, f64) -> f64) -> Self {
        let answer = match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => exact(a, b),
            _ => None,
        };
        answer.map_or_else(|| Self::About(float(self.float(), other.float())), Self::Exact)
    }
}

/// What an amount is measured against.
#[derive(Clone, Debug)]
pub(super) struct Scale<'a> {
    /// The unit of the reading.
    pub(super) unit: &'a Arc<Unit>,
    /// One digit: the step of the display, or one unit of the last typed place.
    pub(super) digit: Option<Magnitude>,
    /// The instrument's range, upper less lower end.
    pub(super) range: Option<Magnitude>,
    /// May a bare number stand for one in the unit of the reading, as after the author's `±`?
    pub(super) bare: bool,
}

/// An amount, taken apart: `absolute + relative × |value|`, both in the unit of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Size {
    /// A number with no unit yet.
    plain: Magnitude,
    /// In the unit of the reading.
    pub(super) absolute: Magnitude,
    /// A share of the value's size.
    pub(super) relative: Magnitude,
}

impl Size {
    const ZERO: Self = Self { plain: Magnitude::ZERO, absolute: Magnitude::ZERO, relative: Magnitude::ZERO };

    /// How much it is beside that value.
    pub(super) fn beside(&self, value: Magnitude) -> Magnitude {
        self.absolute.plus(self.relative.times(value.abs()))
    }

    fn each(self, f: impl Fn(Magnitude) -> Magnitude) -> Self {
        Self { plain: f(self.plain), absolute: f(self.absolute), relative: f(self.relative) }
    }

    fn join(self, other: Self, f: fn(Magnitude, Magnitude) -> Magnitude) -> Self {
        Self {
            plain: f(self.plain, other.plain),
            absolute: f(self.absolute, other.absolute),
            relative: f(self.relative, other.relative),
        }
    }

    fn is_plain(self) -> bool {
        self.absolute.is_zero() && self.relative.is_zero()
    }
}

/// Finds a unit by its spelling.
pub(super) type FindUnit<'u> = dyn FnMut(&Spelling) -> Result<Arc<Unit>, UnknownUnit> + 'u;

/// Works an amount out.
pub(super) fn size(amount: &Amount, scale: &Scale<'_>, find: &mut FindUnit<'_>) -> Result<Size, FaultKind> {
    let mut stack = Vec::new();
    for step in &amount.steps {
        let next = match step {
            AmountStep::Number(number) => {
                Size { plain: Magnitude::typed(number.value.decimal), ..Size::ZERO }
            }
            AmountStep::Range => {
                let absolute = scale.range.ok_or(FaultKind::AmountWithoutSize { why: "the range is not known" })?;
                Size { absolute, ..Size::ZERO }
            }
            AmountStep::Unit(spelling) => measured(popped(&mut stack)?, &spelling.value, scale, find)?,
            AmountStep::Plus => popped_two(&mut stack).map(|(a, b)| a.join(b, Magnitude::plus))?,
            AmountStep::Minus => popped_two(&mut stack).map(|(a, b)| a.join(b, Magnitude::minus))?,
            AmountStep::Times | AmountStep::Of => popped_two(&mut stack).and_then(|(a, b)| product(a, b))?,
            AmountStep::Over => popped_two(&mut stack).and_then(|(a, b)| quotient(a, b))?,
        };
        stack.push(next);
    }
    let size = popped(&mut stack)?;
    if size.plain.is_zero() {
        return Ok(size);
    }
    // A mixture such as `0.5 % + 2` has a number without a unit as well.
    if scale.bare || scale.unit.is_one() {
        return Ok(Size { plain: Magnitude::ZERO, absolute: size.absolute.plus(size.plain), ..size });
    }
    Err(FaultKind::AmountWithoutSize { why: "it has no unit" })
}

const HUNDREDTH: Magnitude = Magnitude::Exact(Exact::new(1, 1, -2));

/// A number that has just been given its unit.
fn measured(size: Size, spelling: &Spelling, scale: &Scale<'_>, find: &mut FindUnit<'_>) -> Result<Size, FaultKind> {
    let number = size.plain;
    if !size.is_plain() {
        return Err(FaultKind::AmountWithoutSize { why: "it has two units" });
    }
    let word = match (&spelling.over[..], &spelling.under[..]) {
        ([(word, 1)], []) => word.as_str(),
        _ => "",
    };
    // Of a quantity in per cent, per cent are percentage points.
    if word == "%" && scale.unit.shown.over.first().map(|f| f.0.as_str()) != Some("%") {
        return Ok(Size { relative: number.times(HUNDREDTH), ..Size::ZERO });
    }
    if matches!(word, "digit" | "digits") {
        let digit = scale.digit.ok_or(FaultKind::AmountWithoutSize { why: "the size of a digit is not known" })?;
        return Ok(Size { absolute: number.times(digit), ..Size::ZERO });
    }
    let unit = find(spelling).map_err(FaultKind::UnknownUnit)?;
    Ok(Size { absolute: converted(number, &unit, scale.unit)?, ..Size::ZERO })
}

/// `number` of `unit` in the unit `wanted`, as a difference.
pub(super) fn converted(number: Magnitude, unit: &Unit, wanted: &Unit) -> Result<Magnitude, FaultKind> {
    if unit.dimension != wanted.dimension {
        let (left, right) = (wanted.dimension, unit.dimension);
        return Err(FaultKind::UnitsDiffer { doing: Doing::Amount, left, right });
    }
    let exact = number.exact().and_then(|n| wanted.exactly(n, unit));
    Ok(exact.map_or_else(|| Magnitude::About(number.float() * unit.factor() / wanted.factor()), Magnitude::Exact))
}

/// Of the two factors one has to be a plain number, or a share of the other: `0.5 % of 20 V`.
fn product(a: Size, b: Size) -> Result<Size, FaultKind> {
    let (factor, other) = if a.is_plain() { (a.plain, b) } else { (b.plain, a) };
    if a.is_plain() || b.is_plain() {
        return Ok(other.each(|m| m.times(factor)));
    }
    let share = |s: Size| s.plain.is_zero() && s.absolute.is_zero();
    match (share(a), share(b)) {
        (true, _) => Ok(b.each(|m| m.times(a.relative))),
        (false, true) => Ok(a.each(|m| m.times(b.relative))),
        (false, false) => Err(FaultKind::AmountWithoutSize { why: "two amounts with units are multiplied" }),
    }
}

fn quotient(a: Size, b: Size) -> Result<Size, FaultKind> {
    if !b.is_plain() {
        return Err(FaultKind::AmountWithoutSize { why: "it is divided by an amount with a unit" });
    }
    if b.plain.is_zero() {
        return Err(FaultKind::AmountWithoutSize { why: "it is divided by zero" });
    }
    Ok(a.each(|m| m.over(b.plain)))
}

fn popped(stack: &mut Vec<Size>) -> Result<Size, FaultKind> {
    stack.pop().ok_or(FaultKind::AmountWithoutSize { why: "it is not complete" })
}

fn popped_two(stack: &mut Vec<Size>) -> Result<(Size, Size), FaultKind> {
    let second = popped(stack)?;
    Ok((popped(stack)?, second))
}
