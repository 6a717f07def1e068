//! The scatter of readings of one quantity (JCGM 100:2008, 4.2), and what a course takes of it.

use super::statistics::{self, count};
use crate::course::{Combine, Course, Repeat};

/// The scatter of a few values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scatter {
    /// How many there are.
    pub(super) count: f64,
    /// Standard deviation of one value (4.2.2).
    pub(super) deviation: f64,
    /// Standard deviation of their mean (4.2.3).
    of_mean: f64,
    /// Half the largest less half the smallest.
    half_range: f64,
}

impl Scatter {
    /// Of `values`; `None` of fewer than two.
    pub(super) fn of(values: &[f64]) -> Option<Self> {
        Some(Self {
            count: count(values.len()),
            deviation: statistics::standard_deviation(values)?,
            of_mean: statistics::standard_error(values)?,
            half_range: statistics::half_range(values)?,
        })
    }

    /// What the course takes the uncertainty of the mean to be. Under `standard` it is always the
    /// standard error.
    pub(super) const fn taken(&self, course: &Course) -> f64 {
        match (course.combine, course.repeat) {
            (Combine::Standard, _) | (_, Repeat::StandardError) => self.of_mean,
            (_, Repeat::StandardDeviation) => self.deviation,
            (_, Repeat::HalfRange) => self.half_range,
        }
    }
}
