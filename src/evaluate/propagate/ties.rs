//! Variables whose errors are correlated. Those that are tied to one another, by others between too, make a family: of a
//! family every quantity has one contribution, √(cᵀVc) (JCGM 100:2008, 5.2.2).

use std::collections::BTreeMap;

use super::{Entry, Node, Swept, Totals};

/// So many variables can be tied each to each: what that costs grows with the square of their number.
pub const MOST_TIED: usize = 64;

/// A variance below this part of the terms that it is the sum of is what the arithmetic of doubles leaves of nothing.
const NOISE: f64 = 1e-13;

/// What is known of correlated variables.
#[derive(Debug, Default)]
pub(super) struct Ties {
    /// Of each variable: those that its error is correlated with, and how strongly.
    with: BTreeMap<Node, Vec<(Node, f64)>>,
    /// Of each variable: an earlier one of its family; the first of a family is its own.
    towards: BTreeMap<Node, Node>,
    /// Of a variable that stands for all of a reading's errors: what these are.
    made_of: BTreeMap<Node, Vec<Entry>>,
}

impl Ties {
    /// Ties two variables, which may be uncorrelated and still be taken together.
    pub(super) fn tie(&mut self, a: Node, b: Node, correlation: f64) {
        for (one, other) in [(a, b), (b, a)] {
            let with = self.with.entry(one).or_default();
            if correlation != 0.0 {
                with.push((other, correlation));
            }
        }
        let heads = [self.family(a), self.family(b)];
        let first = heads[0].min(heads[1]);
        self.towards.extend([a, b, heads[0], heads[1]].map(|variable| (variable, first)));
    }

    /// The first variable of the family of one.
    pub(super) fn family(&self, mut variable: Node) -> Node {
        while let Some(&next) = self.towards.get(&variable).filter(|&&next| next != variable) {
            variable = next;
        }
        variable
    }

    /// Notes what a variable stands for.
    pub(super) fn stands_for(&mut self, node: Node, parts: Vec<Entry>) {
        self.made_of.insert(node, parts);
    }

    pub(super) fn parts_of(&self, node: Node) -> Option<&[Entry]> {
        self.made_of.get(&node).map(Vec::as_slice)
    }

    /// The tied variables of one quantity by their families.
    pub(super) fn families<'p>(&'p self, parts: &'p mut [Swept]) -> impl Iterator<Item = &'p [Swept]> {
        parts.sort_by_cached_key(|part| (self.family(part.node), part.node));
        parts.chunk_by(|a, b| self.family(a.node) == self.family(b.node))
    }

    /// What variables of one family come to.
    pub(super) fn together(&self, parts: &[Swept]) -> Totals {
        if let [alone] = parts {
            return alone.totals();
        }
        let pairs = self.pairs(parts);
        let squared = |size: fn(Totals) -> f64| {
            let sized: Vec<f64> = parts.iter().map(|part| part.sensitivity * size(part.own)).collect();
            squared_length(&sized, &pairs)
        };
        let variance = squared(|own| libm::sqrt(own.variance));
        // Exact where they were observed together, so that all have the same degrees of freedom; else the smallest
        // of them are a cautious choice.
        let dof = parts.iter().map(|part| part.own.dof()).fold(f64::INFINITY, f64::min);
        Totals {
            limits: libm::sqrt(squared(|own| own.limits)),
            squares: squared(|own| libm::sqrt(own.squares)),
            variance,
            fourth: variance * variance / dof,
        }
    }

    /// The correlated pairs among variables in ascending order, by their places.
    fn pairs(&self, parts: &[Swept]) -> Vec<(usize, usize, f64)> {
        let mut pairs = Vec::new();
        for (place, part) in parts.iter().enumerate() {
            for &(other, r) in self.with.get(&part.node).into_iter().flatten() {
                let before = parts[..place].binary_search_by_key(&other, |part| part.node);
                pairs.extend(before.ok().map(|before| (before, place, r)));
            }
        }
        pairs
    }

    /// Parts in a standard uncertainty, times the matrix of correlations: what it takes for a covariance. Ascending.
    pub(super) fn correlated(&self, shares: &[(Node, f64)]) -> Vec<(Node, f64)> {
        let with = |&(node, x): &(Node, f64)| {
            let others = self.with.get(&node).into_iter().flatten().map(move |&(other, r)| (other, r * x));
            others.chain([(node, x)])
        };
        let mut all: Vec<_> = shares.iter().flat_map(with).collect();
        all.sort_by_key(|&(node, _)| node);
        all.dedup_by(|next, kept| {
            let same = next.0 == kept.0;
            if same {
                kept.1 += next.1;
            }
            same
        });
        all
    }
}

/// xᵀRx, which is nothing where it cancels.
fn squared_length(x: &[f64], pairs: &[(usize, usize, f64)]) -> f64 {
    let own = x.iter().map(|x| x * x);
    let both = pairs.iter().map(|&(a, b, r)| 2.0 * r * x[a] * x[b]);
    let (sum, size) = own.chain(both).fold((0.0, 0.0), |(sum, size), term: f64| (sum + term, size + term.abs()));
    if sum > NOISE * size { sum } else { 0.0 }
}
