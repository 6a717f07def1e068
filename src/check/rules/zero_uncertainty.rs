//! `zero-uncertainty`: a measured number said to be perfect.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "zero-uncertainty",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading whose sources are all zero, so that its uncertainty is zero as well.",
        why: "No measurement is perfect. A number that was not measured is `exact`, and says why.",
        wrong: "The clay pot is ~{h = 14.3 cm; reading 0 cm \"it was very clear\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"it was very clear\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        found.extend(alike(quantity));
        let Origin::Reading(record) = &quantity.origin else { continue };
        let sources = &quantity.sources;
        if !is_perfect(quantity) {
            continue;
        }
        let nothing_counted = sources.iter().any(|source| source.kind == Kind::Counting);
        // A share of zero is zero too, and `relative-to-zero` says so.
        if !nothing_counted && record.value.value.decimal.is_zero() && sources.iter().any(|s| s.written.is_some()) {
            continue;
        }
        let message = format!("every uncertainty of `{}` is zero, and no measurement is perfect", quantity.symbol);
        let help = if nothing_counted {
            "write `± 1` with a reason: where nothing was counted, the square root says nothing"
        } else {
            "write what limits it, however small, or `; exact` with the reason if it was not measured"
        };
        found.push(RULE.at(record.value.span, message, help));
    }
}

/// Does a single reading have sources, and all of them of no size?
fn is_perfect(quantity: &Quantity) -> bool {
    let sources = &quantity.sources;
    let nothing = !sources.is_empty() && sources.iter().all(|source| source.amount == 0.0);
    nothing && !quantity.exact && matches!(quantity.origin, Origin::Reading(_))
}

/// The items of which this rule may speak.
pub(super) fn items(desk: &Desk<'_>) -> HashSet<usize> {
    desk.sound().filter(|(_, quantity)| is_perfect(quantity)).map(|(_, quantity)| quantity.item).collect()
}

/// Readings that are all the same, and nothing beside them: what the scale can show is then the limit.
fn alike(quantity: &Quantity) -> Option<Finding> {
    let Origin::Repeated(repeated) = &quantity.origin else { return None };
    let nothing = quantity.sources.iter().all(|source| source.amount == 0.0) && !quantity.exact;
    let alike = repeated.deviation == Some(0.0) && nothing && !quantity.sources.is_empty();
    let message = format!(
        "all readings of `{}` are alike, and no other uncertainty stands beside their scatter",
        quantity.symbol
    );
    let help = "add what the scale can show, as in `; reading 0.01 s \"display\"`: readings are alike where it is too coarse to tell them apart";
    alike.then(|| RULE.at(quantity.span, message, help))
}
