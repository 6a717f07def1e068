//! Sensitivities of quantities to independent variables, behind a few verbs.
//!
//! What is kept of a report is a *tape*: every source and every quantity is a node, a quantity's edges
//! are the partial derivatives by its distinct operands. From it follow, in one pass, the totals of
//! all nodes ([`Propagation::settle`]); and on demand, by one sweep over a node's own cone, its
//! sensitivities to single sources ([`Propagation::contributions`]).
//!
//! # How one pass stays linear
//!
//! Carrying a full list of sensitivities from quantity to quantity makes a running sum cost the square
//! of its length. Three observations avoid that, and none of them approximates:
//!
//! - *Alone.* What reaches the rest of the report only through one quantity need not travel as a
//!   list. All of it shares every later factor, so Σ|c·a|, Σ(c·a)² and Σ(c·s)² scale by |p|, p² and p².
//! - *Named.* A quantity that may meet itself again further on becomes a variable of its own, whose
//!   amounts are what it has alone.
//! - *Shared.* A list that has grown long is stored once, as a block; what builds on it holds the
//!   block times a factor, and a short patch of its own.
//!
//! Where every quantity is used by two later ones, all ways known are quadratic; past
//! `settle::MOST_ENTRIES` the totals of what follows are not known.
//!
//! Variables that are correlated keep their names, so that those of a family meet wherever two of them come together.

mod correlate;
mod reach;
mod settle;
mod ties;
mod totals;

use std::collections::BTreeMap;

use crate::course::Combine;
use ties::Ties;

pub use reach::Reached;
pub use ties::MOST_TIED;
pub use totals::Totals;

/// A quantity or a source in a [`Propagation`]. Later nodes have larger numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(u32);

impl Node {
    pub(super) const fn index(self) -> usize {
        self.0 as usize
    }
}

/// One source's part in a quantity's uncertainty, in the coherent SI unit of the quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// The source; of correlated ones the first.
    pub source: Node,
    /// Where several correlated ones make this contribution together: all of them.
    pub members: Vec<Node>,
    /// The sensitivity coefficient, in SI; of several that of a variable of the size of all of them together.
    pub sensitivity: f64,
    /// |c·a|, under `standard` |c|·s.
    pub contribution: f64,
    /// Its share of the whole: of the sum under `sum`, else of the sum of squares. 0 to 1.
    pub share: f64,
}

/// Two correlated variables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correlated {
    /// Both of them.
    pub variables: [Node; 2],
    /// The independent variables of size one that they stand on: the first alone on the first, the second on both.
    pub stand_on: [Node; 2],
}

/// An edge of the tape, or an entry of a list of sensitivities.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Entry {
    node: Node,
    coefficient: f64,
}

/// Everything that is known of how errors travel through a report.
#[derive(Debug, Default)]
pub struct Propagation {
    combine: Combine,
    /// Of each node: where its edges end in `edges`; they start where the node before ends.
    ends: Vec<usize>,
    edges: Vec<Entry>,
    /// Of each node: what it brings in itself; zero but for sources.
    own: Vec<Totals>,
    /// Of each node: can its value be wrong at all?
    uncertain: Vec<bool>,
    /// Of each node: is it a variable that is tied to others?
    tied: Vec<bool>,
    ties: Ties,
    totals: Vec<Option<Totals>>,
}

impl Propagation {
    /// For a report whose course combines so.
    pub fn new(combine: Combine) -> Self {
        Self { combine, ..Self::default() }
    }

    /// An independent variable whose error is at most `amount`, or has the standard deviation
    /// `standard`, both in SI; `dof`, which may be infinite, says how well the latter is known.
    pub fn source(&mut self, amount: f64, standard: f64, dof: f64) -> Node {
        self.push(Totals::of_source(amount, standard, dof), amount != 0.0 || standard != 0.0)
    }

    /// Two variables of which the errors are correlated: standard deviations, which are known with so many degrees of
    /// freedom, and correlation coefficient, in SI. They stand on two uncorrelated ones, which every way of combining
    /// takes together, as √(cᵀVc): a slope and its intercept make one contribution.
    pub fn correlated(&mut self, deviations: [f64; 2], correlation: f64, dof: f64) -> Correlated {
        let [first, second] = [self.source(1.0, 1.0, dof), self.source(1.0, 1.0, dof)];
        self.tie(first, second, 0.0);
        let [a, b] = deviations;
        let rest = libm::sqrt(((1.0 - correlation) * (1.0 + correlation)).max(0.0));
        let variables = [self.quantity([(first, a)]), self.quantity([(first, b * correlation), (second, b * rest)])];
        Correlated { variables, stand_on: [first, second] }
    }

    /// Ties two variables by their correlation coefficient. All that are tied to one another, by others between too,
    /// make one contribution, √(cᵀVc).
    pub fn tie(&mut self, a: Node, b: Node, correlation: f64) {
        self.tied[a.index()] = true;
        self.tied[b.index()] = true;
        self.ties.tie(a, b, correlation);
    }

    /// A variable that takes the place of several others, of which nothing else is made: all that they come to in
    /// `parts`, each a source with its sensitivity. Where it is the only one of its family in a quantity, it makes the
    /// contributions that they would make.
    pub fn in_place_of(&mut self, parts: &[(Node, f64)]) -> Node {
        let own = |&(node, c): &(Node, f64)| self.own[node.index()].scaled(c);
        let totals = parts.iter().map(own).fold(Totals::default(), Totals::plus);
        let node = self.push(totals, !totals.is_zero());
        let parts = parts.iter().map(|&(node, coefficient)| Entry { node, coefficient });
        self.ties.stands_for(node, parts.collect());
        node
    }

    /// A quantity with its partial derivatives by its distinct operands, each of them a node already.
    pub fn quantity(&mut self, operands: impl IntoIterator<Item = (Node, f64)>) -> Node {
        let start = self.edges.len();
        let known = operands.into_iter().filter(|&(_, p)| p != 0.0);
        self.edges.extend(known.map(|(node, coefficient)| Entry { node, coefficient }));
        let uncertain = self.edges[start..].iter().any(|edge| self.uncertain[edge.node.index()]);
        self.push(Totals::default(), uncertain)
    }

    /// The nodes that a node was made of directly.
    pub fn operands_of(&self, node: Node) -> impl Iterator<Item = Node> {
        self.operands(node).iter().map(|edge| edge.node)
    }

    /// Has any source a part in it?
    pub fn is_uncertain(&self, node: Node) -> bool {
        self.uncertain[node.index()]
    }

    /// The standard uncertainty that a source brings in itself, in SI.
    pub fn deviation(&self, source: Node) -> f64 {
        libm::sqrt(self.own[source.index()].variance)
    }

    /// A source's standard uncertainty as a part of its limit.
    pub fn deviation_per_limit(&self, source: Node) -> f64 {
        self.deviation(source) / self.own[source.index()].limits
    }

    /// The degrees of freedom of a source.
    pub fn dof_of_source(&self, source: Node) -> f64 {
        self.own[source.index()].dof()
    }

    /// The totals of all nodes. To be called once, when the last node is there.
    pub fn settle(&mut self) {
        self.totals = settle::totals(self);
    }

    /// The combined uncertainty of a node, by the course's way of combining; `None` before
    /// [`Propagation::settle`], and where too much depends on too much.
    pub fn combined(&self, node: Node) -> Option<f64> {
        Some(self.totals(node)?.combined(self.combine))
    }

    /// The effective degrees of freedom of a node's standard uncertainty; infinite where none are limited, or where they
    /// are not known.
    pub fn dof(&self, node: Node) -> f64 {
        self.totals(node).map_or(f64::INFINITY, Totals::dof)
    }

    /// What the sources of a node add up to, by every way of combining.
    pub fn totals(&self, node: Node) -> Option<Totals> {
        self.totals.get(node.index()).copied().flatten()
    }

    /// The contributions of all sources to a quantity, largest first (equal ones in the order of the
    /// report); `None` where finding them would take more than `steps`. Tied ones make one.
    pub fn contributions(&self, of: Node, steps: usize) -> Option<Vec<Contribution>> {
        let mut steps = steps;
        let parts = self.gathered(self.sweep(of, &mut steps)?);
        let whole = whole(&parts);
        let mut all: Vec<_> = parts.into_iter().map(|part| self.contribution(part, whole)).collect();
        all.sort_by(|a, b| b.contribution.total_cmp(&a.contribution));
        Some(all)
    }

    /// The combined uncertainty of a node before [`Propagation::settle`], by one sweep over its cone. What that takes
    /// is taken off `steps`; `None` where they do not suffice.
    pub fn combined_within(&self, node: Node, steps: &mut usize) -> Option<f64> {
        Some(whole(&self.gathered(self.sweep(node, steps)?)).combined(self.combine))
    }

    /// Every source of a node with its sensitivity and what it brings in, in the order of the report.
    fn sweep(&self, of: Node, steps: &mut usize) -> Option<Vec<Swept>> {
        let found = self.swept([(of, [1.0])], steps)?;
        Some(found.into_iter().map(|(node, [sensitivity])| self.part(node, sensitivity)).collect())
    }

    fn part(&self, node: Node, sensitivity: f64) -> Swept {
        Swept { node, sensitivity, own: self.own[node.index()] }
    }

    /// Tied variables as one; one that stands for several others, and alone, as these.
    fn gathered(&self, swept: Vec<Swept>) -> Vec<Gathered> {
        let (mut tied, alone): (Vec<_>, Vec<_>) = swept.into_iter().partition(|part| self.tied[part.node.index()]);
        let mut all: Vec<_> = alone.into_iter().map(Gathered::alone).collect();
        if tied.is_empty() {
            return all;
        }
        for family in self.ties.families(&mut tied) {
            match family {
                [] => {}
                &[one] => match self.ties.parts_of(one.node) {
                    Some(made_of) => all.extend(made_of.iter().map(|&Entry { node, coefficient }| {
                        Gathered::alone(self.part(node, one.sensitivity * coefficient))
                    })),
                    None => all.push(Gathered::alone(one)),
                },
                [first, ..] => {
                    let totals = self.ties.together(family);
                    let members = family.iter().map(|part| part.node).collect();
                    all.push(Gathered {
                        source: first.node,
                        members,
                        sensitivity: libm::sqrt(totals.variance),
                        totals,
                    });
                }
            }
        }
        all.sort_by_key(|part| part.source);
        all
    }

    /// What weighted sums of quantities rest on: of every source its sensitivity in each of `K` sums, in the
    /// order of the report, those without any left out. A quantity may be given more than once; its weights then
    /// add up. What the sweep takes is taken off `steps`; `None` where they do not suffice.
    pub fn swept<const K: usize>(
        &self,
        sums: impl IntoIterator<Item = (Node, [f64; K])>,
        steps: &mut usize,
    ) -> Option<Vec<(Node, [f64; K])>> {
        let mut found = Vec::new();
        let mut waiting = BTreeMap::new();
        sums.into_iter().for_each(|(node, weights)| add(&mut waiting, node, weights));
        // Operands have smaller numbers than what is made of them: the largest waiting node has all that
        // can ever reach it.
        while let Some((node, sensitivities)) = waiting.pop_last() {
            *steps = steps.checked_sub(1 + self.operands(node).len())?;
            if sensitivities == [0.0; K] {
                continue;
            }
            if !self.own[node.index()].is_zero() {
                found.push((node, sensitivities));
            }
            for edge in self.operands(node) {
                add(&mut waiting, edge.node, sensitivities.map(|c| c * edge.coefficient));
            }
        }
        found.reverse();
        Some(found)
    }

    fn contribution(&self, part: Gathered, whole: Totals) -> Contribution {
        let Gathered { source, members, sensitivity, totals } = part;
        let (share, of) = match self.combine {
            Combine::Sum => (totals.limits, whole.limits),
            Combine::Quadrature => (totals.squares, whole.squares),
            Combine::Standard => (totals.variance, whole.variance),
        };
        let contribution = totals.combined(self.combine);
        let share = if of > 0.0 { share / of } else { 0.0 };
        Contribution { source, members, sensitivity, contribution, share }
    }

    fn push(&mut self, own: Totals, uncertain: bool) -> Node {
        // Four billion quantities do not fit into any report that fits into memory.
        let node = Node(u32::try_from(self.own.len()).unwrap_or(u32::MAX));
        self.own.push(own);
        self.uncertain.push(uncertain);
        self.tied.push(false);
        self.ends.push(self.edges.len());
        node
    }

    fn operands(&self, node: Node) -> &[Entry] {
        let start = node.index().checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.edges[start..self.ends[node.index()]]
    }
}

/// A source, its sensitivity, and what it brings in by itself.
#[derive(Clone, Copy, Debug)]
struct Swept {
    node: Node,
    sensitivity: f64,
    own: Totals,
}

impl Swept {
    fn totals(self) -> Totals {
        self.own.scaled(self.sensitivity)
    }
}

/// What makes one contribution, as [`Contribution`] has it.
#[derive(Clone, Debug)]
struct Gathered {
    source: Node,
    members: Vec<Node>,
    sensitivity: f64,
    totals: Totals,
}

impl Gathered {
    fn alone(part: Swept) -> Self {
        Self { source: part.node, members: Vec::new(), sensitivity: part.sensitivity, totals: part.totals() }
    }
}

fn whole(parts: &[Gathered]) -> Totals {
    parts.iter().fold(Totals::default(), |sum, part| sum.plus(part.totals))
}

fn add<const K: usize>(waiting: &mut BTreeMap<Node, [f64; K]>, node: Node, more: [f64; K]) {
    let sums = waiting.entry(node).or_insert([0.0; K]);
    sums.iter_mut().zip(more).for_each(|(sum, more)| *sum = added(*sum, more));
}

/// Each node once, with the sum of its derivatives: `mean(a, a, b)` names one quantity twice.
pub fn distinct(operands: impl Iterator<Item = (Node, f64)>) -> Vec<(Node, f64)> {
    let mut all: Vec<_> = operands.collect();
    all.sort_by_key(|&(node, _)| node);
    all.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        kept.1 += if same { next.1 } else { 0.0 };
        same
    });
    all
}

/// The sum of two coefficients; what is left when they cancel to within the noise of their last bits is
/// exactly nothing, as in `(a*b)/a`.
fn added(a: f64, b: f64) -> f64 {
    let sum = a + b;
    let noise = 16.0 * f64::EPSILON * a.abs().max(b.abs());
    if sum.abs() <= noise { 0.0 } else { sum }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The totals as the definition has them: every source's sensitivity by a full sweep.
    fn by_definition(tape: &Propagation, node: Node) -> Totals {
        whole(&tape.gathered(tape.sweep(node, &mut usize::MAX.clone()).unwrap()))
    }

    /// Each variable of the later pair with each of the earlier.
    fn tie_pairs(tape: &mut Propagation, earlier: [Node; 2], later: [Node; 2], correlations: [[f64; 2]; 2]) {
        for (variable, with) in later.into_iter().zip(correlations) {
            earlier.into_iter().zip(with).for_each(|(other, r)| tape.tie(other, variable, r));
        }
    }

    #[test]
    fn a_slope_and_its_intercept_make_one_contribution() {
        let mut tape = Propagation::new(Combine::Sum);
        let r = tape.source(0.5, 0.5, f64::INFINITY);
        let [slope, intercept] = tape.correlated([0.3, 0.4], -0.9, 3.0).variables;
        let y = tape.quantity([(slope, 2.0), (intercept, 1.0), (r, 1.0)]);
        let variance = 0.36 + 0.16 - 2.0 * 0.9 * 0.6 * 0.4;
        tape.settle();
        assert!(
            (tape.combined(slope).unwrap() - 0.3).abs() < 1e-15
                && (tape.combined(intercept).unwrap() - 0.4).abs() < 1e-15
        );
        assert!((tape.combined(y).unwrap() - (0.5 + libm::sqrt(variance))).abs() < 1e-12);
        assert_eq!(tape.contributions(y, 100).unwrap().len(), 2);
    }

    #[test]
    fn two_lines_through_the_same_points_make_one_contribution() {
        let mut tape = Propagation::new(Combine::Sum);
        let r = tape.source(0.5, 0.5, f64::INFINITY);
        let free = tape.correlated([0.3, 0.4], -0.9, 3.0);
        let origin = tape.correlated([0.2, 0.0], 0.0, 4.0);
        let alone = tape.correlated([0.1, 0.1], 0.5, 3.0);
        tie_pairs(&mut tape, free.stand_on, origin.stand_on, [[0.6, 0.7], [0.0, 0.0]]);
        let [[slope, intercept], [flat, _], [other, _]] = [free, origin, alone].map(|pair| pair.variables);
        let y = tape.quantity([(slope, 1.0), (intercept, 2.0), (flat, -1.5), (other, 1.0), (r, 1.0)]);
        let height = tape.quantity([(slope, 1.0), (intercept, 2.0)]);
        // The intercept stands on the first variable with −0.9·0.4 and on the second with √(1 − 0.81)·0.4.
        let (c, d, e) = (0.3 - 2.0 * 0.36, 2.0 * 0.4 * libm::sqrt(0.19), -1.5 * 0.2);
        let together = libm::sqrt(c * c + d * d + e * e + 2.0 * e * (0.6 * c + 0.7 * d));
        tape.settle();
        assert!((tape.combined(y).unwrap() - (0.5 + 0.1 + together)).abs() < 1e-15);
        assert!((tape.combined(height).unwrap() - libm::hypot(c, d)).abs() < 1e-15);
        let all = tape.contributions(y, 100).unwrap();
        let of_lines = all.iter().find(|c| c.source == free.stand_on[0]).unwrap();
        assert_eq!(of_lines.members, [free.stand_on[0], free.stand_on[1], origin.stand_on[0]]);
        assert_eq!(all.len(), 3);
        assert!((of_lines.contribution - together).abs() < 1e-15);
    }

    fn near(a: Totals, b: Totals) -> bool {
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
        close(a.limits, b.limits)
            && close(a.squares, b.squares)
            && close(a.variance, b.variance)
            && close(a.fourth, b.fourth)
    }

    fn assert_settled(mut tape: Propagation) {
        tape.settle();
        for index in 0..tape.own.len() {
            let node = Node(u32::try_from(index).unwrap());
            let (folded, full) = (tape.totals(node).unwrap(), by_definition(&tape, node));
            assert!(near(folded, full), "node {index}: {folded:?} against {full:?}");
        }
    }

    #[test]
    fn a_running_sum_and_the_differences_of_its_parts() {
        let mut tape = Propagation::new(Combine::Sum);
        let mut sums = vec![tape.source(0.05, 0.03, 7.0)];
        for k in 0..60 {
            let r = tape.source(0.02, 0.01, 7.0);
            let next = tape.quantity([(sums[k], 1.0), (r, 1.0)]);
            sums.push(next);
        }
        tape.quantity([(sums[60], 1.0), (sums[20], -1.0)]);
        tape.quantity([(sums[60], 1.0), (sums[59], -1.0)]);
        assert_settled(tape);
    }

    #[test]
    fn a_long_list_met_again_by_its_own_members() {
        let mut tape = Propagation::new(Combine::Standard);
        let column: Vec<_> = (0..100).map(|_| tape.source(0.02, 0.01, 7.0)).collect();
        let mean = tape.quantity(column.iter().map(|&x| (x, 0.01)));
        for &x in &column {
            tape.quantity([(x, 1.0), (mean, -1.0)]);
        }
        assert_settled(tape);
    }

    #[test]
    fn a_block_that_a_patch_all_but_cancels_is_added_up_again() {
        let mut tape = Propagation::new(Combine::Standard);
        let small = tape.source(1e-6, 1e-6, 7.0);
        let column: Vec<_> = (0..40).map(|k| tape.source(if k == 0 { 1.0 } else { 1e-6 }, 1e-6, 4.0)).collect();
        let sum = tape.quantity(column.iter().map(|&x| (x, 1.0)).chain([(small, 1.0)]));
        let other = tape.quantity(column.iter().map(|&x| (x, 0.5)));
        tape.quantity([(sum, 1.0), (column[0], -1.0), (other, 0.0)]);
        assert_settled(tape);
    }

    #[test]
    fn what_cancels_is_exactly_nothing() {
        let mut tape = Propagation::new(Combine::Sum);
        let x = tape.source(0.3, 0.1, 7.0);
        let tripled = tape.quantity([(x, 0.1 + 0.2)]);
        let none = tape.quantity([(tripled, 1.0), (x, -0.3)]);
        tape.settle();
        assert_eq!(tape.combined(none), Some(0.0));
        assert_eq!(tape.contributions(none, 100), Some(vec![]));
    }

    #[test]
    fn shares_add_up_to_the_whole_and_the_largest_comes_first() {
        let mut tape = Propagation::new(Combine::Quadrature);
        let (a, b) = (tape.source(3.0, 1.0, 7.0), tape.source(4.0, 1.0, 7.0));
        let y = tape.quantity([(a, 1.0), (b, -1.0)]);
        tape.settle();
        assert_eq!(tape.combined(y), Some(5.0));
        let shares: Vec<_> = tape.contributions(y, 10).unwrap().iter().map(|c| (c.source, c.share)).collect();
        assert_eq!(shares, [(b, 16.0 / 25.0), (a, 9.0 / 25.0)]);
        assert_eq!(tape.contributions(y, 2), None);
    }

    proptest::proptest! {
        /// Sheets of no particular shape: one to four operands from anywhere, near ones preferred.
        #[test]
        fn folding_gives_what_the_definition_gives(
            steps in proptest::collection::vec((0u8..5, proptest::collection::vec((0usize..1000, -4i32..5), 1..5)), 1..200)
        ) {
            let mut tape = Propagation::new(Combine::Sum);
            let mut nodes = vec![tape.source(0.1, 0.05, 7.0), tape.source(0.2, 0.1, 7.0)];
            let mut before = None;
            for (kind, picks) in steps {
                let node = if kind == 4 {
                    let pair = tape.correlated([0.1, 0.2], 0.25 * f64::from(picks[0].1).clamp(-3.0, 3.0), 6.0);
                    if let Some(before) = before.replace(pair.stand_on).filter(|_| picks.len() > 1) {
                        tie_pairs(&mut tape, before, pair.stand_on, [[0.3, 0.1], [-0.2, 0.25]]);
                    }
                    let [slope, intercept] = pair.variables;
                    nodes.push(slope);
                    intercept
                } else if kind == 0 {
                    tape.source(0.1 + f64::from(picks[0].1 + 5), 0.3, f64::from(picks[0].1 + 5))
                } else {
                    let near = |pick: usize| if pick.is_multiple_of(3) { pick % nodes.len() } else { nodes.len() - 1 - pick % nodes.len().min(12) };
                    let mut operands: Vec<_> = picks.iter().map(|&(pick, p)| (nodes[near(pick)], f64::from(p) / 4.0 + 0.125)).collect();
                    operands.sort_by_key(|o| o.0);
                    operands.dedup_by_key(|o| o.0);
                    tape.quantity(operands)
                };
                nodes.push(node);
            }
            assert_settled(tape);
        }
    }
}
