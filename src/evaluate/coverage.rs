//! Student's t, the normal and the χ² distribution: coverage factors and probabilities.
//!
//! The table that reports are held to is JCGM 100:2008, G.2. Formulas of the incomplete beta and gamma
//! functions that name no other source: NIST Digital Library of Mathematical Functions, 8.7 and 8.9, from
//! memory.

use std::f64::consts::{PI, SQRT_2};

use super::statistics::{Sum, count};
use crate::quantity::Shape;

/// Above so many degrees of freedom the distance from the normal distribution is a series in 1/dof;
/// below, the continued fraction is quick and exact.
const MANY: f64 = 1e5;

/// Continued fractions stop at the last bit; none of ours needs a tenth of this.
const MOST_TERMS: usize = 20_000;

/// The factor k with P(|T| ≤ k) = `percent`; `dof` may be infinite or a fraction. `None` where the
/// level is not between 0 and 100 % or `dof` is not positive.
///
/// 68.27, 95.45 and 99.73 % mean exactly 1, 2 and 3 standard deviations of the normal distribution
/// (JCGM 100:2008, table G.2, note a).
pub fn coverage_factor(percent: f64, dof: f64) -> Option<f64> {
    let named = [(68.27, 1.0), (95.45, 2.0), (99.73, 3.0)];
    // A level that was a fraction has come back with a last bit of its own.
    let Some(&(_, deviations)) = named.iter().find(|(named, _)| (named - percent).abs() < 1e-9) else {
        return two_sided_quantile(1.0 - percent / 100.0, dof);
    };
    match dof == f64::INFINITY {
        true => Some(deviations),
        false => two_sided_quantile(libm::erfc(deviations / SQRT_2), dof),
    }
}

/// Cut to a whole number, as Student's t wants them (G.4.1); less than one stay as they are.
pub fn whole(dof: f64) -> f64 {
    if dof < 1.0 { dof } else { libm::floor(dof) }
}

/// The standard uncertainty per unit of an amount of that shape. Half-widths of intervals of a level are those of the
/// normal distribution, of Student's t where degrees of freedom are given (JCGM 100:2008, 4.3.4; H.1.3.2).
pub fn standard(shape: Shape, dof: Option<f64>) -> f64 {
    match (shape, dof) {
        (Shape::Level(level), Some(dof)) => {
            coverage_factor(100.0 * level, dof).map_or_else(|| shape.standard(), |factor| 1.0 / factor)
        }
        _ => shape.standard(),
    }
}

/// The t with P(|T| > t) = `p`, to the last bit; `dof` may be infinite. `None` where `p` is not
/// between 0 and 1 or `dof` is not positive.
pub fn two_sided_quantile(p: f64, dof: f64) -> Option<f64> {
    if !(p > 0.0 && p < 1.0 && dof > 0.0) {
        return None;
    }
    if dof > MANY {
        return Some(student_of_normal(quantile(p, |z| libm::erfc(z / SQRT_2)), dof));
    }
    Some(quantile(p, |t| two_sided(t, dof)))
}

/// P(|T| > |t|), Student's t of `dof` degrees of freedom, which may be infinite. `dof` has to be positive.
pub fn two_sided(t: f64, dof: f64) -> f64 {
    let t = t.abs();
    if t == 0.0 {
        return 1.0;
    }
    if t == f64::INFINITY {
        return 0.0;
    }
    // Further out the series gives fewer digits, and then diverges.
    if dof > MANY && t * t < dof * 1e-4 {
        return libm::erfc(normal_of_student(t, dof) / SQRT_2);
    }
    let (a, b) = (dof / 2.0, 0.5);
    // P = I_x(a, b) with x = ν/(ν + t²) and y = 1 − x.
    let (ratio, log) = match t < 1e150 {
        true => (t * t / dof, libm::log1p(t * t / dof)),
        false => (f64::INFINITY, 2.0 * libm::log(t) - libm::log(dof)),
    };
    let (x, y) = (1.0 / (1.0 + ratio), 1.0 / (1.0 + 1.0 / ratio));
    let front = libm::exp(-a * log) * libm::sqrt(y) * gamma_ratio(a) / libm::sqrt(PI);
    match (a + b) * y >= b {
        true => front * beta_fraction(a, b, x, y),
        false => 1.0 - front * beta_fraction(b, a, y, x),
    }
}

/// P(χ² > `chi_squared`) for `dof` degrees of freedom; 1 where there are none.
pub fn chi_squared_tail(chi_squared: f64, dof: usize) -> f64 {
    let (a, x) = (count(dof) / 2.0, chi_squared / 2.0);
    if dof == 0 || x <= 0.0 {
        return 1.0;
    }
    let front = libm::exp(a * libm::log(x) - x - libm::lgamma(a));
    match x < a + 1.0 {
        true => 1.0 - front * gamma_series(a, x),
        false => front * gamma_fraction(a, x),
    }
}

/// The effective degrees of freedom of independent contributions |c|·u with their own, by the
/// Welch–Satterthwaite formula (JCGM 100:2008, G.2b); infinite where none is limited.
pub fn effective_dof(contributions: &[(f64, f64)]) -> f64 {
    let largest = contributions.iter().fold(0.0_f64, |most, (u, _)| most.max(u.abs()));
    if largest == 0.0 {
        return f64::INFINITY;
    }
    let square = |u: f64| (u / largest) * (u / largest);
    let variance = contributions.iter().map(|&(u, _)| square(u)).collect::<Sum>().value();
    let fourth = contributions.iter().map(|&(u, dof)| square(u) * square(u) / dof).collect::<Sum>().value();
    variance * variance / fourth
}

/// Where a tail that falls from 1 to 0 comes down to `p`: bisected until no double lies between.
fn quantile(p: f64, tail: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    while tail(high) > p && high < f64::MAX / 2.0 {
        (low, high) = (high, high * 2.0);
    }
    loop {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            return middle;
        }
        match tail(middle) > p {
            true => low = middle,
            false => high = middle,
        }
    }
}

/// Γ(a + ½)/Γ(a). From 80 on the series in 1/a: DLMF 5.11.13, from memory; its next term is under 10⁻¹⁷ there.
fn gamma_ratio(a: f64) -> f64 {
    if a < 80.0 {
        return libm::tgamma(a + 0.5) / libm::tgamma(a);
    }
    let terms = [-399.0 / 262_144.0, -21.0 / 32_768.0, 5.0 / 1024.0, 1.0 / 128.0, -1.0 / 8.0, 1.0];
    libm::sqrt(a) * terms.iter().fold(869.0 / 4_194_304.0, |sum, term| sum / a + term)
}

/// The continued fraction of the incomplete beta function, without its front factor x^a·y^b/B(a, b), for
/// x ≤ a/(a + b). Of 1 − x = y no digit is lost, however near x is to 1.
///
/// Source: A. R. DiDonato, A. H. Morris, ACM Trans. Math. Softw. 18 (1992) 360–373 (algorithm 708), equation
/// 9, from memory.
fn beta_fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let lambda = if x < y { a - (a + b) * x } else { (a + b) * y - b };
    let under = |n: f64| {
        let share = n * (b - n) * x / (a + 2.0 * n - 1.0);
        n + share + (a + n) / (a + 2.0 * n + 1.0) * (lambda + 1.0 + n * (1.0 + y))
    };
    let over = |n: f64| {
        let middle = a + 2.0 * n - 1.0;
        (a + n - 1.0) / middle * ((a + b + n - 1.0) / middle) * (n * (b - n) * x * x)
    };
    1.0 / fraction(a / (a + 1.0) * (lambda + 1.0), |term| (over(count(term)), under(count(term))))
}

/// The continued fraction of the incomplete gamma function Γ(a, x) (DLMF 8.9.2), without its front factor;
/// quick for x > a + 1.
fn gamma_fraction(a: f64, x: f64) -> f64 {
    1.0 / fraction(x + 1.0 - a, |term| {
        let n = count(term);
        (n * (a - n), x + 2.0 * n + 1.0 - a)
    })
}

/// first + n₁/(d₁ + n₂/(d₂ + …)), from the front. Source: W. J. Lentz, Appl. Opt. 15 (1976) 668,
/// as modified by I. J. Thompson and A. R. Barnett; from memory.
fn fraction(first: f64, term: impl Fn(usize) -> (f64, f64)) -> f64 {
    let apart = |x: f64| if x.abs() < f64::MIN_POSITIVE { f64::MIN_POSITIVE } else { x };
    let mut value = apart(first);
    let (mut c, mut d) = (value, 0.0);
    for n in 1..MOST_TERMS {
        let (over, under) = term(n);
        d = 1.0 / apart(under + over * d);
        c = apart(under + over / c);
        value *= c * d;
        if (c * d - 1.0).abs() <= f64::EPSILON / 2.0 {
            break;
        }
    }
    value
}

/// The series of the incomplete gamma function γ(a, x) (DLMF 8.7.1), without its front factor; quick for x <
/// a + 1.
fn gamma_series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum) = (1.0 / a, 1.0 / a);
    for n in 1..MOST_TERMS {
        term *= x / (a + count(n));
        sum += term;
        if term <= f64::EPSILON / 2.0 * sum {
            break;
        }
    }
    sum
}

/// Student's t with the tail of a normal z; series in 1/dof.
/// Source: Abramowitz and Stegun, 26.7.5, from memory.
fn student_of_normal(z: f64, dof: f64) -> f64 {
    let s = z * z;
    let first = (s + 1.0) / 4.0;
    let second = ((5.0 * s + 16.0) * s + 3.0) / 96.0;
    let third = (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0;
    z * (1.0 + (first + (second + third / dof) / dof) / dof)
}

/// The normal z with the tail of Student's t; the inverse series of [`student_of_normal`]. Source: N. L.
/// Johnson, S. Kotz, N. Balakrishnan, Continuous Univariate Distributions 2, chapter 28, from memory; checked
/// by the tests to undo the other.
fn normal_of_student(t: f64, dof: f64) -> f64 {
    let s = t * t;
    let first = (s + 1.0) / 4.0;
    let second = ((13.0 * s + 8.0) * s + 3.0) / 96.0;
    let third = (((35.0 * s + 19.0) * s + 1.0) * s - 15.0) / 384.0;
    t * (1.0 - (first - (second - third / dof) / dof) / dof)
}
