//! `item-in-code`: a definition between backticks.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::expectation;
use crate::check::sentence;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse;
use crate::parse::ast::{Item, Symbol};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "item-in-code",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a code span that holds an item and nothing else, where the report uses the symbol that the item would \
               define, or the course requires it, and no item defines it, or has the quantity that it would mention and does not show it in the same paragraph.",
        why: "What stands between backticks is shown as it is typed and never read.",
        wrong: "",
        right: "",
        edit: Some("Takes the backticks out, as a suggestion."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if !desk.context.document.source.contains("`~{") {
        return;
    }
    let required = expectation::all(desk).filter(|(_, _, expected)| expected.required).map(|(_, symbol, _)| symbol);
    let used = desk.faults().filter_map(|fault| missing(&fault.kind)).cloned();
    let missing: HashSet<Symbol> =
        required.filter(|symbol| desk.context.sheet.find(symbol).is_none()).chain(used).collect();
    for &code in &desk.prose().code {
        let item = desk.text(code).trim_matches('`').trim();
        let message = if let Some(symbol) = defined(item).filter(|symbol| missing.contains(symbol)) {
            format!(
                "`{symbol}` is missing in this report, and its item here stands between backticks, where nothing is read"
            )
        } else if let Some(symbol) = mentioned(item).filter(|symbol| is_meant(desk, symbol, code)) {
            format!("`{symbol}` is not shown here, since nothing that stands between backticks is read")
        } else {
            continue;
        };
        let ticks = desk.text(code).len() - desk.text(code).trim_start_matches('`').len();
        let open = Span::new(code.start, code.start + ticks);
        let close = Span::new(code.end - ticks, code.end);
        found.push(RULE.at(code, message, "take the backticks out").suggest(open, "").suggest(close, ""));
    }
}

const fn missing(kind: &FaultKind) -> Option<&Symbol> {
    match kind {
        FaultKind::UnknownSymbol { symbol, .. } => Some(symbol),
        _ => None,
    }
}

/// The symbol that an item's text mentions, where the text is one item.
fn mentioned(item: &str) -> Option<Symbol> {
    let inner = item.strip_prefix("~{")?.strip_suffix('}')?;
    let mut words = inner.split_whitespace();
    let symbol = parse::symbol(words.next()?).ok()?;
    let (how, what) = (words.next(), words.next());
    let shown = how.is_none() || matches!(how, Some("in" | "as")) && what.is_some();
    (shown && !inner.contains(['~', '`'])).then_some(symbol)
}

/// Is the quantity of that symbol one of the report, and does its paragraph not show it as well? Who explains the
/// notation shows what comes of it.
fn is_meant(desk: &Desk<'_>, symbol: &Symbol, code: Span) -> bool {
    let paragraph = sentence::paragraph(&desk.context.document.masked, code);
    let places = &desk.context.document.places;
    let first = places.partition_point(|place| place.span.start < paragraph.start);
    let within = places.iter().enumerate().skip(first).take_while(|(_, place)| place.span.end <= paragraph.end);
    let mut shown = within.filter_map(|(number, _)| shown_by(desk.item(number)?));
    desk.context.sheet.find(symbol).is_some() && !shown.any(|shown| shown == symbol)
}

/// The quantity that an item shows.
const fn shown_by(item: &Item) -> Option<&Symbol> {
    match item {
        Item::Mention(mention) => Some(&mention.symbol.value),
        Item::Reading(reading) => Some(&reading.head.symbol.value),
        Item::Result(derived) => Some(&derived.head.symbol.value),
        _ => None,
    }
}

/// The symbol that an item's text defines, where the text is one item.
fn defined(item: &str) -> Option<Symbol> {
    let inner = item.strip_prefix("~{")?.strip_suffix('}')?;
    let (head, _) = inner.split_once('=')?;
    let symbol = head.split('"').next()?.trim();
    (!symbol.is_empty()).then(|| Symbol::new(symbol))
}
