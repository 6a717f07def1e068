//! Expanded uncertainties (JCGM 100:2008, 6.2 and G.4): what results show where a course asks for a coverage.

use std::collections::BTreeMap;

use super::coverage;
use super::propagate::{Node, Propagation};
use super::sheet::{Measure, Quantity, Sheet};
use crate::course::{Combine, Course, Coverage};

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

/// The coverage factors of a report, each found once.
#[derive(Clone, Debug, Default)]
pub struct Factors {
    coverage: Option<Coverage>,
    /// By degrees of freedom, bit for bit.
    known: BTreeMap<u64, f64>,
}

impl Factors {
    /// For a course; without a coverage, or where uncertainties are not standard ones, there are none.
    pub(super) fn new(course: &Course) -> Self {
        let coverage = course.coverage.filter(|_| course.combine == Combine::Standard);
        Self { coverage, known: BTreeMap::new() }
    }

    /// Finds the factor for so many degrees of freedom, if it is not known.
    pub(super) fn learn(&mut self, dof: f64) {
        if let Some(Coverage::Level(level)) = self.coverage {
            let dof = whole(dof);
            let found = || coverage::coverage_factor(100.0 * level, dof).unwrap_or(f64::NAN);
            self.known.entry(dof.to_bits()).or_insert_with(found);
        }
    }

    /// The factor for so many degrees of freedom.
    fn of(&self, dof: f64) -> Option<f64> {
        match self.coverage? {
            Coverage::Factor(factor) => Some(factor),
            Coverage::Level(level) => {
                let dof = whole(dof);
                let known = self.known.get(&dof.to_bits()).copied();
                known.or_else(|| coverage::coverage_factor(100.0 * level, dof)).filter(|factor| factor.is_finite())
            }
        }
    }

    /// The expanded uncertainty of a node, in SI; `None` where the course asks for none.
    pub(super) fn reach(&self, node: Node, propagation: &Propagation) -> Option<f64> {
        Some(self.of(propagation.dof(node))? * propagation.combined(node)?)
    }
}

/// Cut to a whole number, as Student's t wants them (G.4.1); less than one stay as they are.
pub fn whole(dof: f64) -> f64 {
    if dof < 1.0 { dof } else { libm::floor(dof) }
}

impl Sheet {
    /// The effective degrees of freedom of a standard uncertainty; infinite where none are limited.
    pub fn dof(&self, measure: &Measure) -> f64 {
        self.propagation.dof(measure.node)
    }

    /// The expanded uncertainty of a value; `None` where the course asks for none, or nothing is uncertain.
    pub fn expanded(&self, measure: &Measure) -> Option<Expanded> {
        let factor = self.factors.of(self.dof(measure))?;
        let level = match self.factors.coverage {
            Some(Coverage::Level(level)) => Some(level),
            _ => None,
        };
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
