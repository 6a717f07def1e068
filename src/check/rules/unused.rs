//! `unused`: a reading that nothing comes of.

use crate::check::desk::{Desk, is_recorded};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::View;
use crate::parse::ast::{Item, Symbol};

pub(super) static RULE: Rule = Rule {
    name: "unused",
    group: "record",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a reading that no formula, mention, comparison or graph uses, in a report that works something out.",
        why: "What was measured and not used was either forgotten in a formula or need not have been measured.",
        wrong: "The track: ~{s = 84.0 cm; reading 0.1 cm \"edge\"}, ~{w = 4.2 cm; reading 0.1 cm \"edge\"}; half is ~{y = s / 2}.\n",
        right: "The track: ~{s = 84.0 cm; reading 0.1 cm \"edge\"}, ~{w = 4.2 cm; reading 0.1 cm \"edge\"}; area ~{y = s * w}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let quantities = &desk.context.sheet.quantities;
    let works_out = quantities.iter().any(|quantity| !is_recorded(quantity));
    // Where an item could not be read, it may be the one that uses the reading.
    if !works_out || (0..desk.context.items.len()).any(|item| desk.misspelt(item)) {
        return;
    }
    let used = used(desk);
    for (id, quantity) in desk.sound() {
        if used.get(id) == Some(&false) && is_recorded(quantity) {
            let message = format!("`{}` is recorded, but nothing in the report uses it", quantity.symbol);
            let help = format!(
                "use it in a formula, show it with `~{{{}}}` where you speak of it, or take it out",
                quantity.symbol
            );
            found.push(RULE.at(quantity.span, message, help));
        }
    }
}

/// Of each quantity: is it used?
fn used(desk: &Desk<'_>) -> Vec<bool> {
    let sheet = desk.context.sheet;
    let mut used = vec![false; sheet.quantities.len()];
    let mut mark = |id: usize| {
        if let Some(used) = used.get_mut(id) {
            *used = true;
        }
    };
    sheet.quantities.iter().flat_map(|quantity| &quantity.operands).for_each(|&id| mark(id));
    let find = |symbol: &Symbol| sheet.find(symbol).map(|(id, _)| id);
    for (number, item) in desk.items() {
        match sheet.views.get(&number) {
            Some(View::Mention { quantity, .. }) => mark(*quantity),
            Some(View::Comparison(compared)) => {
                [Some(compared.left), compared.right].into_iter().flatten().for_each(&mut mark)
            }
            Some(View::Graph(_)) | None => {}
        }
        if let Item::Graph(graph) = item {
            [&graph.x, &graph.y].into_iter().filter_map(|symbol| find(&symbol.value)).for_each(&mut mark);
        }
    }
    used
}
