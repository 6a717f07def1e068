//! The scatter of readings of one quantity (JCGM 100:2008, 4.2).

use crate::course::{Combine, Course, Repeat};

/// Mean and scatter of a few values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scatter {
    /// How many there are.
    pub(super) count: f64,
    /// Their mean.
    pub(super) mean: f64,
    /// Standard deviation of one value (4.2.2).
    pub(super) deviation: f64,
    /// Half the largest less half the smallest.
    half_range: f64,
}

impl Scatter {
    /// Of `values` about their `mean`; `None` of fewer than two.
    pub(super) fn of(values: &[f64], mean: f64) -> Option<Self> {
        let count = number(values.len());
        if count < 2.0 {
            return None;
        }
        let squares: f64 = values.iter().map(|x| (x - mean) * (x - mean)).sum();
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let deviation = libm::sqrt(squares / (count - 1.0));
        Some(Self { count, mean, deviation, half_range: (most - least) / 2.0 })
    }

    /// Standard deviation of the mean (4.2.3).
    pub(super) fn of_mean(&self) -> f64 {
        self.deviation / libm::sqrt(self.count)
    }

    /// What the course takes the uncertainty of the mean to be. Under `standard` it is always the
    /// standard error.
    pub(super) fn taken(&self, course: &Course) -> f64 {
        match (course.combine, course.repeat) {
            (Combine::Standard, _) | (_, Repeat::StandardError) => self.of_mean(),
            (_, Repeat::StandardDeviation) => self.deviation,
            (_, Repeat::HalfRange) => self.half_range,
        }
    }
}

/// A count as a number. No report has the 2^53 values from which on that loses any.
#[expect(clippy::cast_precision_loss, reason = "the sentence above")]
pub(super) const fn number(count: usize) -> f64 {
    count as f64
}

/// The mean, to the last bits: the mean of the rounding errors is added back.
pub(super) fn mean(values: &[f64]) -> f64 {
    let count = number(values.len());
    let first = values.iter().sum::<f64>() / count;
    first + values.iter().map(|x| x - first).sum::<f64>() / count
}
