//! `no-unit`: a bare number.

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;
use crate::parse::ast::Item;

pub(super) static RULE: Rule = Rule {
    name: "no-unit",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a recorded number that has no unit, no source of uncertainty, and is not said to be exact or counted.",
        why: "A number alone measures nothing: 14.3 of what?",
        wrong: "The clay pot is ~{h = 14.3} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound().filter(|(_, quantity)| speaks_of(quantity)) {
        let span = match &quantity.origin {
            Origin::Reading(record) => record.value.span,
            Origin::Repeated(repeated) => repeated.values.last().map_or(quantity.span, |value| value.span),
            _ => continue,
        };
        if !is_plain(desk, quantity) {
            continue;
        }
        let message = format!("`{}` is a bare number, so nobody can tell what it measures", quantity.symbol);
        let help =
            "write the unit behind it, then its uncertainty; of a number that was counted write `; exact \"counted\"`";
        found.push(RULE.at(span, message, help));
    }
}

/// Is it a number with neither unit nor source? A repeated reading has its scatter and is spared.
pub(in crate::check) fn speaks_of(quantity: &Quantity) -> bool {
    let bare = quantity.unit.is_one() && super::no_uncertainty::is_without(quantity);
    bare && matches!(quantity.origin, Origin::Reading(_))
}

/// Does no unit stand there? One that is pure, such as `%`, is a unit.
pub(in crate::check) fn is_plain(desk: &Desk<'_>, quantity: &Quantity) -> bool {
    !matches!(desk.item(quantity.item), Some(Item::Reading(reading)) if reading.unit.is_some())
}
