//! What the rows of a table rest on: which sources reach one row alone, and which several.
//!
//! To follow every row down to its sources costs the square of the rows where each rests on all, as in
//! `z = y - mean(y)`. One sweep for all rows at once does not: seeded with a weight for each row, it brings to every
//! source Σ w·c, the sum of its sensitivities c in the rows, each times the row's weight w. Three such sums tell
//! whether there is but one row in them: with the weights 1 the sum is then that row's sensitivity itself; with the
//! rows' numbers it is the number times as much; and with marks that have nothing to do with one another it
//! is the row's mark times as much, which several rows do not come to. What cancels within a row, or between
//! the quantities that a row was made of, cancels in all three.

use super::{Node, Propagation};
use crate::course::Combine;
use crate::evaluate::statistics::count;

/// By which part of itself a sum may differ from what one row alone would make of it. Roundings stay far below; a
/// second row shows unless its own part is as small.
const NOISE: f64 = 1e-10;

/// What rows rest on, each of them two quantities.
#[derive(Debug, Default, PartialEq)]
pub struct Reached {
    /// Of each row and quantity: what the sources that reach no other row come to, combined as the course does.
    pub own: Vec<[f64; 2]>,
    /// The sources that reach several rows, ascending.
    shared: Vec<Node>,
}

impl Reached {
    /// Does this source reach several rows?
    pub fn is_shared(&self, source: Node) -> bool {
        self.shared.binary_search(&source).is_ok()
    }
}

/// The rows that a source reaches.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Rows {
    None,
    One(usize),
    Several,
}

impl Propagation {
    /// What rows of two quantities each rest on. What finding it takes is taken off `steps`; `None` where they do
    /// not suffice.
    pub fn reached(&self, rows: &[[Node; 2]], steps: &mut usize) -> Option<Reached> {
        let seeds = rows.iter().enumerate().flat_map(|(row, &[one, other])| {
            let [a, b, c] = [1.0, count(row), mark(row)];
            [(one, [a, b, c, 0.0, 0.0, 0.0]), (other, [0.0, 0.0, 0.0, a, b, c])]
        });
        let mut found = self.swept(seeds, steps)?;
        found.sort_by_key(|&(source, _)| self.family(source));
        let mut reached = Reached { own: vec![[0.0; 2]; rows.len()], shared: Vec::new() };
        for variable in found.chunk_by(|(source, _), (next, _)| self.family(*source) == self.family(*next)) {
            let sums = variable.iter().flat_map(|&(_, [a, b, c, d, e, f])| [[a, b, c], [d, e, f]]);
            match sums.map(|sums| Rows::of(sums, rows.len())).fold(Rows::None, Rows::and) {
                Rows::None => {}
                Rows::Several => reached.shared.extend(variable.iter().map(|(source, _)| *source)),
                Rows::One(row) => {
                    let own = reached.own.get_mut(row).into_iter().flatten();
                    own.zip([0, 3]).for_each(|(own, plain)| *own = self.with_own(*own, variable, plain));
                }
            }
        }
        reached.shared.sort_unstable();
        Some(reached)
    }

    /// The first of those that a source is tied to, as a rule itself.
    fn family(&self, source: Node) -> Node {
        if self.tied[source.index()] { self.ties.family(source) } else { source }
    }

    /// An uncertainty with that of one variable more, or of several that are tied, of which the sensitivities stand at
    /// `plain`.
    fn with_own(&self, own: f64, variable: &[(Node, [f64; 6])], plain: usize) -> f64 {
        let part = match variable {
            [(source, sums)] => self.own[source.index()].scaled(sums[plain]),
            several => {
                let parts: Vec<_> = several.iter().map(|(source, sums)| self.part(*source, sums[plain])).collect();
                self.ties.together(&parts)
            }
        };
        let part = part.combined(self.combine);
        match self.combine {
            Combine::Sum => own + part,
            Combine::Quadrature | Combine::Standard => libm::hypot(own, part),
        }
    }
}

impl Rows {
    /// Which of so many rows are in the sums with the weights 1, the rows' numbers, and their marks.
    fn of([plain, numbered, marked]: [f64; 3], rows: usize) -> Self {
        if [plain, numbered, marked] == [0.0; 3] {
            return Self::None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "what is no row's number is held against the sums, and found out"
        )]
        let row = (numbered / plain + 0.5) as usize;
        let near = |sum: f64, weight: f64| (sum - weight * plain).abs() <= NOISE * (1.0 + weight) * plain.abs();
        if row < rows && near(numbered, count(row)) && near(marked, mark(row)) { Self::One(row) } else { Self::Several }
    }

    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::None, rows) | (rows, Self::None) => rows,
            (Self::One(row), Self::One(same)) if row == same => self,
            _ => Self::Several,
        }
    }
}

/// A number between 1 and 2 that has nothing to do with those of other rows (SplitMix64: G. L. Steele, D. Lea,
/// C. H. Flood, OOPSLA 2014, from memory).
fn mark(row: usize) -> f64 {
    let mut z = (row as u64).wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    f64::from_bits(1.0_f64.to_bits() | (z ^ (z >> 31)) >> 12)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use proptest::prelude::*;

    use super::*;

    /// The definition: every quantity followed down by itself.
    fn by_definition(tape: &Propagation, rows: &[[Node; 2]]) -> (Vec<[f64; 2]>, Vec<Node>) {
        let parts = |node| tape.contributions(node, usize::MAX).unwrap();
        let parts: Vec<_> = rows.iter().map(|row| row.map(parts)).collect();
        let mut reach: BTreeMap<Node, Vec<usize>> = BTreeMap::new();
        for (row, parts) in parts.iter().enumerate() {
            let sources = parts.iter().flatten().flat_map(|part| part.members.iter().chain([&part.source]));
            sources.for_each(|&source| reach.entry(source).or_default().push(row));
        }
        reach.retain(|_, rows| rows.windows(2).any(|pair| pair[0] != pair[1]));
        let own = |parts: &Vec<crate::evaluate::propagate::Contribution>| {
            let own = parts.iter().filter(|part| !reach.contains_key(&part.source));
            own.map(|part| part.contribution).fold(0.0, libm::hypot)
        };
        (parts.iter().map(|[y, x]| [own(y), own(x)]).collect(), reach.into_keys().collect())
    }

    fn assert_as_defined(tape: &Propagation, rows: &[[Node; 2]]) {
        let reached = tape.reached(rows, &mut usize::MAX.clone()).unwrap();
        let (own, shared) = by_definition(tape, rows);
        assert_eq!(reached.shared, shared);
        for (ours, defined) in reached.own.iter().flatten().zip(own.iter().flatten()) {
            assert!((ours - defined).abs() <= 1e-12 * defined, "{ours} against {defined}");
        }
    }

    /// Rows of readings, and quantities of one of these kinds made of them.
    fn rows_of(kind: usize, amounts: &[(f64, f64)]) -> (Propagation, Vec<[Node; 2]>) {
        let mut tape = Propagation::new(Combine::Standard);
        let q = tape.source(0.3, 0.2, f64::INFINITY);
        let made: Vec<_> = amounts.iter().map(|&(a, c)| [a, c].map(|size| tape.source(size, size, 7.0))).collect();
        let [slope, intercept] = tape.correlated([0.2, 0.3], -0.8, 5.0).variables;
        let mean = tape.quantity(made.iter().map(|row| (row[0], 1.0 / count(amounts.len()))));
        let mut sum = tape.quantity([(q, 0.0)]);
        let row = |(&[y, x], &(a, c)): (&[Node; 2], &(f64, f64))| {
            let before = sum;
            sum = tape.quantity([(before, 1.0), (y, a)]);
            match kind {
                0 => [tape.quantity([(y, a), (x, c)]), x],
                1 => [tape.quantity([(y, 1.0), (mean, -1.0)]), x],
                2 => [sum, x],
                3 => [tape.quantity([(sum, c), (before, -c)]), tape.quantity([(x, 1.0), (q, a)])],
                4 => [tape.quantity([(y, 1.0), (slope, -a), (intercept, -1.0)]), tape.quantity([(x, 1.0), (y, a)])],
                _ => {
                    let less = tape.quantity([(y, 1.0), (mean, -c), (q, a)]);
                    [tape.quantity([(less, 2.0), (mean, 2.0 * c)]), sum]
                }
            }
        };
        let rows = made.iter().zip(amounts).map(row).collect();
        (tape, rows)
    }

    proptest! {
        #[test]
        fn rows_of_every_kind(kind in 0..6_usize, amounts in prop::collection::vec((0.1..3.0_f64, 0.1..3.0_f64), 1..20)) {
            let (tape, rows) = rows_of(kind, &amounts);
            assert_as_defined(&tape, &rows);
        }
    }

    #[test]
    fn long_tables_of_every_kind() {
        let amounts: Vec<_> = (0..400).map(|row| (2.0 * mark(row) - 1.5, mark(row + 400))).collect();
        for kind in 0..6 {
            let (tape, rows) = rows_of(kind, &amounts);
            assert_as_defined(&tape, &rows);
        }
    }

    #[test]
    fn one_row_alone_shares_nothing() {
        let (tape, rows) = rows_of(5, &[(0.3, 0.4)]);
        assert!(tape.reached(&rows, &mut 1000).unwrap().shared.is_empty());
    }

    #[test]
    fn what_takes_more_steps_than_there_are_is_not_told() {
        let (tape, rows) = rows_of(1, &[(0.3, 0.4); 50]);
        let mut steps = 1000;
        assert!(tape.reached(&rows, &mut steps).is_some());
        assert!(steps < 800 && tape.reached(&rows, &mut 100).is_none());
    }
}
