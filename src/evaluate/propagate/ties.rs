//! Variables whose errors are correlated. Those that are tied to one another, through others too, make a group: of a
//! group every quantity has one contribution, √(cᵀVc) (JCGM 100:2008, 5.2.2).

use std::collections::BTreeMap;

use super::{Entry, Node, Totals};

/// As many variables can be tied to one another: what a group costs grows with the square of its size.
pub const MOST_TIED: usize = 64;

/// What is left of a sum of squares that cancels to this part of its terms is the noise of their last bits.
const NOISE: f64 = 64.0 * f64::EPSILON;

/// The groups of a report.
#[derive(Debug, Default)]
pub(super) struct Ties {
    places: BTreeMap<Node, Place>,
    groups: Vec<Group>,
    /// Of a variable that stands for all of a reading's errors: what these are made of.
    made_of: BTreeMap<Node, Vec<Entry>>,
}

/// Where a variable stands.
#[derive(Clone, Copy, Debug)]
struct Place {
    group: usize,
    member: usize,
}

#[derive(Debug, Default)]
struct Group {
    members: Vec<Node>,
    /// Of each member: its correlation with those before it.
    correlations: Vec<Vec<f64>>,
}

impl Group {
    fn correlation(&self, a: usize, b: usize) -> f64 {
        let (low, high) = (a.min(b), a.max(b));
        if low == high { 1.0 } else { self.correlations[high][low] }
    }
}

/// A variable with its sensitivity, and what it brings in by itself.
pub(super) type Part = (Node, f64, Totals);

/// What the variables of one group that take part come to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Together {
    /// The first of them.
    pub(super) first: Node,
    /// Which members take part, bit by bit from the first.
    pub(super) members: u64,
    pub(super) totals: Totals,
}

impl Ties {
    /// A new group without members.
    pub(super) fn group(&mut self) -> usize {
        self.groups.push(Group::default());
        self.groups.len() - 1
    }

    /// Enters a variable into a group, with its correlations with the members that it has so far.
    pub(super) fn join(&mut self, group: usize, node: Node, correlations: Vec<f64>) {
        let Some(held) = self.groups.get_mut(group) else { return };
        self.places.insert(node, Place { group, member: held.members.len() });
        held.members.push(node);
        held.correlations.push(correlations);
    }

    pub(super) fn size(&self, group: usize) -> usize {
        self.groups.get(group).map_or(0, |group| group.members.len())
    }

    /// Notes what a variable is made of.
    pub(super) fn stands_for(&mut self, node: Node, parts: Vec<Entry>) {
        self.made_of.insert(node, parts);
    }

    pub(super) fn parts_of(&self, node: Node) -> Option<&[Entry]> {
        self.made_of.get(&node).map(Vec::as_slice)
    }

    /// The members of the group of a variable that take part, as [`Together`] has them.
    pub(super) fn members(&self, node: Node, members: u64) -> Vec<Node> {
        let group = self.places.get(&node).and_then(|place| self.groups.get(place.group));
        let all = group.map_or(&[][..], |group| &group.members).iter().enumerate();
        all.filter(|(member, _)| members >> member & 1 == 1).map(|(_, &node)| node).collect()
    }

    /// Groups the tied ones among `parts`, and says what each group comes to.
    pub(super) fn together(&self, parts: &mut [Part]) -> Vec<Together> {
        let place = |part: &Part| self.places.get(&part.0).map(|place| (place.group, place.member));
        parts.sort_by_key(place);
        let groups = parts.chunk_by(|a, b| place(a).map(|(group, _)| group) == place(b).map(|(group, _)| group));
        groups.filter_map(|parts| self.of_group(parts)).collect()
    }

    fn of_group(&self, parts: &[Part]) -> Option<Together> {
        let &(first, ..) = parts.first()?;
        let group = self.groups.get(self.places.get(&first)?.group)?;
        let taking: Vec<_> =
            parts.iter().filter_map(|part| Some((self.places.get(&part.0)?.member, part.1, part.2))).collect();
        let members = taking.iter().fold(0, |bits, &(member, ..)| bits | 1 << member);
        let squared = |size: fn(Totals) -> f64| {
            let sized: Vec<_> = taking.iter().map(|&(member, c, own)| (member, c * size(own))).collect();
            squared_length(&sized, group)
        };
        let variance = squared(|own| libm::sqrt(own.variance));
        let totals = Totals {
            limits: libm::sqrt(squared(|own| own.limits)),
            squares: squared(|own| libm::sqrt(own.squares)),
            variance,
            // Exact where the members were observed together, so that all have the same degrees of freedom; else the
            // smallest of them are a cautious choice.
            fourth: variance * variance / taking.iter().map(|(_, _, own)| own.dof()).fold(f64::INFINITY, f64::min),
        };
        Some(Together { first, members, totals })
    }

    /// Sensitivities times standard uncertainties times the matrix of correlations: what it takes for a covariance.
    pub(super) fn correlated(&self, parts: &[Part]) -> Vec<(Node, f64)> {
        let sized = |&(_, c, own): &Part| c * libm::sqrt(own.variance);
        let mut all: Vec<(Node, f64)> = Vec::with_capacity(parts.len());
        let mut by_group: BTreeMap<usize, Vec<(usize, f64)>> = BTreeMap::new();
        for part in parts {
            match self.places.get(&part.0) {
                Some(place) => by_group.entry(place.group).or_default().push((place.member, sized(part))),
                None => all.push((part.0, sized(part))),
            }
        }
        for (group, parts) in by_group {
            let Some(group) = self.groups.get(group) else { continue };
            all.extend(group.members.iter().enumerate().map(|(member, &node)| {
                (node, parts.iter().map(|&(other, x)| group.correlation(member, other) * x).sum())
            }));
        }
        all.sort_by_key(|&(node, _)| node);
        all
    }
}

/// xᵀRx, which is nothing where it cancels.
fn squared_length(parts: &[(usize, f64)], group: &Group) -> f64 {
    let (mut sum, mut size) = (0.0, 0.0);
    for (n, &(a, x)) in parts.iter().enumerate() {
        sum += x * x;
        size += x * x;
        for &(b, y) in &parts[..n] {
            let both = 2.0 * group.correlation(a, b) * x * y;
            sum += both;
            size += both.abs();
        }
    }
    if sum <= NOISE * size { 0.0 } else { sum }
}
