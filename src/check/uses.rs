//! Who uses whom: what is worked out of a quantity, however far down.

use std::collections::HashSet;

use super::paper::Paper;
use crate::evaluate::QuantityId;

/// Of each quantity: those whose formulas use it.
pub(super) fn users(paper: &Paper<'_>) -> Vec<Vec<QuantityId>> {
    let quantities = &paper.context.sheet.quantities;
    let mut users = vec![Vec::new(); quantities.len()];
    for (id, quantity) in quantities.iter().enumerate() {
        quantity.operands.iter().for_each(|&operand| users[operand].push(id));
    }
    users
}

/// These, and all that is worked out of them.
pub(super) fn closure(mut open: Vec<QuantityId>, users: &[Vec<QuantityId>]) -> HashSet<QuantityId> {
    let mut found = HashSet::new();
    while let Some(id) = open.pop() {
        if found.insert(id) {
            open.extend(&users[id]);
        }
    }
    found
}
