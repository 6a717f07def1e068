//! Numbers that lack their unit, and all that is worked out of them: units that do not meet there say the
//! same thing once more.

use std::collections::HashSet;

use super::paper::{Paper, is_without_uncertainty};
use super::uses;
use crate::evaluate::fault::{Doing, FaultKind};
use crate::evaluate::sheet::Origin;
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Against, Item, Symbol};

/// Is it a number with neither unit nor source? A repeated reading has its scatter and is spared.
pub(super) fn is_number_alone(quantity: &Quantity) -> bool {
    let bare = quantity.unit.is_one() && is_without_uncertainty(quantity);
    bare && matches!(quantity.origin, Origin::Reading(_))
}

/// Does no unit stand there? One that is pure, such as `%`, is a unit.
pub(super) fn is_plain(paper: &Paper<'_>, quantity: &Quantity) -> bool {
    !matches!(paper.item(quantity.item), Some(Item::Reading(reading)) if reading.unit.is_some())
}

/// The items whose units rest on a number that lacks its own.
pub(super) fn items(paper: &Paper<'_>) -> HashSet<usize> {
    let sheet = paper.context.sheet;
    let without: HashSet<usize> =
        paper.faults().filter(|fault| lacks_value(&fault.kind)).map(|fault| fault.item).collect();
    let bare = |id: &QuantityId| {
        let quantity = &sheet.quantities[*id];
        without.contains(&quantity.item)
            || is_number_alone(quantity) && is_plain(paper, quantity) && !is_whole(quantity)
    };
    let first: Vec<QuantityId> = (0..sheet.quantities.len()).filter(bare).collect();
    if first.is_empty() {
        return HashSet::new();
    }
    let all = uses::closure(first, &uses::users(paper.context.sheet));
    let rests = |symbol: &Symbol| sheet.find(symbol).is_some_and(|(id, _)| all.contains(&id));
    let viewed = paper.items().filter(|(_, item)| match item {
        Item::Mention(mention) => rests(&mention.symbol.value),
        Item::Comparison(comparison) => {
            let right = matches!(&comparison.right, Against::Symbol(symbol) if rests(&symbol.value));
            right || rests(&comparison.left.value)
        }
        _ => false,
    });
    let viewed: Vec<usize> = viewed.map(|(number, _)| number).collect();
    all.iter().map(|&id| sheet.quantities[id].item).chain(viewed).collect()
}

/// A whole number is most likely a count, whose unit is one.
fn is_whole(quantity: &Quantity) -> bool {
    matches!(&quantity.origin, Origin::Reading(record) if record.value.value.decimal.last_place() >= 0)
}

/// Is it the value that lacks its unit?
fn lacks_value(kind: &FaultKind) -> bool {
    matches!(kind, FaultKind::UnitsDiffer { doing: Doing::Amount, left, .. } if left.is_none())
}
