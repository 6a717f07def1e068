//! `unused`: a reading that nothing comes of.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::paper::is_recorded;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::fault::FaultKind;
use crate::evaluate::sheet::{Origin, View};
use crate::parse;
use crate::parse::ast::{Item, Symbol};

pub(super) static RULE: Rule = Rule {
    name: "unused",
    group: "record",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a reading that no formula, mention, comparison or graph uses, in a report that works something out. A column is \
               left alone where another of its table is used: it says which row is which.",
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
    let works_out =
        quantities.iter().any(|quantity| !is_recorded(quantity) && !matches!(quantity.origin, Origin::Unread));
    if !works_out {
        return;
    }
    let (used, named) = (used(desk), named_where_unread(desk));
    let tables = tables(desk, &used);
    for (id, quantity) in desk.sound() {
        if used.get(id) == Some(&false)
            && is_recorded(quantity)
            && !is_a_count(quantity)
            && !table_of(quantity).is_some_and(|table| tables.contains(&table))
            && !desk.ambiguous(quantity.item)
            && !named.contains(&quantity.symbol)
        {
            let message = format!("`{}` is recorded, but nothing in the report uses it", quantity.symbol);
            let help = format!(
                "use it in a formula, show it with `~{{{}}}` where you speak of it, or take it out",
                quantity.symbol
            );
            found.push(RULE.at(quantity.span, message, help));
        }
    }
}

/// The tables of which a column is used. Another column there says of each row which it is: when,
/// where, at what setting.
fn tables(desk: &Desk<'_>, used: &[bool]) -> HashSet<usize> {
    let columns = desk.context.sheet.quantities.iter().zip(used).filter(|(_, used)| **used);
    columns.filter_map(|(quantity, _)| table_of(quantity)).collect()
}

fn table_of(quantity: &Quantity) -> Option<usize> {
    if let Origin::Column(column) = &quantity.origin { Some(column.table) } else { None }
}

/// How many there are is worth saying where nothing is worked out of it.
fn is_a_count(quantity: &Quantity) -> bool {
    quantity.exact && quantity.unit.is_one()
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
    // What was most likely meant by an unknown symbol is used there.
    let meant = desk.faults().filter_map(|fault| match &fault.kind {
        FaultKind::UnknownSymbol { nearest, .. } => nearest.as_ref().and_then(find),
        _ => None,
    });
    meant.for_each(&mut mark);
    for (number, item) in desk.items() {
        match item {
            Item::Mention(_) | Item::Comparison(_) | Item::Budget(_) => match sheet.views.get(&number) {
                Some(View::Mention { quantity, .. }) => mark(*quantity),
                Some(View::Comparison(compared)) => {
                    [Some(compared.left), compared.right].into_iter().flatten().for_each(&mut mark)
                }
                Some(View::Graph(_)) | None => {}
            },
            Item::Graph(graph) => {
                [&graph.x, &graph.y].into_iter().filter_map(|symbol| find(&symbol.value)).for_each(&mut mark)
            }
            _ => {}
        }
    }
    used
}

/// All that could be a symbol in items that could not be read: one of them may use the reading.
fn named_where_unread(desk: &Desk<'_>) -> HashSet<Symbol> {
    let places = desk.context.document.places.iter().enumerate();
    let unread = places.filter(|&(number, _)| desk.misspelt(number));
    let words = unread.flat_map(|(_, place)| place.text.split(|c: char| !(c.is_alphanumeric() || "_′’'".contains(c))));
    let begun = words.map(|word| word.trim_start_matches(|c: char| c.is_ascii_digit()));
    begun.filter_map(|word| parse::symbol(word).ok()).collect()
}
