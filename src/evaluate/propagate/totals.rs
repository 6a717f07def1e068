//! What errors add up to, by every way of combining.

use crate::course::Combine;

/// By so small a part a number of degrees of freedom can be off a whole one that it is.
const NOISE: f64 = 1e-9;

/// What the sources of a quantity add up to, by every way of combining.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Σ |c·a|
    pub(super) limits: f64,
    /// Σ (c·a)²
    pub(super) squares: f64,
    /// Σ (c·s)²
    pub(super) variance: f64,
    /// Σ (c·s)⁴/ν
    pub(super) fourth: f64,
}

impl Totals {
    pub(super) fn of_source(amount: f64, standard: f64, dof: f64) -> Self {
        let variance = standard * standard;
        Self { limits: amount.abs(), squares: amount * amount, variance, fourth: variance * variance / dof }
    }

    /// The effective degrees of freedom by the Welch–Satterthwaite formula (JCGM 100:2008, G.4.1, equation G.2b);
    /// infinite where none are limited.
    pub fn dof(self) -> f64 {
        let root = libm::sqrt(self.fourth);
        if !(root > 0.0 && root.is_finite()) {
            return f64::INFINITY;
        }
        let dof = (self.variance / root) * (self.variance / root);
        // Of a source with 5 the arithmetic of doubles can leave 4.999…, and that would be cut to 4.
        let whole = libm::floor(dof * (1.0 + NOISE));
        if (dof - whole).abs() <= NOISE * dof { whole } else { dof }
    }

    /// The combined uncertainty.
    pub fn combined(self, combine: Combine) -> f64 {
        match combine {
            Combine::Sum => self.limits,
            Combine::Quadrature => libm::sqrt(self.squares),
            Combine::Standard => libm::sqrt(self.variance),
        }
    }

    pub(super) fn scaled(self, p: f64) -> Self {
        let square = p * p;
        Self {
            limits: self.limits * p.abs(),
            squares: self.squares * p * p,
            variance: self.variance * p * p,
            fourth: self.fourth * square * square,
        }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        Self {
            limits: self.limits + other.limits,
            squares: self.squares + other.squares,
            variance: self.variance + other.variance,
            fourth: self.fourth + other.fourth,
        }
    }

    pub(super) fn is_zero(self) -> bool {
        self.limits == 0.0 && self.variance == 0.0
    }
}
