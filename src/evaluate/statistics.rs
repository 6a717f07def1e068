//! Sums that do not lose digits; means and scatters.
//! Pure functions of slices: they know no units and no report.

/// A number of things as a double.
#[expect(clippy::cast_precision_loss, reason = "no slice holds 2^53 values")]
pub const fn count(n: usize) -> f64 {
    n as f64
}

/// A sum that keeps what each addition rounds off, and adds it at the end.
///
/// Source: A. Neumaier, Z. angew. Math. Mech. 54 (1974) 39–51; the rounding error of an addition
/// without a comparison after D. E. Knuth, The Art of Computer Programming 2, 4.2.2. From memory.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sum {
    head: f64,
    rest: f64,
}

impl Sum {
    /// Adds one term.
    pub fn add(&mut self, term: f64) {
        let (head, error) = two_sum(self.head, term);
        self.head = head;
        self.rest += error;
    }

    /// What the terms come to.
    pub fn value(self) -> f64 {
        self.head + self.rest
    }
}

impl FromIterator<f64> for Sum {
    fn from_iter<I: IntoIterator<Item = f64>>(terms: I) -> Self {
        let mut sum = Self::default();
        terms.into_iter().for_each(|term| sum.add(term));
        sum
    }
}

/// a + b as the rounded sum and its rounding error, which is a double as well.
pub fn two_sum(a: f64, b: f64) -> (f64, f64) {
    let sum = a + b;
    let of_b = sum - a;
    let of_a = sum - of_b;
    (sum, (a - of_a) + (b - of_b))
}

/// The arithmetic mean; `None` of nothing, and where it does not fit a double.
///
/// Taken about the first value, so that the mean of equal values is that value.
pub fn mean(values: &[f64]) -> Option<f64> {
    let &first = values.first()?;
    let mut sum = Sum::default();
    for &value in values {
        let (difference, error) = two_sum(value, -first);
        sum.add(difference);
        sum.rest += error;
    }
    Some(first + sum.value() / count(values.len())).filter(|mean| mean.is_finite())
}

/// The experimental standard deviation, √(Σ(x − x̄)²/(n − 1)) (JCGM 100:2008, 4.2.2); `None` of
/// fewer than two values, and where it does not fit a double.
///
/// The mean's own rounding is taken out again: Σd² − (Σd)²/n.
/// Source: T. F. Chan, G. H. Golub, R. J. LeVeque, Am. Stat. 37 (1983) 242–247, from memory.
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    let mean = mean(values)?;
    let furthest = values.iter().fold(0.0_f64, |most, value| most.max((value - mean).abs()));
    let scale = to_near_one(furthest);
    let (mut sum, mut squares) = (Sum::default(), Sum::default());
    for value in values {
        let deviation = (value - mean) * scale;
        sum.add(deviation);
        squares.add(deviation * deviation);
    }
    let n = count(values.len());
    let squares = squares.value() - sum.value() * sum.value() / n;
    let deviation = libm::sqrt(squares.max(0.0) / (n - 1.0)) / scale;
    Some(deviation).filter(|deviation| values.len() > 1 && deviation.is_finite())
}

/// The experimental standard deviation of the mean, s/√n (JCGM 100:2008, 4.2.3); `None` of fewer
/// than two values.
pub fn standard_error(values: &[f64]) -> Option<f64> {
    Some(standard_deviation(values)? / libm::sqrt(count(values.len())))
}

/// The middle value, or the mean of the two in the middle; `None` of nothing.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    match sorted.len() % 2 {
        0 => sorted.get(sorted.len() / 2 - 1).map(|lower| lower + (upper - lower) / 2.0),
        _ => Some(upper),
    }
}

/// Half of the distance from the least to the greatest value; `None` of nothing.
pub fn half_range(values: &[f64]) -> Option<f64> {
    let least = values.iter().copied().reduce(f64::min)?;
    let most = values.iter().copied().reduce(f64::max)?;
    Some(most / 2.0 - least / 2.0)
}

/// Several results of one quantity, weighted by their standard uncertainties.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeightedMean {
    /// Σ(x/u²)/Σ(1/u²)
    pub mean: f64,
    /// 1/√Σ(1/u²), which supposes that the results are independent.
    pub uncertainty: f64,
    /// Σ((x − x̄)/u)²
    pub chi_squared: f64,
    /// How many results, less one.
    pub dof: usize,
}

impl WeightedMean {
    /// √(χ²/dof): by how much the results scatter more than their uncertainties say; `None` of one result.
    ///
    /// Source: R. T. Birge, Phys. Rev. 40 (1932) 207–227, from memory.
    pub fn birge_ratio(&self) -> Option<f64> {
        (self.dof > 0).then(|| libm::sqrt(self.chi_squared / count(self.dof)))
    }
}

/// The weighted mean of values and their standard uncertainties; `None` of nothing, where an
/// uncertainty is not positive, and where it does not fit a double.
pub fn weighted_mean(results: &[(f64, f64)]) -> Option<WeightedMean> {
    let &(first, _) = results.first()?;
    let least = results.iter().map(|&(_, u)| u).reduce(f64::min).filter(|&least| least > 0.0)?;
    let weight = |u: f64| (least / u) * (least / u);
    let weights = results.iter().map(|&(_, u)| weight(u)).collect::<Sum>().value();
    let about = results.iter().map(|&(x, u)| weight(u) * (x - first)).collect::<Sum>().value();
    let mean = first + about / weights;
    let square = |(x, u): (f64, f64)| ((x - mean) / u) * ((x - mean) / u);
    let chi_squared = results.iter().copied().map(square).collect::<Sum>().value();
    let uncertainty = least / libm::sqrt(weights);
    let fits = [mean, uncertainty, chi_squared].iter().all(|figure| figure.is_finite());
    fits.then_some(WeightedMean { mean, uncertainty, chi_squared, dof: results.len() - 1 })
}

/// The power of two that brings a number to between 1 and 2, as far as a double can hold that power; of
/// nothing, 1.
pub(super) fn to_near_one(number: f64) -> f64 {
    match number > 0.0 && number.is_finite() {
        true => libm::ldexp(1.0, (-libm::ilogb(number)).clamp(-1000, 1000)),
        false => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_values_have_exactly_their_mean_and_no_scatter() {
        for n in 2..50 {
            for value in [0.1, 1.3, -7.7e-5, 3.3e200] {
                assert_eq!(mean(&vec![value; n]), Some(value));
                assert_eq!(standard_deviation(&vec![value; n]), Some(0.0));
            }
        }
    }

    #[test]
    fn too_few_values_have_no_statistic() {
        assert_eq!(mean(&[]), None);
        assert_eq!(median(&[]), None);
        assert_eq!(half_range(&[]), None);
        assert_eq!(standard_deviation(&[1.0]), None);
        assert_eq!(standard_error(&[]), None);
        assert_eq!(weighted_mean(&[]), None);
        assert_eq!(weighted_mean(&[(1.0, 0.0)]), None);
    }

    #[test]
    fn order_statistics() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(half_range(&[1.32, 1.25, 1.35]), Some(1.35 / 2.0 - 1.25 / 2.0));
    }

    #[test]
    fn large_and_small_values_keep_their_scatter() {
        let near_one = standard_deviation(&[1.0, 2.0, 4.0]).unwrap();
        for scale in [libm::ldexp(1.0, 1000), libm::ldexp(1.0, -1000)] {
            let scaled = [scale, 2.0 * scale, 4.0 * scale];
            assert_eq!(standard_deviation(&scaled), Some(near_one * scale));
        }
    }

    #[test]
    fn a_weighted_mean_by_hand() {
        // Weights 4 and 1: (4·10 + 1·15)/5, u = 1/√5, χ² = (2·1)² + (1·4)².
        let mean = weighted_mean(&[(10.0, 0.5), (15.0, 1.0)]).unwrap();
        assert!((mean.mean - 11.0).abs() < 1e-14);
        assert!((mean.uncertainty - 1.0 / libm::sqrt(5.0)).abs() < 1e-15);
        assert!((mean.chi_squared - 20.0).abs() < 1e-13);
        assert!((mean.birge_ratio().unwrap() - libm::sqrt(20.0)).abs() < 1e-14);
        assert_eq!(weighted_mean(&[(3.0, 0.1)]).unwrap().birge_ratio(), None);
    }
}
