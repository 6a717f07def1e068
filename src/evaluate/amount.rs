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
    /// In the unit of the reading.
    pub(super) absolute: Magnitude,
    /// A share of the value's size.
    pub(super) relative: Magnitude,
}

impl Size {
    /// How much it is beside that value.
    pub(super) fn beside(&self, value: Magnitude) -> Magnitude {
        self.absolute.plus(self.relative.times(value.abs()))
    }
}

/// An amount under way.
enum Term {
    /// A number with no unit yet.
    Plain(Magnitude),
    /// In the unit of the reading.
    Absolute(Magnitude),
    /// A share of the value's size.
    Relative(Magnitude),
    /// The sum of such: `0.5 % + 2 digits`.
    Mixed(Box<Mixture>),
}

/// A number without a unit, one in the unit of the reading, a share of the value.
struct Mixture {
    plain: Magnitude,
    size: Size,
}

impl Term {
    fn plain(&self) -> Magnitude {
        match self {
            Self::Plain(number) => *number,
            Self::Absolute(_) | Self::Relative(_) => Magnitude::ZERO,
            Self::Mixed(mixture) => mixture.plain,
        }
    }

    fn size(&self) -> Size {
        let zero = Magnitude::ZERO;
        match *self {
            Self::Plain(_) => Size { absolute: zero, relative: zero },
            Self::Absolute(absolute) => Size { absolute, relative: zero },
            Self::Relative(relative) => Size { absolute: zero, relative },
            Self::Mixed(ref mixture) => mixture.size,
        }
    }

    fn is_plain(&self) -> bool {
        match self {
            Self::Plain(_) => true,
            Self::Absolute(amount) | Self::Relative(amount) => amount.is_zero(),
            Self::Mixed(mixture) => mixture.size.absolute.is_zero() && mixture.size.relative.is_zero(),
        }
    }

    /// Is it a share of the value and nothing else?
    fn share(&self) -> Option<Magnitude> {
        let size = self.size();
        (self.plain().is_zero() && size.absolute.is_zero()).then_some(size.relative)
    }

    fn each(self, f: impl Fn(Magnitude) -> Magnitude) -> Self {
        match self {
            Self::Plain(number) => Self::Plain(f(number)),
            Self::Absolute(amount) => Self::Absolute(f(amount)),
            Self::Relative(share) => Self::Relative(f(share)),
            Self::Mixed(mixture) => {
                let Mixture { plain, size: Size { absolute, relative } } = *mixture;
                let size = Size { absolute: f(absolute), relative: f(relative) };
                Self::Mixed(Box::new(Mixture { plain: f(plain), size }))
            }
        }
    }

    fn join(self, other: Self, f: fn(Magnitude, Magnitude) -> Magnitude) -> Self {
        match (self, other) {
            (Self::Plain(a), Self::Plain(b)) => Self::Plain(f(a, b)),
            (Self::Absolute(a), Self::Absolute(b)) => Self::Absolute(f(a, b)),
            (Self::Relative(a), Self::Relative(b)) => Self::Relative(f(a, b)),
            (a, b) => {
                let (of_a, of_b) = (a.size(), b.size());
                let absolute = f(of_a.absolute, of_b.absolute);
                let relative = f(of_a.relative, of_b.relative);
                let plain = f(a.plain(), b.plain());
                Self::Mixed(Box::new(Mixture { plain, size: Size { absolute, relative } }))
            }
        }
    }
}

/// Finds a unit by its spelling.
pub(super) type FindUnit<'u> = dyn FnMut(&Spelling) -> Result<Arc<Unit>, UnknownUnit> + 'u;

/// Works an amount out.
pub(super) fn size(amount: &Amount, scale: &Scale<'_>, find: &mut FindUnit<'_>) -> Result<Size, FaultKind> {
    let mut stack = Vec::with_capacity(2);
    for step in &amount.steps {
        let next = match step {
            AmountStep::Number(number) => Term::Plain(Magnitude::typed(number.value.decimal)),
            AmountStep::Range => {
                Term::Absolute(scale.range.ok_or(FaultKind::AmountWithoutSize { why: "the range is not known" })?)
            }
            AmountStep::Unit(spelling) => measured(&popped(&mut stack)?, &spelling.value, scale, find)?,
            AmountStep::Plus => popped_two(&mut stack).map(|(a, b)| a.join(b, Magnitude::plus))?,
            AmountStep::Minus => popped_two(&mut stack).map(|(a, b)| a.join(b, Magnitude::minus))?,
            AmountStep::Times | AmountStep::Of => popped_two(&mut stack).and_then(|(a, b)| product(a, b))?,
            AmountStep::Over => popped_two(&mut stack).and_then(|(a, b)| quotient(a, &b))?,
        };
        stack.push(next);
    }
    let whole = popped(&mut stack)?;
    let (plain, size) = (whole.plain(), whole.size());
    if plain.is_zero() {
        return Ok(size);
    }
    // A mixture such as `0.5 % + 2` has a number without a unit as well.
    if scale.bare || scale.unit.is_one() {
        return Ok(Size { absolute: size.absolute.plus(plain), ..size });
    }
    Err(FaultKind::AmountWithoutSize { why: "it has no unit" })
}

const HUNDREDTH: Magnitude = Magnitude::Exact(Exact::new(1, 1, -2));

/// A number that has just been given its unit.
fn measured(term: &Term, spelling: &Spelling, scale: &Scale<'_>, find: &mut FindUnit<'_>) -> Result<Term, FaultKind> {
    let number = term.plain();
    if !term.is_plain() {
        return Err(FaultKind::AmountWithoutSize { why: "it has two units" });
    }
    let word = spelling.alone().unwrap_or("");
    // Of a quantity in per cent, per cent are percentage points.
    if word == "%" && scale.unit.shown.over.first().map(|f| f.0.as_str()) != Some("%") {
        return Ok(Term::Relative(number.times(HUNDREDTH)));
    }
    if matches!(word, "digit" | "digits") {
        let digit = scale.digit.ok_or(FaultKind::AmountWithoutSize { why: "the size of a digit is not known" })?;
        return Ok(Term::Absolute(number.times(digit)));
    }
    let unit = find(spelling).map_err(FaultKind::UnknownUnit)?;
    Ok(Term::Absolute(converted(number, &unit, scale.unit)?))
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
fn product(a: Term, b: Term) -> Result<Term, FaultKind> {
    if a.is_plain() {
        return Ok(b.each(|m| m.times(a.plain())));
    }
    if b.is_plain() {
        return Ok(a.each(|m| m.times(b.plain())));
    }
    match (a.share(), b.share()) {
        (Some(share), _) => Ok(b.each(|m| m.times(share))),
        (None, Some(share)) => Ok(a.each(|m| m.times(share))),
        (None, None) => Err(FaultKind::AmountWithoutSize { why: "two amounts with units are multiplied" }),
    }
}

fn quotient(a: Term, b: &Term) -> Result<Term, FaultKind> {
    if !b.is_plain() {
        return Err(FaultKind::AmountWithoutSize { why: "it is divided by an amount with a unit" });
    }
    if b.plain().is_zero() {
        return Err(FaultKind::AmountWithoutSize { why: "it is divided by zero" });
    }
    Ok(a.each(|m| m.over(b.plain())))
}

fn popped(stack: &mut Vec<Term>) -> Result<Term, FaultKind> {
    stack.pop().ok_or(FaultKind::AmountWithoutSize { why: "it is not complete" })
}

fn popped_two(stack: &mut Vec<Term>) -> Result<(Term, Term), FaultKind> {
    let second = popped(stack)?;
    Ok((popped(stack)?, second))
}
