//! `unknown-symbol`: a quantity that is used and nowhere defined.

use std::collections::HashMap;

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Symbol;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "unknown-symbol",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a symbol that no item of the report defines, and at the nearest one that is defined.",
        why: "What is not recorded cannot be computed with, and a reader cannot look it up.",
        wrong: "The gate swings ~{t = 2.31 s; reaction 0.20 s \"by hand\"} each way, ~{T = 2 * t1} there and back.\n",
        right: "The gate swings ~{t = 2.31 s; reaction 0.20 s \"by hand\"} each way, ~{T = 2 * t} there and back.\n",
        edit: Some("Writes the nearest symbol that is defined, as a suggestion."),
        source: NOTATION,
    },
    check,
};

/// Other uses of one missing quantity that are worth showing beside the first.
const MOST_RELATED: usize = 5;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // A misspelling is a slip of its own at every place. A quantity that is missing is one slip,
    // however often it is used: it is said at the first use.
    let mut missing: HashMap<&Symbol, usize> = HashMap::new();
    for fault in desk.faults() {
        let FaultKind::UnknownSymbol { symbol, nearest } = &fault.kind else { continue };
        if desk.begun(symbol) || desk.misspelt(fault.item) {
            continue;
        }
        if let Some(nearest) = nearest {
            found.push(misspelt(fault.span, symbol, nearest));
        } else if let Some(first) = missing.get(symbol).and_then(|&at| found.get_mut(at)) {
            if first.related.len() < MOST_RELATED {
                *first = first.clone().beside(fault.span, "used here too");
            }
        } else {
            missing.insert(symbol, found.len());
            found.push(undefined(fault.span, symbol));
        }
    }
}

fn misspelt(span: Span, symbol: &Symbol, nearest: &Symbol) -> Finding {
    let symbol = say::quoted(symbol.as_str());
    let message = format!("{symbol} is used here but no item defines it, so there is nothing to compute with");
    let help = format!("write `{nearest}` if that is the quantity meant, or define {symbol} in an item of its own");
    RULE.at(span, message, help).suggest(span, nearest.as_str())
}

fn undefined(span: Span, symbol: &Symbol) -> Finding {
    let shown = say::quoted(symbol.as_str());
    let message = format!("{shown} is used here but no item defines it, so there is nothing to compute with");
    let word = ["pi", "summary", "rationale"].into_iter().find(|word| symbol.as_str().eq_ignore_ascii_case(word));
    if let Some(word) = word {
        return RULE
            .at(span, message, format!("write `{word}`: the words of the notation have small letters"))
            .suggest(span, word);
    }
    let help = format!("record it where it was measured, as in `~{{{symbol} = 12.4 cm; reading 0.1 cm \"why\"}}`");
    RULE.at(span, message, help)
}
