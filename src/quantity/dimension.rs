//! Exponents of the SI base units.

use std::fmt;

/// The base units in the order of the SI Brochure, 9th edition (2019), table 2.
pub const BASE: [&str; 7] = ["m", "kg", "s", "A", "K", "mol", "cd"];

/// Exponents are kept in twelfths, so that square, cube and fourth roots stay exact.
const PARTS: i16 = 12;

/// The product of powers of base units that a quantity is measured in. An angle, a ratio and a
/// count are pure numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Dimension([i16; 7]);

impl Dimension {
    /// A pure number.
    pub const NONE: Self = Self([0; 7]);

    /// The dimension with whole exponents of m, kg, s, A, K, mol, cd.
    pub const fn new(exponents: [i8; 7]) -> Self {
        let mut parts = [0; 7];
        let mut base = 0;
        while base < 7 {
            parts[base] = exponents[base] as i16 * PARTS;
            base += 1;
        }
        Self(parts)
    }

    /// Is it a pure number?
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }

    /// Of a product. `None` where an exponent becomes too large to keep.
    pub fn times(self, other: Self) -> Option<Self> {
        self.zip(other, i16::checked_add)
    }

    /// Of a quotient.
    pub fn over(self, other: Self) -> Option<Self> {
        self.zip(other, i16::checked_sub)
    }

    /// Of a power with the exponent `numerator / denominator`; `None` where that leaves no whole
    /// number of twelfths.
    pub fn power(self, numerator: i32, denominator: i32) -> Option<Self> {
        let mut out = [0; 7];
        for (to, &from) in out.iter_mut().zip(&self.0) {
            let part = i64::from(from) * i64::from(numerator);
            if denominator == 0 || part % i64::from(denominator) != 0 {
                return None;
            }
            *to = i16::try_from(part / i64::from(denominator)).ok()?;
        }
        Some(Self(out))
    }

    /// Of a power whose exponent is known as a double only: 0.5, 1.5, 1/3.
    pub fn power_f64(self, exponent: f64) -> Option<Self> {
        if self.is_none() {
            return Some(self);
        }
        let twelfths = exponent * f64::from(PARTS);
        let whole = libm::round(twelfths);
        let near = libm::fabs(twelfths - whole) <= 1e-9 && libm::fabs(whole) <= 12_000.0;
        #[expect(clippy::cast_possible_truncation, reason = "a whole number of at most 12 000, by the line above")]
        let numerator = whole as i32;
        near.then(|| self.power(numerator, i32::from(PARTS))).flatten()
    }

    /// Exponents with their base units' symbols, whole ones as `(symbol, n, 1)`, zero ones left out;
    /// in the order in which table 4 of the SI Brochure writes them out, which puts kg first.
    pub fn factors(self) -> impl Iterator<Item = (&'static str, i32, i32)> {
        let [m, kg, s, a, k, mol, cd] = self.0;
        let [metre, kilogram, rest @ ..] = BASE;
        let symbols = [kilogram, metre].into_iter().chain(rest);
        symbols.zip([kg, m, s, a, k, mol, cd]).filter(|&(_, part)| part != 0).map(|(symbol, part)| {
            let common = gcd(part.unsigned_abs(), PARTS.unsigned_abs());
            (symbol, i32::from(part) / i32::from(common), i32::from(PARTS) / i32::from(common))
        })
    }

    fn zip(self, other: Self, f: fn(i16, i16) -> Option<i16>) -> Option<Self> {
        let mut out = [0; 7];
        for ((to, &a), &b) in out.iter_mut().zip(&self.0).zip(&other.0) {
            *to = f(a, b)?;
        }
        Some(Self(out))
    }
}

/// `kg·m²/s²`-like, for messages: `kg*m^2/s^2` in the notation's own spelling.
impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let write = |(symbol, n, d): (&str, i32, i32)| match (n.abs(), d) {
            (1, 1) => symbol.to_string(),
            (n, 1) => format!("{symbol}^{n}"),
            (n, d) => format!("{symbol}^({n}/{d})"),
        };
        let over: Vec<_> = self.factors().filter(|t| t.1 > 0).map(write).collect();
        let under: Vec<_> = self.factors().filter(|t| t.1 < 0).map(write).collect();
        let top = if over.is_empty() { "1".into() } else { over.join("*") };
        match under.len() {
            0 => f.write_str(&top),
            1 => write!(f, "{top}/{}", under[0]),
            _ => write!(f, "{top}/({})", under.join("*")),
        }
    }
}

const fn gcd(a: u16, b: u16) -> u16 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_come_back_exactly() {
        let length = Dimension::new([1, 0, 0, 0, 0, 0, 0]);
        let root = length.power(1, 2).unwrap();
        assert_eq!(root.times(root), Some(length));
        assert_eq!(length.power_f64(1.0 / 3.0).and_then(|d| d.power(3, 1)), Some(length));
        assert_eq!(length.power_f64(0.1), None);
        assert_eq!(root.to_string(), "m^(1/2)");
    }

    #[test]
    fn writing_has_one_slash() {
        let d = |e| Dimension::new(e).to_string();
        assert_eq!(d([2, 1, -2, 0, 0, 0, 0]), "kg*m^2/s^2");
        assert_eq!(d([2, 0, -2, 0, -1, 0, 0]), "m^2/(s^2*K)");
        assert_eq!(d([0, 0, -1, 0, 0, 0, 0]), "1/s");
        assert_eq!(d([0; 7]), "1");
    }
}
