//! Coverage factors (JCGM 100:2008, 6.3 and G.4), as a course asks for them.

use std::collections::BTreeMap;

use super::coverage;
use super::propagate::{Node, Propagation};
use crate::course::{Combine, Course, Coverage};

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
            let dof = coverage::whole(dof);
            let found = || coverage::coverage_factor(100.0 * level, dof).unwrap_or(f64::NAN);
            self.known.entry(dof.to_bits()).or_insert_with(found);
        }
    }

    /// The level of confidence that the course asks for, a fraction; `None` where it gives the factor.
    pub(super) fn level(&self) -> Option<f64> {
        match self.coverage {
            Some(Coverage::Level(level)) => Some(level),
            _ => None,
        }
    }

    /// The factor for so many degrees of freedom.
    pub(super) fn of(&self, dof: f64) -> Option<f64> {
        match self.coverage? {
            Coverage::Factor(factor) => Some(factor),
            Coverage::Level(level) => {
                let dof = coverage::whole(dof);
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
