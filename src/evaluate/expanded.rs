//! Expanded uncertainties (JCGM 100:2008, 6.2 and G.4): what results show where a course asks for a coverage.

use super::sheet::{Measure, Quantity, Sheet};

/// An uncertainty that is meant to hold a large part of what could be attributed to the measurand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// The level of confidence, a fraction; `None` where the course gives the factor.
    pub level: Option<f64>,
    /// The coverage factor.
    pub factor: f64,
    /// That many standard uncertainties, in SI.
    pub uncertainty: f64,
}

impl Sheet {
    /// The effective degrees of freedom of a standard uncertainty; infinite where none are limited.
    pub fn dof(&self, measure: &Measure) -> f64 {
        self.propagation.dof(measure.node)
    }

    /// The expanded uncertainty of a value; `None` where the course asks for none, or nothing is uncertain.
    pub fn expanded(&self, measure: &Measure) -> Option<Expanded> {
        let factor = self.factors.of(self.dof(measure))?;
        let level = self.factors.level();
        let uncertainty = factor * measure.uncertainty;
        (uncertainty > 0.0).then_some(Expanded { level, factor, uncertainty })
    }

    /// The uncertainty that a report shows of a value of that quantity, in SI: of results the expanded one, where the
    /// course asks for it.
    pub fn reported(&self, quantity: &Quantity, measure: &Measure) -> f64 {
        let expanded = if quantity.origin.is_result() { self.expanded(measure) } else { None };
        expanded.map_or(measure.uncertainty, |expanded| expanded.uncertainty)
    }
}
