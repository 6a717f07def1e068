//! Readings that an author ties to one another: `correlated a b 0.8 "same scale"` (JCGM 100:2008, 5.2.2).
//!
//! What is stated is the correlation of the two readings, whole. What both owe to one instrument is in it already: the
//! rest of their errors is tied so strongly that, with it, the stated one comes out.

use std::collections::{BTreeMap, HashMap};

use super::evaluator::Evaluator;
use super::propagate::{MOST_TIED, Node};
use super::sheet::{Key, Origin, Quantity, QuantityId, Sheet, Tie, Ties, Untied, WhyNot};
use crate::parse;
use crate::parse::ast::{Correlation, Symbol};
use crate::quantity::nearest;

/// How much of a reading's cone is looked through: it is a list of sources, and no more.
const STEPS: usize = 1_000_000;

/// What binary arithmetic may add to a coefficient.
const NOISE: f64 = 1e-9;

/// As many symbols are told their nearest neighbour: the search goes through all known ones.
const MOST_NEAREST: usize = 16;

/// Ties the readings of the course's list, before anything is worked out of them.
pub(super) fn tie(sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    if evaluator.course.correlations.is_empty() {
        return;
    }
    let mut work =
        Work { sheet, evaluator, tied: Vec::new(), untied: Vec::new(), parts: BTreeMap::new(), users: HashMap::new() };
    let stated = work.stated();
    work.take_apart(&stated);
    for group in groups(stated) {
        work.group(group);
    }
    let Work { tied, untied, sheet, .. } = work;
    sheet.ties = Ties::new(tied, untied);
}

/// The sources of a reading, each with its sensitivity.
type Sources = Vec<(Node, f64)>;

/// A reading's sources, and what they come to as standard uncertainties in SI.
#[derive(Default)]
struct Parts {
    /// Those that it has alone.
    own: Sources,
    /// Those that other readings have too, from the same instrument.
    shared: Vec<(Node, f64, f64)>,
    /// √Σ s² of its own.
    deviation: f64,
    /// √Σ s² of all.
    whole: f64,
}

struct Work<'w, 'e> {
    sheet: &'w mut Sheet,
    evaluator: &'w mut Evaluator<'e>,
    tied: Vec<Tie>,
    untied: Vec<Untied>,
    parts: BTreeMap<QuantityId, Parts>,
    /// How many quantities have a source of an instrument.
    users: HashMap<Node, usize>,
}

impl Work<'_, '_> {
    /// The correlations of the list that can be read and name two readings.
    fn stated(&mut self) -> Vec<Tie> {
        let mut seen = BTreeMap::new();
        let mut stated = Vec::new();
        let course = self.evaluator.course;
        for (index, text) in course.correlations.iter().enumerate() {
            // What cannot be read, and what is stated twice, is a fault of the course.
            let Ok(correlation) = parse::correlation(text) else { continue };
            let coefficient = correlation.coefficient.value.decimal.to_f64();
            let Some(of) = self.readings(index, &correlation) else { continue };
            let sound = (-1.0..=1.0).contains(&coefficient) && of[0] != of[1];
            if sound && seen.insert([of[0].min(of[1]), of[0].max(of[1])], ()).is_none() {
                let reason = correlation.reason.map(|reason| reason.value);
                stated.push(Tie { index, of, coefficient, reason });
            }
        }
        stated
    }

    fn readings(&mut self, index: usize, correlation: &Correlation) -> Option<[QuantityId; 2]> {
        let [a, b] = &correlation.symbols;
        let first = self.reading(index, &a.value);
        let second = self.reading(index, &b.value);
        Some([first?, second?])
    }

    fn reading(&mut self, index: usize, symbol: &Symbol) -> Option<QuantityId> {
        let found = self.sheet.find(symbol).map(|(id, quantity)| (id, quantity.measure.is_some(), of_origin(quantity)));
        let why = match found {
            Some((id, true, Nature::Reading)) => return Some(id),
            // Why it has no value is said elsewhere.
            Some((_, false, Nature::Reading) | (_, _, Nature::Unread)) => return None,
            Some((quantity, _, Nature::Other)) => WhyNot::NoReading { quantity },
            None => {
                let search = self.untied.len() < MOST_NEAREST;
                let known = || self.sheet.quantities.iter().map(|quantity| quantity.symbol.as_str());
                let near = search.then(|| nearest(symbol.as_str(), known())).flatten().map(Symbol::new);
                WhyNot::UnknownSymbol { symbol: symbol.clone(), nearest: near }
            }
        };
        self.untied.push(Untied { index, why });
        None
    }

    /// What each reading that is tied rests on.
    fn take_apart(&mut self, stated: &[Tie]) {
        for quantity in &self.sheet.quantities {
            let several = if matches!(quantity.origin, Origin::Column(_)) { 2 } else { 1 };
            for part in quantity.sources.iter().flat_map(|source| source.parts.iter()).filter(|part| part.shared) {
                *self.users.entry(part.node).or_default() += several;
            }
        }
        for id in stated.iter().flat_map(|tie| tie.of) {
            if !self.parts.contains_key(&id) {
                let parts = self.parts_of(id);
                self.parts.insert(id, parts);
            }
        }
    }

    fn parts_of(&self, id: QuantityId) -> Parts {
        let propagation = &self.evaluator.propagation;
        let node = self.sheet.quantities.get(id).and_then(|quantity| quantity.measure).map(|measure| measure.node);
        let mut parts = Parts::default();
        let swept = node.and_then(|node| propagation.swept([(node, [1.0])], &mut STEPS.clone()));
        for (source, [sensitivity]) in swept.unwrap_or_default() {
            let standard = propagation.deviation(source) * sensitivity;
            parts.whole = libm::hypot(parts.whole, standard);
            if self.users.get(&source).is_some_and(|&users| users > 1) {
                parts.shared.push((source, sensitivity, standard));
            } else {
                parts.deviation = libm::hypot(parts.deviation, standard);
                parts.own.push((source, sensitivity));
            }
        }
        parts
    }

    /// Ties the readings of one group, which no tie leads out of.
    fn group(&mut self, ties: Vec<Tie>) {
        let mut members: Vec<QuantityId> = ties.iter().flat_map(|tie| tie.of).collect();
        members.sort_unstable();
        members.dedup();
        if members.len() > MOST_TIED {
            let last = ties.iter().map(|tie| tie.index).max().unwrap_or(0);
            return self.untied.push(Untied { index: last, why: WhyNot::TooMany { most: MOST_TIED } });
        }
        let mut matrix = unit_matrix(members.len());
        let mut kept = Vec::new();
        for tie in ties {
            match self.own_correlation(&tie) {
                Ok(own) => {
                    let [a, b] = tie.of.map(|id| members.binary_search(&id).unwrap_or(0));
                    (matrix[a][b], matrix[b][a]) = (own, own);
                    kept.push(tie);
                }
                Err(why) => self.untied.push(Untied { index: tie.index, why }),
            }
        }
        if !is_possible(&matrix) {
            let last = kept.iter().map(|tie| tie.index).max().unwrap_or(0);
            let missing = missing(&members, &matrix);
            return self.untied.push(Untied { index: last, why: WhyNot::Impossible { group: members, missing } });
        }
        if !kept.is_empty() {
            self.enter(&members, &matrix);
        }
        self.tied.extend(kept);
    }

    /// How strongly the errors that two readings do not have in common have to be tied.
    fn own_correlation(&self, tie: &Tie) -> Result<f64, WhyNot> {
        let nothing = Parts::default();
        let [a, b] = tie.of.map(|id| self.parts.get(&id).unwrap_or(&nothing));
        for (parts, quantity) in [a, b].into_iter().zip(tie.of) {
            if parts.whole == 0.0 {
                return Err(WhyNot::Exact { quantity });
            }
        }
        let common = |(node, _, x): &(Node, f64, f64)| {
            let other = b.shared.iter().find(|(other, ..)| other == node);
            // A source can enter with either sign, as its sensitivity says.
            other.map_or(0.0, |(_, _, y)| x * y)
        };
        let common: f64 = a.shared.iter().map(common).sum();
        let (own, whole) = (a.deviation * b.deviation, a.whole * b.whole);
        let wanted = tie.coefficient * whole - common;
        if wanted.abs() > own + NOISE * whole {
            let [low, high] = [common - own, common + own].map(|reach| (reach / whole).clamp(-1.0, 1.0));
            return Err(WhyNot::OutOfReach { low, high });
        }
        Ok(if own > 0.0 { (wanted / own).clamp(-1.0, 1.0) } else { 0.0 })
    }

    /// Gives each reading one variable for all that it has alone, and ties these.
    fn enter(&mut self, members: &[QuantityId], matrix: &[Vec<f64>]) {
        let propagation = &mut self.evaluator.propagation;
        let mut entered: Vec<Node> = Vec::with_capacity(members.len());
        for (&id, correlations) in members.iter().zip(matrix) {
            let Some(measure) = self.sheet.quantities.get_mut(id).and_then(|quantity| quantity.measure.as_mut()) else {
                continue;
            };
            let Some(parts) = self.parts.get(&id) else { continue };
            let variable = propagation.in_place_of(&parts.own);
            entered.iter().zip(correlations).for_each(|(&other, &r)| propagation.tie(other, variable, r));
            entered.push(variable);
            let shared = parts.shared.iter().map(|&(node, c, _)| (node, c));
            measure.node = propagation.quantity(shared.chain([(variable, 1.0)]));
            self.evaluator.causes.insert(variable, Key::Tied { quantity: id });
        }
    }
}

/// What a quantity is, as far as it matters here.
enum Nature {
    Reading,
    Unread,
    Other,
}

const fn of_origin(quantity: &Quantity) -> Nature {
    match quantity.origin {
        Origin::Reading(_) | Origin::Repeated(_) => Nature::Reading,
        Origin::Unread => Nature::Unread,
        Origin::Column(_) | Origin::Result { .. } | Origin::Constant(_) => Nature::Other,
    }
}

/// Ties that share readings, through others too; one of 0 ties nothing.
fn groups(stated: Vec<Tie>) -> Vec<Vec<Tie>> {
    let mut above: BTreeMap<QuantityId, QuantityId> = BTreeMap::new();
    fn top(above: &mut BTreeMap<QuantityId, QuantityId>, of: QuantityId) -> QuantityId {
        let mut here = of;
        while let Some(&next) = above.get(&here).filter(|&&next| next != here) {
            // Halving the way up keeps later ways short.
            let further = above.get(&next).copied().unwrap_or(next);
            above.insert(here, further);
            here = further;
        }
        here
    }
    let stated: Vec<_> = stated.into_iter().filter(|tie| tie.coefficient != 0.0).collect();
    for tie in &stated {
        let [a, b] = tie.of.map(|id| top(&mut above, id));
        above.insert(a.max(b), a.min(b));
    }
    let mut groups: BTreeMap<QuantityId, Vec<Tie>> = BTreeMap::new();
    for tie in stated {
        groups.entry(top(&mut above, tie.of[0])).or_default().push(tie);
    }
    groups.into_values().collect()
}

fn unit_matrix(size: usize) -> Vec<Vec<f64>> {
    (0..size).map(|row| (0..size).map(|column| if row == column { 1.0 } else { 0.0 }).collect()).collect()
}

/// Is a matrix of correlations positive semidefinite? By its Cholesky decomposition, which a variable that follows from
/// those before it leaves out.
fn is_possible(matrix: &[Vec<f64>]) -> bool {
    let size = matrix.len();
    let mut lower = unit_matrix(size);
    for row in 0..size {
        for column in 0..=row {
            let before: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let rest = matrix[row][column] - before;
            let pivot = lower[column][column];
            lower[row][column] = match (row == column, pivot > 0.0) {
                (true, _) if rest < -NOISE => return false,
                (true, _) => {
                    if rest > NOISE {
                        libm::sqrt(rest)
                    } else {
                        0.0
                    }
                }
                (false, true) => rest / pivot,
                (false, false) if rest.abs() > libm::sqrt(NOISE) => return false,
                (false, false) => 0.0,
            };
        }
    }
    true
}

/// Of three readings with two stated correlations r and s, the third pair and between what its coefficient lies:
/// r·s ± √((1 − r²)(1 − s²)), from the determinant.
fn missing(members: &[QuantityId], matrix: &[Vec<f64>]) -> Option<([QuantityId; 2], [f64; 2])> {
    let &[first, second, third] = members else { return None };
    let pairs = [([0, 1], 2, [first, second]), ([0, 2], 1, [first, third]), ([1, 2], 0, [second, third])];
    let (ends, by, pair) = pairs.into_iter().find(|&([a, b], ..)| matrix[a][b] == 0.0)?;
    let [r, s] = ends.map(|end| matrix[end][by]);
    let room = libm::sqrt((1.0 - r * r) * (1.0 - s * s));
    Some((pair, [r * s - room, r * s + room]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(r: f64, s: f64, t: f64) -> Vec<Vec<f64>> {
        vec![vec![1.0, r, s], vec![r, 1.0, t], vec![s, t, 1.0]]
    }

    /// Its determinant is 1 + 2rst − r² − s² − t².
    #[test]
    fn three_correlations_hold_together_where_their_determinant_is_not_below_zero() {
        for (r, s, t, possible) in [
            (0.9, 0.9, 0.0, false),
            (0.9, 0.9, 0.62, true),
            (0.9, 0.9, 0.61, false),
            (1.0, 1.0, 1.0, true),
            (1.0, 1.0, 0.999, false),
            (1.0, -1.0, -1.0, true),
            (1.0, 0.5, 0.5, true),
            (0.6, 0.8, 0.0, true),
            (-0.5, -0.5, -0.5, true),
            (-0.51, -0.51, -0.51, false),
        ] {
            assert_eq!(is_possible(&matrix(r, s, t)), possible, "{r} {s} {t}");
        }
    }

    #[test]
    fn the_pair_that_is_missing_has_little_room() {
        let (pair, [low, high]) = missing(&[4, 7, 9], &matrix(0.9, 0.9, 0.0)).unwrap();
        assert_eq!(pair, [7, 9]);
        assert!((low - 0.62).abs() < 1e-12 && (high - 1.0).abs() < 1e-12, "{low} {high}");
    }

    #[test]
    fn ties_that_meet_make_one_group() {
        let tie = |index, a, b| Tie { index, of: [a, b], coefficient: 0.5, reason: None };
        let found = groups(vec![tie(0, 1, 2), tie(1, 3, 4), tie(2, 5, 4), tie(3, 6, 7), tie(4, 7, 1)]);
        let indices: Vec<Vec<usize>> = found.iter().map(|group| group.iter().map(|tie| tie.index).collect()).collect();
        assert_eq!(indices, [vec![0, 3, 4], vec![1, 2]]);
    }
}
