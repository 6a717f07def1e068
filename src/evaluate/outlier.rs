//! The test of a reading that stands apart from the rest.

use super::coverage;
use super::statistics::{count, mean, standard_deviation};

/// The reading that stands furthest from the mean of a series, and how unlikely that is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grubbs {
    /// Which value.
    pub index: usize,
    /// Its distance from the mean in standard deviations, both taken with it.
    pub statistic: f64,
    /// The most that the probability can be, were all values of one normal distribution, that the furthest
    /// of them stands as far out, on either side. ISO 5725-2 calls under 0.05 a straggler, under
    /// 0.01 an outlier.
    pub p: f64,
}

/// Grubbs' test, two-sided, of the furthest value; `None` of fewer than three values, and of
/// values that are all equal.
///
/// It holds for a normal distribution. Of three values, two of which are equal, nothing can be said:
/// the statistic is then as large as it can be, wherever the third lies; the caller decides from how
/// many values on it asks, and leaves alone what the scale's division explains.
///
/// Source: F. E. Grubbs, Technometrics 11 (1969) 1–21; used by ISO 5725-2:1994, 7.3.4. From memory.
pub fn grubbs(values: &[f64]) -> Option<Grubbs> {
    let (mean, deviation) = (mean(values)?, standard_deviation(values)?);
    if values.len() < 3 || deviation <= 0.0 {
        return None;
    }
    let distance = |index: &usize| values.get(*index).map_or(0.0, |value| (value - mean).abs());
    let index = (0..values.len()).max_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    let (n, statistic) = (count(values.len()), distance(&index) / deviation);
    let left = (n - 1.0) * (n - 1.0) - n * statistic * statistic;
    // Within rounding of its bound, (n − 1)/√n, all other values are equal.
    let t = match left > 8.0 * f64::EPSILON * n * n {
        true => statistic * libm::sqrt(n * (n - 2.0) / left),
        false => f64::INFINITY,
    };
    let p = (n * coverage::two_sided(t, n - 2.0)).min(1.0);
    Some(Grubbs { index, statistic, p })
}

/// The statistic of [`grubbs`] at which `p` is `level`; `None` of fewer than three values, and of a
/// level that is none.
pub fn grubbs_critical(n: usize, level: f64) -> Option<f64> {
    let (dof, n) = (count(n) - 2.0, count(n));
    let t = coverage::two_sided_quantile(level / n, dof)?;
    Some((n - 1.0) / libm::sqrt(n) * libm::sqrt(t * t / (dof + t * t))).filter(|_| dof > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_values_have_no_statistic() {
        assert_eq!(grubbs(&[1.0, 2.0]), None);
        assert_eq!(grubbs(&[1.0, 1.0, 1.0, 1.0]), None);
        assert_eq!(grubbs_critical(2, 0.05), None);
    }

    #[test]
    fn one_value_apart_from_equal_ones_is_as_far_out_as_can_be() {
        let found = grubbs(&[1.0, 1.0, 1.0, 1.1, 1.0]).unwrap();
        assert_eq!((found.index, found.p), (3, 0.0));
    }

    /// Grubbs' two-sided one-per-cent values as ISO 5725-2:1994, table 5, gives them, from memory.
    #[test]
    fn critical_values_are_those_of_the_table() {
        for (n, table) in [(4, 1.496), (5, 1.764), (6, 1.973), (10, 2.482), (20, 3.001)] {
            let critical = grubbs_critical(n, 0.01).unwrap();
            assert!((critical - table).abs() < 6e-4, "{n}: {critical}");
        }
    }
}
