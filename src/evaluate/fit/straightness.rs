//! Do the points follow a straight line at all? Two tests that residuals of a bent relation fail.

use std::borrow::Cow;
use std::f64::consts::SQRT_2;

use super::{Line, Method, Options, Point};
use crate::evaluate::coverage;
use crate::evaluate::statistics::{Sum, count, to_near_one};

/// The signs of the residuals in the order of x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runs {
    /// How many residuals are positive.
    pub positive: usize,
    /// How many are negative. Those of 0 do not count.
    pub negative: usize,
    /// How many stretches of one sign there are.
    pub runs: usize,
    /// How many there would be on average, were all orders of the signs equally likely.
    pub expected: f64,
    /// The probability of so few runs or fewer under that condition: small where the points bend.
    pub p: f64,
}

/// Up to so many signs the probability is the exact one; the normal distribution that is used above differs
/// from it by less than a tenth even four standard deviations out.
const EXACT: usize = 400;

/// The runs test. `None` where all residuals have one sign or are 0.
///
/// Residuals of a fitted line are not quite independent: they turn a little more often than the test
/// supposes, so that it errs by keeping silent.
///
/// Source: A. Wald, J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147–162, from memory.
pub fn runs(points: &[Point], line: &Line) -> Option<Runs> {
    let line = least_squares(points, line)?;
    let mut order: Vec<&Point> = points.iter().collect();
    order.sort_by(|a, b| a.x.total_cmp(&b.x));
    let (mut positive, mut negative, mut runs, mut last) = (0, 0, 0, None);
    for residual in order.into_iter().map(|point| line.residual(point)).filter(|&r| r != 0.0) {
        let above = residual > 0.0;
        if above {
            positive += 1
        } else {
            negative += 1
        }
        runs += usize::from(last != Some(above));
        last = Some(above);
    }
    runs_of(positive, negative, runs)
}

/// The runs test of so many signs of each kind.
fn runs_of(positive: usize, negative: usize, runs: usize) -> Option<Runs> {
    if positive == 0 || negative == 0 {
        return None;
    }
    let (a, b) = (count(positive), count(negative));
    let expected = 1.0 + 2.0 * a * b / (a + b);
    let p = match positive + negative <= EXACT {
        true => exact_tail(a, b, runs),
        false => normal_tail(a, b, runs),
    };
    Some(Runs { positive, negative, runs, expected, p })
}

/// The probability of so few runs or fewer of a and b signs.
fn exact_tail(a: f64, b: f64, runs: usize) -> f64 {
    (2..=runs).map(|runs| probability(a, b, runs)).collect::<Sum>().value().min(1.0)
}

/// The same, by the normal distribution of the same mean and variance.
fn normal_tail(a: f64, b: f64, runs: usize) -> f64 {
    let above_one = 2.0 * a * b / (a + b);
    let variance = above_one * (above_one - 1.0) / (a + b - 1.0);
    // Half a run more, as the count goes in steps of one.
    let z = (count(runs) - 0.5 - above_one) / libm::sqrt(variance);
    libm::erfc(-z / SQRT_2) / 2.0
}

/// The probability of exactly so many runs of a and b signs.
fn probability(a: f64, b: f64, runs: usize) -> f64 {
    let all = ln_choose(a + b, a);
    // Both kinds have k runs, or one of them k + 1.
    let ways = |of_a: usize, of_b: usize| {
        libm::exp(ln_choose(a - 1.0, count(of_a) - 1.0) + ln_choose(b - 1.0, count(of_b) - 1.0) - all)
    };
    let k = runs / 2;
    match runs % 2 {
        0 => 2.0 * ways(k, k),
        _ => ways(k + 1, k) + ways(k, k + 1),
    }
}

/// The logarithm of n over k; −∞ where there is no way to choose.
fn ln_choose(n: f64, k: f64) -> f64 {
    match k >= 0.0 && k <= n {
        true => libm::lgamma(n + 1.0) - libm::lgamma(k + 1.0) - libm::lgamma(n - k + 1.0),
        false => f64::NEG_INFINITY,
    }
}

/// What a term in x² would add to a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curvature {
    /// Its coefficient: y = a + b·x + c·x².
    pub quadratic: f64,
    /// c over its standard uncertainty; infinite where the points lie on a parabola. F of Mandel's test is
    /// its square.
    pub t: f64,
    /// Degrees of freedom of the parabola.
    pub dof: usize,
    /// The probability that |t| is as large or larger, were the points scattered about a straight line.
    pub p: f64,
}

/// Mandel's fitting test: does a parabola describe the points better than the line? With the weights of the
/// fit, and the scatter about the parabola. `None` where the parabola has no degrees of freedom, where there
/// are fewer than three different x (through the origin two, 0 aside), and where all points lie on the line.
///
/// Source: J. Mandel, The Statistical Analysis of Experimental Data, Interscience 1964; as a test of
/// linearity in ISO 8466-1:1990. From memory.
pub fn curvature(points: &[Point], line: &Line) -> Option<Curvature> {
    let line = least_squares(points, line)?;
    let dof = line.dof.checked_sub(1).filter(|&dof| dof > 0)?;
    let bend = Bend::new(points, &line);
    let [mut bending, mut spread, mut squares, mut all] = [Sum::default(); 4];
    for point in points {
        let (w, z, r) = (line.weight(point), bend.of(point), line.residual(point) * bend.y_scale);
        bending.add(w * z * r);
        spread.add(w * z * z);
        squares.add(w * r * r);
        let u = (point.x - bend.centre) * bend.x_scale;
        all.add(w * u * u * u * u);
    }
    let (spread, squares) = (spread.value(), squares.value());
    // Where x takes too few values, only rounding is left of the part of x² that a line cannot follow.
    if spread <= 1e-20 * all.value() || squares <= 0.0 {
        return None;
    }
    let c = bending.value() / spread;
    let left = squares - c * c * spread;
    let t = match left > 64.0 * f64::EPSILON * squares {
        true => c * libm::sqrt(spread * count(dof) / left),
        false => f64::INFINITY.copysign(c),
    };
    let quadratic = c * bend.x_scale * bend.x_scale / bend.y_scale;
    Some(Curvature { quadratic, t, dof, p: coverage::two_sided(t, count(dof)) })
}

/// The part of x² that is orthogonal to the line's own terms: u² − first·u − zeroth, with u counted from the
/// centre.
struct Bend {
    x_scale: f64,
    y_scale: f64,
    centre: f64,
    first: f64,
    zeroth: f64,
}

impl Bend {
    fn new(points: &[Point], line: &Line) -> Self {
        let weights = points.iter().map(|point| line.weight(point)).collect::<Sum>().value();
        let through_origin = line.options.through_origin;
        let centre = if through_origin { 0.0 } else { weighted_x(points, line, weights) };
        let (x_scale, y_scale) = (x_scale(points, line), line.gradient.scale.y);
        let [mut second, mut third] = [Sum::default(); 2];
        for point in points {
            let (w, u) = (line.weight(point), (point.x - centre) * x_scale);
            second.add(w * u * u);
            third.add(w * u * u * u);
        }
        let zeroth = if through_origin { 0.0 } else { second.value() / weights };
        Self { x_scale, y_scale, centre, first: third.value() / second.value(), zeroth }
    }

    fn of(&self, point: &Point) -> f64 {
        let u = (point.x - self.centre) * self.x_scale;
        u * u - self.first * u - self.zeroth
    }
}

/// The line whose residuals are looked at: of [`Method::ExtremeLines`], which has no smallest residuals, that
/// of ordinary least squares.
pub(super) fn least_squares<'l>(points: &[Point], line: &'l Line) -> Option<Cow<'l, Line>> {
    match line.options.method {
        Method::ExtremeLines => {
            let options = Options { method: Method::Scatter, ..line.options };
            super::line(points, options).ok().map(Cow::Owned)
        }
        _ => Some(Cow::Borrowed(line)),
    }
}

/// The weighted mean of x.
pub(super) fn weighted_x(points: &[Point], line: &Line, weights: f64) -> f64 {
    let first = points.first().map_or(0.0, |point| point.x);
    let about = points.iter().map(|point| line.weight(point) * (point.x - first)).collect::<Sum>().value();
    first + about / weights
}

/// The power of two that brings the spread of x near 1; through the origin, x itself.
pub(super) fn x_scale(points: &[Point], line: &Line) -> f64 {
    let from = points.first().filter(|_| !line.options.through_origin).map_or(0.0, |point| point.x);
    to_near_one(points.iter().map(|point| (point.x - from).abs()).fold(0.0, f64::max))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_tail_takes_over_where_it_is_near_the_exact_one() {
        for runs in [160, 180, 190, 200, 210] {
            let (exact, normal) = (exact_tail(200.0, 200.0, runs), normal_tail(200.0, 200.0, runs));
            assert!((exact - normal).abs() < 0.1 * exact, "{runs}: {exact}, {normal}");
        }
    }

    #[test]
    fn all_numbers_of_runs_make_certain() {
        for (positive, negative) in [(1, 1), (1, 9), (7, 12), (200, 200)] {
            let most = 2 * positive.min(negative) + usize::from(positive != negative);
            let p = runs_of(positive, negative, most).unwrap().p;
            assert!((p - 1.0).abs() < 1e-10, "{positive}, {negative}: {p}");
        }
        assert_eq!(runs_of(0, 5, 1), None);
    }
}
