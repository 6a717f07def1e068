//! `item-in-code`: a definition between backticks.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Symbol;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "item-in-code",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a code span that holds an item and nothing else, where the report uses the symbol that the item would \
               define and defines it nowhere.",
        why: "What stands between backticks is shown as it is typed and never read.",
        wrong: "",
        right: "",
        edit: Some("Takes the backticks out, as a suggestion."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let missing: HashSet<&Symbol> = desk.faults().filter_map(|fault| missing(&fault.kind)).collect();
    if missing.is_empty() || !desk.context.document.source.contains("`~{") {
        return;
    }
    for &code in &desk.prose().code {
        let item = desk.text(code).trim_matches('`').trim();
        let Some(symbol) = defined(item).filter(|symbol| missing.contains(symbol)) else { continue };
        let message = format!(
            "`{symbol}` is missing in this report, and its item here stands between backticks, where nothing is read"
        );
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

/// The symbol that an item's text defines, where the text is one item.
fn defined(item: &str) -> Option<Symbol> {
    let inner = item.strip_prefix("~{")?.strip_suffix('}')?;
    let (head, _) = inner.split_once('=')?;
    let symbol = head.split('"').next()?.trim();
    (!symbol.is_empty()).then(|| Symbol::new(symbol))
}
