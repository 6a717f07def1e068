//! Units as they are typed and as they are known; conversion.

use std::collections::BTreeMap;

use super::{Dimension, Exact};

/// A unit as the author typed it: symbols with their exponents, each with its own spelling.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Spelling {
    /// What stands before the slash.
    pub over: Vec<(String, i32)>,
    /// What stands after it, with the exponents as written there (`1/s^2`: 2).
    pub under: Vec<(String, i32)>,
}

/// How a unit's size follows from the coherent SI unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// The rational part.
    pub ratio: Exact,
    /// What no ratio can say: a power of π, ln 10. 1 for nearly all.
    pub irrational: f64,
}

/// Where the zero of a temperature scale lies, in kelvin.
pub type ZeroPoint = Exact;

/// A known unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// Symbols as they are shown (`µm`, `°C`, `Ω`), before and after the slash, exponents positive
    /// after it.
    pub shown: Spelling,
    /// Its dimension.
    pub dimension: Dimension,
    /// Its size.
    pub scale: Scale,
    /// Of `°C` and `°F` standing alone: readings in them are points on a scale.
    pub zero: Option<ZeroPoint>,
}

impl Unit {
    /// The unit of pure numbers, which is not written.
    pub fn one() -> Self {
        let scale = Scale { ratio: Exact::ONE, irrational: 1.0 };
        Self { shown: Spelling::default(), dimension: Dimension::NONE, scale, zero: None }
    }

    /// The coherent SI unit of a dimension, with a named one only where it is exactly N, Pa, J, W, C,
    /// V, Ω, F, T, Wb, H or S.
    pub fn coherent(dimension: Dimension) -> Self {
        let _ = dimension;
        Self::one()
    }

    /// Is it the unit of pure numbers?
    pub fn is_one(&self) -> bool {
        self.shown.over.is_empty() && self.shown.under.is_empty()
    }

    /// The same unit for differences: `°C` then is a kelvin's size without a zero point.
    #[must_use]
    pub fn as_difference(&self) -> Self {
        Self { zero: None, ..self.clone() }
    }

    /// How many coherent SI units it is; of a temperature scale, one of its degrees.
    pub fn factor(&self) -> f64 {
        self.scale.ratio.to_f64() * self.scale.irrational
    }

    /// A number in this unit, in coherent SI units; a point on a temperature scale in kelvin.
    /// Rounded once where the factor is rational.
    pub fn to_si(&self, number: Exact) -> f64 {
        let _ = number;
        f64::NAN
    }

    /// The other way, for a computed number.
    pub fn from_si(&self, number: f64) -> f64 {
        let _ = number;
        f64::NAN
    }

    /// `number` of `other` as a number of this unit, as a difference, exactly; `None` where dimensions
    /// differ, where no ratio says it (degrees to radians) or where it does not fit.
    pub fn exactly(&self, number: Exact, other: &Self) -> Option<Exact> {
        let _ = (number, other);
        None
    }

    /// The power of ten by which a number in `other` becomes one in this unit, where it is one:
    /// −1 from mm to cm.
    pub fn power_of_ten_from(&self, other: &Self) -> Option<i32> {
        let _ = other;
        None
    }
}

/// The units that a report may use: the built-in ones and those of the course.
#[derive(Clone, Debug, Default)]
pub struct Units {
    own: BTreeMap<String, Unit>,
}

impl Units {
    /// Adds a unit of the course: `symbol` is as large as `number` of `unit`.
    pub fn add(&mut self, symbol: &str, number: Exact, unit: &Unit) {
        let _ = (symbol, number, unit, &self.own);
    }

    /// The unit that was typed. `%` is a unit; `digit` is none.
    ///
    /// # Errors
    /// The first symbol that is not known, and the nearest that is.
    pub fn find(&self, spelling: &Spelling) -> Result<Unit, UnknownUnit> {
        let _ = spelling;
        Ok(Unit::one())
    }
}

/// A unit that could not be read, and the nearest known spelling of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownUnit {
    /// The symbol as typed.
    pub symbol: String,
    /// A known one that is near it.
    pub nearest: Option<String>,
}
