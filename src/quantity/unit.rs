//! Units as they are typed and as they are known; conversion.

use std::fmt;

use super::decimal::EXACT_DOUBLE;
use super::{Decimal, Dimension, Exact, dimensions};

/// A unit as the author typed it: symbols with their exponents, each with its own spelling.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Spelling {
    /// What stands before the slash.
    pub over: Vec<(String, i32)>,
    /// What stands after it, with the exponents as written there (`1/s^2`: 2).
    pub under: Vec<(String, i32)>,
}

impl Spelling {
    /// One symbol alone.
    pub fn symbol(symbol: &str) -> Self {
        Self { over: vec![(symbol.to_owned(), 1)], under: Vec::new() }
    }

    /// The symbol, where it stands alone and to the first power.
    pub fn alone(&self) -> Option<&str> {
        match (self.over.as_slice(), self.under.as_slice()) {
            ([(symbol, 1)], []) => Some(symbol),
            _ => None,
        }
    }
}

/// As the notation reads it again: `kg*m/s^2`, `J/(kg*K)`, `1/s`, `1`. The inch is `inch` here:
/// `in` is a keyword of the notation.
impl fmt::Display for Spelling {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.over.as_slice() {
            [] => f.write_str("1")?,
            over => write_product(f, over)?,
        }
        match self.under.as_slice() {
            [] => Ok(()),
            [factor] => {
                f.write_str("/")?;
                write_factor(f, factor)
            }
            under => {
                f.write_str("/(")?;
                write_product(f, under)?;
                f.write_str(")")
            }
        }
    }
}

fn write_product(f: &mut fmt::Formatter<'_>, factors: &[(String, i32)]) -> fmt::Result {
    factors.iter().enumerate().try_for_each(|(at, factor)| {
        f.write_str(if at == 0 { "" } else { "*" })?;
        write_factor(f, factor)
    })
}

fn write_factor(f: &mut fmt::Formatter<'_>, (symbol, exponent): &(String, i32)) -> fmt::Result {
    f.write_str(if symbol == "in" { "inch" } else { symbol })?;
    if *exponent == 1 { Ok(()) } else { write!(f, "^{exponent}") }
}

/// How a unit's size follows from the coherent SI unit of its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// The rational part.
    pub ratio: Exact,
    /// What no ratio can say: a power of π, ln 10. 1 for nearly all.
    pub irrational: f64,
}

impl Scale {
    /// The size of a coherent SI unit.
    pub const ONE: Self = Self::rational(Exact::ONE);

    /// A size that a ratio says.
    pub const fn rational(ratio: Exact) -> Self {
        Self { ratio, irrational: 1.0 }
    }

    /// The size as a double.
    pub fn to_f64(self) -> f64 {
        self.ratio.to_f64() * self.irrational
    }

    /// Where the ratio outgrows 128 bits, the product goes on as a double.
    pub(super) fn times(self, other: Self) -> Self {
        match self.ratio.times(other.ratio) {
            Some(ratio) => Self { ratio, irrational: self.irrational * other.irrational },
            None => Self { ratio: Exact::ONE, irrational: self.to_f64() * other.to_f64() },
        }
    }

    pub(super) fn power(self, exponent: i32) -> Self {
        if exponent == 1 {
            return self;
        }
        match self.ratio.power(exponent) {
            Some(ratio) => Self { ratio, irrational: libm::pow(self.irrational, f64::from(exponent)) },
            None => Self { ratio: Exact::ONE, irrational: libm::pow(self.to_f64(), f64::from(exponent)) },
        }
    }
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

/// The units with names of their own that a result without `in` may have. Hz, Bq, Gy and Sv are
/// missing on purpose: their dimensions are those of an angular speed, a specific energy, and only
/// the author knows which was meant. kat, lm and lx too: a first course has no use for them.
const NAMED: [(Dimension, &str); 12] = [
    (dimensions::FORCE, "N"),
    (dimensions::PRESSURE, "Pa"),
    (dimensions::ENERGY, "J"),
    (dimensions::POWER, "W"),
    (dimensions::CHARGE, "C"),
    (dimensions::VOLTAGE, "V"),
    (dimensions::RESISTANCE, "Ω"),
    (dimensions::CAPACITANCE, "F"),
    (dimensions::FLUX_DENSITY, "T"),
    (dimensions::FLUX, "Wb"),
    (dimensions::INDUCTANCE, "H"),
    (dimensions::CONDUCTANCE, "S"),
];

impl Unit {
    /// The unit of pure numbers, which is not written.
    pub const ONE: Self = Self {
        shown: Spelling { over: Vec::new(), under: Vec::new() },
        dimension: Dimension::NONE,
        scale: Scale::ONE,
        zero: None,
    };

    /// The unit of pure numbers, which is not written.
    pub const fn one() -> Self {
        Self::ONE
    }

    /// The coherent SI unit of a dimension, with a named one only where it is exactly N, Pa, J, W, C,
    /// V, Ω, F, T, Wb, H or S; else a product of base units with one slash, kg first. A root of a base
    /// unit, which no notation of units writes, is shown as one symbol: `m^(1/2)`.
    pub fn coherent(dimension: Dimension) -> Self {
        let named = NAMED.iter().find(|&&(named, _)| named == dimension);
        let shown = named.map_or_else(|| in_base_units(dimension), |&(_, symbol)| Spelling::symbol(symbol));
        Self { shown, dimension, scale: Scale::ONE, zero: None }
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
        self.scale.to_f64()
    }

    /// A number in this unit, in coherent SI units; a point on a temperature scale in kelvin.
    /// Rounded once where the factor is rational.
    pub fn to_si(&self, number: Exact) -> f64 {
        let zero = self.zero.unwrap_or(Exact::ZERO);
        match number.times(self.scale.ratio).and_then(|scaled| scaled.plus(zero)) {
            Some(exact) => exact.to_f64() * self.scale.irrational,
            None => number.to_f64() * self.factor() + zero.to_f64(),
        }
    }

    /// The other way, for a computed number. Of a point on a temperature scale the fifteen digits
    /// that mean something are taken first ([`Decimal::of_f64`]): the doubles 273.4 and 273.15 differ
    /// by a quarter and some noise, the temperatures by a quarter.
    pub fn from_si(&self, number: f64) -> f64 {
        self.zero.map_or_else(|| self.difference_from_si(number), |zero| self.point_from_si(number, zero))
    }

    /// How far a number in SI lies above the zero of the unit's scale, in SI: 20 K for 293.15 K in °C.
    pub fn above_zero(&self, number: f64) -> f64 {
        self.zero.map_or(number, |zero| self.point_from_si(number, zero) * self.factor())
    }

    fn difference_from_si(&self, number: f64) -> f64 {
        let number = number / self.scale.irrational;
        // 1/1000 is no double and 1000 is one: a product with it is rounded once, a quotient twice.
        let inverse = Exact::ONE.over(self.scale.ratio).filter(|inverse| is_whole_double(*inverse));
        inverse.map_or_else(|| number / self.scale.ratio.to_f64(), |inverse| number * inverse.to_f64())
    }

    fn point_from_si(&self, number: f64, zero: ZeroPoint) -> f64 {
        let exact = || Exact::of(Decimal::of_f64(number)?)?.minus(zero)?.over(self.scale.ratio);
        exact().map_or_else(|| self.difference_from_si(number - zero.to_f64()), Exact::to_f64)
    }

    /// `number` of `other` as a number of this unit, as a difference, exactly; `None` where dimensions
    /// differ, where no ratio says it (degrees to radians) or where it does not fit.
    pub fn exactly(&self, number: Exact, other: &Self) -> Option<Exact> {
        if self.dimension == other.dimension && self.scale == other.scale {
            return Some(number);
        }
        let at_once = self.ratio_from(other).and_then(|ratio| number.times(ratio));
        // Where the ratio alone does not fit, the number may still cancel enough of it.
        let in_turn = || number.times(other.scale.ratio)?.over(self.scale.ratio);
        at_once.or_else(|| self.is_like(other).then(in_turn).flatten())
    }

    /// The power of ten by which a number in `other` becomes one in this unit, where it is one:
    /// −1 from mm to cm. `None` between scales whose zeros differ: a point in °C keeps no digits in K.
    pub fn power_of_ten_from(&self, other: &Self) -> Option<i32> {
        let ratio = self.ratio_from(other).filter(|_| self.zero == other.zero)?.decimal()?;
        (ratio.digits() == 1).then(|| ratio.last_place())
    }

    /// How many of this unit one of `other` is, where a ratio says it.
    fn ratio_from(&self, other: &Self) -> Option<Exact> {
        self.is_like(other).then(|| other.scale.ratio.over(self.scale.ratio)).flatten()
    }

    /// Does a ratio lie between them?
    fn is_like(&self, other: &Self) -> bool {
        self.dimension == other.dimension && self.scale.irrational == other.scale.irrational
    }
}

/// As its [`Spelling`].
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.shown.fmt(f)
    }
}

fn is_whole_double(number: Exact) -> bool {
    let power_of_ten = |d: Decimal| d.digits() == 1 && d.last_place() <= 22;
    number.decimal().is_some_and(|d| d.last_place() >= 0 && (power_of_ten(d) || d.to_f64() < EXACT_DOUBLE))
}

fn in_base_units(dimension: Dimension) -> Spelling {
    let mut shown = Spelling::default();
    for (symbol, n, d) in dimension.factors() {
        let size = n.abs();
        let factor = if d == 1 { (symbol.to_owned(), size) } else { (format!("{symbol}^({size}/{d})"), 1) };
        if n > 0 { shown.over.push(factor) } else { shown.under.push(factor) }
    }
    shown
}
