//! In which order results can be worked out, and which of them can not: cycles.

use super::sheet::QuantityId;

/// An order in which each quantity comes after those that it uses, and the cycles.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Order {
    /// All quantities, operands before what uses them wherever there is no cycle.
    pub(super) sequence: Vec<QuantityId>,
    /// Cycles as paths, each from the first of its quantities in the report. A cycle that begins within
    /// one already given is not given as well: breaking one comes first.
    pub(super) cycles: Vec<Vec<QuantityId>>,
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    New,
    Open,
    Done,
}

/// `uses[q]`: what the quantity `q` is worked out from. A walk in depth with a stack of its own: a
/// chain of a hundred thousand quantities is as safe as one of three.
pub(super) fn order(uses: &[Vec<QuantityId>]) -> Order {
    let count = uses.len();
    let (state, round) = (vec![State::New; count], vec![false; count]);
    let mut walk = Walk { uses, state, round, path: Vec::new(), order: Order::default() };
    for start in 0..uses.len() {
        walk.from(start);
    }
    walk.order
}

struct Walk<'u> {
    uses: &'u [Vec<QuantityId>],
    state: Vec<State>,
    /// Is the quantity in a cycle that has been given?
    round: Vec<bool>,
    /// The quantities that are being looked into, and how many operands of each have been.
    path: Vec<(QuantityId, usize)>,
    order: Order,
}

impl Walk<'_> {
    fn from(&mut self, start: QuantityId) {
        self.enter(start);
        while let Some((quantity, next)) = self.path.last_mut() {
            let (quantity, place) = (*quantity, *next);
            *next += 1;
            match self.uses[quantity].get(place) {
                Some(&operand) => self.enter(operand),
                None => {
                    self.state[quantity] = State::Done;
                    self.order.sequence.push(quantity);
                    self.path.pop();
                }
            }
        }
    }

    fn enter(&mut self, quantity: QuantityId) {
        match self.state[quantity] {
            State::Done => {}
            State::New => {
                self.state[quantity] = State::Open;
                self.path.push((quantity, 0));
            }
            State::Open => self.cycle(quantity),
        }
    }

    fn cycle(&mut self, back_to: QuantityId) {
        if self.round[back_to] {
            return;
        }
        let start = self.path.iter().rposition(|&(quantity, _)| quantity == back_to).unwrap_or(0);
        let mut path: Vec<_> = self.path[start..].iter().map(|&(quantity, _)| quantity).collect();
        let first = (0..path.len()).min_by_key(|&place| path[place]).unwrap_or(0);
        path.rotate_left(first);
        for &quantity in &path {
            self.round[quantity] = true;
        }
        self.order.cycles.push(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn operands_come_first() {
        let uses = [vec![2, 1], vec![2], vec![], vec![0]];
        assert_eq!(order(&uses), Order { sequence: vec![2, 1, 0, 3], cycles: vec![] });
    }

    #[test]
    fn a_cycle_is_a_path_from_its_first_quantity() {
        let uses = [vec![], vec![3], vec![1], vec![2], vec![4]];
        assert_eq!(order(&uses).cycles, [vec![1, 3, 2], vec![4]]);
    }

    #[test]
    fn a_deep_chain_overflows_no_stack() {
        let uses: Vec<_> = (0..200_000).map(|k| if k + 1 < 200_000 { vec![k + 1] } else { vec![] }).collect();
        assert_eq!(order(&uses).sequence.first(), Some(&199_999));
    }
}
