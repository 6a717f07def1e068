//! Who uses whom: what is worked out of a quantity, however far down.

use std::collections::HashSet;

use crate::evaluate::{QuantityId, Sheet};

/// Of each quantity: those whose formulas use it.
pub(super) fn users(sheet: &Sheet) -> Vec<Vec<QuantityId>> {
    let quantities = &sheet.quantities;
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
