//! Pairs of correlated variables that are correlated with other pairs: slopes and intercepts of several lines
//! through the same points.
//!
//! Each pair keeps the two variables that it would have alone; what is remembered besides is the correlation
//! of each with each of another pair's. All variables here are of size one.

use std::collections::BTreeMap;

use super::{Node, Totals};

/// A variance below this part of the terms that it is the sum of is what the arithmetic of doubles leaves of nothing.
const NOISE: f64 = 1e-13;

#[derive(Debug, Default)]
pub(super) struct Ties {
    /// Of each variable: the earlier ones that it is correlated with.
    earlier: BTreeMap<Node, Vec<(Node, f64)>>,
    /// Of each variable: another of its family; the first of a family is its own.
    towards: BTreeMap<Node, Node>,
}

/// Variables that are correlated with one another, directly or by others between, with a quantity's sensitivities.
pub(super) struct Family {
    pub(super) members: Vec<(Node, f64)>,
    variance: f64,
}

impl Family {
    pub(super) fn deviation(&self) -> f64 {
        libm::sqrt(self.variance)
    }

    /// They are taken together before anything else is added.
    pub(super) fn totals(&self) -> Totals {
        Totals { limits: self.deviation(), squares: self.variance, variance: self.variance }
    }
}

impl Ties {
    /// Two pairs and the correlation of each variable of the later with each of the earlier.
    pub(super) fn tie(&mut self, earlier: [Node; 2], later: [Node; 2], correlations: [[f64; 2]; 2]) {
        for (variable, with) in later.into_iter().zip(correlations) {
            self.earlier.entry(variable).or_default().extend(earlier.into_iter().zip(with));
        }
        let first = self.first_of(earlier[0]);
        let other = self.first_of(later[0]);
        let heads = [earlier[0], earlier[1], later[0], later[1], other];
        self.towards.extend(heads.map(|variable| (variable, first)));
    }

    pub(super) fn hold(&self, variable: Node) -> bool {
        !self.towards.is_empty() && self.towards.contains_key(&variable)
    }

    fn first_of(&self, mut variable: Node) -> Node {
        while let Some(&next) = self.towards.get(&variable).filter(|&&next| next != variable) {
            variable = next;
        }
        variable
    }

    /// The families among these variables, which are in ascending order.
    pub(super) fn families(&self, variables: &[(Node, f64)]) -> impl Iterator<Item = Family> + use<'_> {
        let mut families: BTreeMap<Node, Vec<(Node, f64)>> = BTreeMap::new();
        for &(variable, c) in variables {
            families.entry(self.first_of(variable)).or_default().push((variable, c));
        }
        families.into_values().map(|members| Family { variance: self.variance(&members), members })
    }

    /// cᵀVc.
    fn variance(&self, members: &[(Node, f64)]) -> f64 {
        let (mut sum, mut size) = (0.0, 0.0);
        let mut add = |term: f64| {
            sum += term;
            size += term.abs();
        };
        for &(variable, c) in members {
            add(c * c);
            for &(other, r) in self.earlier.get(&variable).into_iter().flatten() {
                let found = members.binary_search_by_key(&other, |(node, _)| *node);
                found.ok().and_then(|place| members.get(place)).into_iter().for_each(|(_, of)| add(2.0 * r * c * of));
            }
        }
        if sum > NOISE * size { sum } else { 0.0 }
    }
}
