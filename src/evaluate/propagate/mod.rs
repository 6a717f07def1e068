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

mod reach;
mod settle;
mod tied;

use std::collections::BTreeMap;

pub use reach::Reached;
use tied::{Family, Ties};

use crate::course::Combine;

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
    /// The sources besides that are correlated with it, of each pair of them the first: other lines through the same
    /// points.
    pub with: Vec<Node>,
    /// The sensitivity coefficient, in SI.
    pub sensitivity: f64,
    /// |c·a|, under `standard` |c|·s.
    pub contribution: f64,
    /// Its share of the whole: of the sum under `sum`, else of the sum of squares. 0 to 1.
    pub share: f64,
}

/// What the sources of a quantity add up to, by every way of combining.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Σ |c·a|
    limits: f64,
    /// Σ (c·a)²
    squares: f64,
    /// Σ (c·s)²
    variance: f64,
}

impl Totals {
    const fn of_source(amount: f64, standard: f64) -> Self {
        Self { limits: amount.abs(), squares: amount * amount, variance: standard * standard }
    }

    /// The combined uncertainty.
    pub fn combined(self, combine: Combine) -> f64 {
        match combine {
            Combine::Sum => self.limits,
            Combine::Quadrature => libm::sqrt(self.squares),
            Combine::Standard => libm::sqrt(self.variance),
        }
    }

    fn scaled(self, p: f64) -> Self {
        Self { limits: self.limits * p.abs(), squares: self.squares * p * p, variance: self.variance * p * p }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            limits: self.limits + other.limits,
            squares: self.squares + other.squares,
            variance: self.variance + other.variance,
        }
    }

    /// Of two variables that stand for two correlated ones: they are taken together before anything else
    /// is added.
    fn with_pair(self, other: Self) -> Self {
        Self { limits: libm::hypot(self.limits, other.limits), ..self.plus(other) }
    }

    fn is_zero(self) -> bool {
        self.limits == 0.0 && self.variance == 0.0
    }
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
    /// Of each node: do it and the next one stand for two correlated variables?
    pair_with_next: Vec<bool>,
    /// Which pairs are correlated with other pairs.
    ties: Ties,
    totals: Vec<Option<Totals>>,
}

impl Propagation {
    /// For a report whose course combines so.
    pub fn new(combine: Combine) -> Self {
        Self { combine, ..Self::default() }
    }

    /// An independent variable whose error is at most `amount`, or has the standard deviation
    /// `standard`, both in SI.
    pub fn source(&mut self, amount: f64, standard: f64) -> Node {
        self.push(Totals::of_source(amount, standard), amount != 0.0 || standard != 0.0)
    }

    /// Two variables of which the errors are correlated: standard deviations and correlation
    /// coefficient, in SI. They stand on two independent ones, which every way of combining takes
    /// together, as √(cᵀVc): a slope and its intercept make one contribution.
    pub fn correlated(&mut self, deviations: [f64; 2], correlation: f64) -> Correlated {
        let first = self.source(1.0, 1.0);
        let second = self.source(1.0, 1.0);
        self.pair_with_next[first.index()] = true;
        let [a, b] = deviations;
        let rest = libm::sqrt(((1.0 - correlation) * (1.0 + correlation)).max(0.0));
        let variables = [self.quantity([(first, a)]), self.quantity([(first, b * correlation), (second, b * rest)])];
        Correlated { variables, stand_on: [first, second] }
    }

    /// Ties two pairs of correlated variables together, each the two independent ones that [`Propagation::correlated`]
    /// stood them on, `earlier` being made before `later`: a slope and an intercept, and those of another line through
    /// the same points. `correlations` are those of each variable of `later` with each of `earlier`. All that stand
    /// tied together make one contribution, √(cᵀVc).
    pub fn tie(&mut self, earlier: [Node; 2], later: [Node; 2], correlations: [[f64; 2]; 2]) {
        self.ties.tie(earlier, later, correlations);
    }

    /// A quantity with its partial derivatives by its distinct operands, each of them a node already.
    pub fn quantity(&mut self, operands: impl IntoIterator<Item = (Node, f64)>) -> Node {
        let start = self.edges.len();
        let known = operands.into_iter().filter(|&(_, p)| p != 0.0);
        self.edges.extend(known.map(|(node, coefficient)| Entry { node, coefficient }));
        let uncertain = self.edges[start..].iter().any(|edge| self.uncertain[edge.node.index()]);
        self.push(Totals::default(), uncertain)
    }

    /// The nodes that some nodes were made of directly.
    pub fn operands_of(&self, nodes: &[Node]) -> Vec<Node> {
        nodes.iter().flat_map(|&node| self.operands(node)).map(|edge| edge.node).collect()
    }

    /// Has any source a part in it?
    pub fn is_uncertain(&self, node: Node) -> bool {
        self.uncertain[node.index()]
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

    /// What the sources of a node add up to, by every way of combining.
    pub fn totals(&self, node: Node) -> Option<Totals> {
        self.totals.get(node.index()).copied().flatten()
    }

    /// The contributions of all sources to a quantity, largest first (equal ones in the order of the
    /// report); `None` where finding them would take more than `steps`.
    pub fn contributions(&self, of: Node, steps: usize) -> Option<Vec<Contribution>> {
        let mut steps = steps;
        let found = self.sweep(of, &mut steps)?;
        let whole = whole(&found);
        let mut all: Vec<_> = found.into_iter().map(|swept| self.contribution(swept, whole)).collect();
        all.sort_by(|a, b| b.contribution.total_cmp(&a.contribution));
        Some(all)
    }

    /// The combined uncertainty of a node before [`Propagation::settle`], by one sweep over its cone. What that takes
    /// is taken off `steps`; `None` where they do not suffice.
    pub fn combined_within(&self, node: Node, steps: &mut usize) -> Option<f64> {
        Some(whole(&self.sweep(node, steps)?).combined(self.combine))
    }

    /// Every source of a node with its sensitivity and what it brings in, in the order of the report; two correlated
    /// ones are one.
    fn sweep(&self, of: Node, steps: &mut usize) -> Option<Vec<Swept>> {
        let found = self.swept([(of, [1.0])], steps)?;
        let sources = found.into_iter().map(|(source, [sensitivity])| (source, sensitivity));
        let (tied, free): (Vec<_>, Vec<_>) = sources.partition(|(source, _)| self.ties.hold(*source));
        let variables = free.chunk_by(|(source, _), (next, _)| self.are_pair(*source, *next));
        let mut all: Vec<_> = variables.filter_map(|variable| self.together(variable)).collect();
        if !tied.is_empty() {
            all.extend(self.ties.families(&tied).filter_map(|family| self.of_family(&family)));
            all.sort_by_key(|swept| swept.source);
        }
        Some(all)
    }

    /// A variable, or two correlated ones.
    fn together(&self, variable: &[(Node, f64)]) -> Option<Swept> {
        let parts = variable.iter().map(|&(source, c)| Swept {
            source,
            with: Vec::new(),
            sensitivity: c,
            part: self.own[source.index()].scaled(c),
        });
        parts.reduce(|one, next| Swept {
            sensitivity: libm::hypot(one.sensitivity, next.sensitivity),
            part: one.part.with_pair(next.part),
            ..one
        })
    }

    /// Pairs that are correlated with one another.
    fn of_family(&self, family: &Family) -> Option<Swept> {
        let pairs = family.members.chunk_by(|(source, _), (next, _)| self.are_pair(*source, *next));
        let mut firsts = pairs.filter_map(|pair| pair.first()).map(|(source, _)| *source);
        let source = firsts.next()?;
        Some(Swept { source, with: firsts.collect(), sensitivity: family.deviation(), part: family.totals() })
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

    /// Do two nodes, in this order, stand for two correlated variables?
    fn are_pair(&self, first: Node, second: Node) -> bool {
        self.pair_with_next[first.index()] && second.index() == first.index() + 1
    }

    fn contribution(&self, swept: Swept, whole: Totals) -> Contribution {
        let Swept { source, with, sensitivity, part } = swept;
        let (share, of) = match self.combine {
            Combine::Sum => (part.limits, whole.limits),
            Combine::Quadrature => (part.squares, whole.squares),
            Combine::Standard => (part.variance, whole.variance),
        };
        let contribution = part.combined(self.combine);
        let share = if of > 0.0 { share / of } else { 0.0 };
        Contribution { source, with, sensitivity, contribution, share }
    }

    fn push(&mut self, own: Totals, uncertain: bool) -> Node {
        // Four billion quantities do not fit into any report that fits into memory.
        let node = Node(u32::try_from(self.own.len()).unwrap_or(u32::MAX));
        self.own.push(own);
        self.uncertain.push(uncertain);
        self.pair_with_next.push(false);
        self.ends.push(self.edges.len());
        node
    }

    fn operands(&self, node: Node) -> &[Entry] {
        let start = node.index().checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.edges[start..self.ends[node.index()]]
    }
}

/// A source with its sensitivity and what it brings in; of correlated ones the first, with the others.
struct Swept {
    source: Node,
    with: Vec<Node>,
    sensitivity: f64,
    part: Totals,
}

fn whole(found: &[Swept]) -> Totals {
    found.iter().fold(Totals::default(), |sum, swept| sum.plus(swept.part))
}

fn add<const K: usize>(waiting: &mut BTreeMap<Node, [f64; K]>, node: Node, more: [f64; K]) {
    let sums = waiting.entry(node).or_insert([0.0; K]);
    sums.iter_mut().zip(more).for_each(|(sum, more)| *sum = added(*sum, more));
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
        // The sensitivity of two correlated variables is that of both together, of size one each.
        let all = tape.contributions(node, usize::MAX).unwrap();
        all.iter().fold(Totals::default(), |sum, c| sum.plus(tape.own[c.source.index()].scaled(c.sensitivity)))
    }

    #[test]
    fn a_slope_and_its_intercept_make_one_contribution() {
        let mut tape = Propagation::new(Combine::Sum);
        let r = tape.source(0.5, 0.5);
        let [slope, intercept] = tape.correlated([0.3, 0.4], -0.9).variables;
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
        let r = tape.source(0.5, 0.5);
        let free = tape.correlated([0.3, 0.4], -0.9);
        let origin = tape.correlated([0.2, 0.0], 0.0);
        let alone = tape.correlated([0.1, 0.1], 0.5);
        tape.tie(free.stand_on, origin.stand_on, [[0.6, 0.7], [0.0, 0.0]]);
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
        let [free, origin] = [free, origin].map(|pair| pair.stand_on[0]);
        let of_lines = all.iter().find(|c| c.source == free).unwrap();
        assert_eq!((all.len(), &of_lines.with[..]), (3, &[origin][..]));
        assert!((of_lines.contribution - together).abs() < 1e-15);
    }

    fn near(a: Totals, b: Totals) -> bool {
        let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
        close(a.limits, b.limits) && close(a.squares, b.squares) && close(a.variance, b.variance)
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
        let mut sums = vec![tape.source(0.05, 0.03)];
        for k in 0..60 {
            let r = tape.source(0.02, 0.01);
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
        let column: Vec<_> = (0..100).map(|_| tape.source(0.02, 0.01)).collect();
        let mean = tape.quantity(column.iter().map(|&x| (x, 0.01)));
        for &x in &column {
            tape.quantity([(x, 1.0), (mean, -1.0)]);
        }
        assert_settled(tape);
    }

    #[test]
    fn a_block_that_a_patch_all_but_cancels_is_added_up_again() {
        let mut tape = Propagation::new(Combine::Standard);
        let small = tape.source(1e-6, 1e-6);
        let column: Vec<_> = (0..40).map(|k| tape.source(if k == 0 { 1.0 } else { 1e-6 }, 1e-6)).collect();
        let sum = tape.quantity(column.iter().map(|&x| (x, 1.0)).chain([(small, 1.0)]));
        let other = tape.quantity(column.iter().map(|&x| (x, 0.5)));
        tape.quantity([(sum, 1.0), (column[0], -1.0), (other, 0.0)]);
        assert_settled(tape);
    }

    #[test]
    fn what_cancels_is_exactly_nothing() {
        let mut tape = Propagation::new(Combine::Sum);
        let x = tape.source(0.3, 0.1);
        let tripled = tape.quantity([(x, 0.1 + 0.2)]);
        let none = tape.quantity([(tripled, 1.0), (x, -0.3)]);
        tape.settle();
        assert_eq!(tape.combined(none), Some(0.0));
        assert_eq!(tape.contributions(none, 100), Some(vec![]));
    }

    #[test]
    fn shares_add_up_to_the_whole_and_the_largest_comes_first() {
        let mut tape = Propagation::new(Combine::Quadrature);
        let (a, b) = (tape.source(3.0, 1.0), tape.source(4.0, 1.0));
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
            let mut nodes = vec![tape.source(0.1, 0.05), tape.source(0.2, 0.1)];
            let mut before = None;
            for (kind, picks) in steps {
                let node = if kind == 4 {
                    let pair = tape.correlated([0.1, 0.2], 0.25 * f64::from(picks[0].1).clamp(-3.0, 3.0));
                    if let Some(before) = before.replace(pair.stand_on).filter(|_| picks.len() > 1) {
                        tape.tie(before, pair.stand_on, [[0.3, 0.1], [-0.2, 0.25]]);
                    }
                    let [slope, intercept] = pair.variables;
                    nodes.push(slope);
                    intercept
                } else if kind == 0 {
                    tape.source(0.1 + f64::from(picks[0].1 + 5), 0.3)
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
