//! `defined-twice`: two items that define the same symbol.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Symbol;

pub(super) static RULE: Rule = Rule {
    name: "defined-twice",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at an item that defines a symbol which an earlier item defines already.",
        why: "Where one symbol stands for two numbers, no formula says which of them it uses.",
        wrong: "First ~{h = 24.3 cm; reading 0.1 cm \"the edge of the pot\"}, \
                then ~{h = 21.8 cm; reading 0.1 cm \"after cooling\"}.\n",
        right: "First ~{h_1 = 24.3 cm; reading 0.1 cm \"the edge of the pot\"}, \
                then ~{h_2 = 21.8 cm; reading 0.1 cm \"after cooling\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::DefinedTwice { symbol, first } = &fault.kind else { continue };
        let message = format!("`{symbol}` is defined a second time, so a formula cannot tell which of the two it uses");
        let free = (2..).map(|n| format!("{}_{n}", symbol.base()));
        let free = free.take(100).find(|other| desk.context.sheet.find(&Symbol::new(other)).is_none());
        let help = format!(
            "give one of them another symbol, such as `{}`; to show the first again, write only `~{{{symbol}}}`",
            free.unwrap_or_else(|| format!("{symbol}′"))
        );
        found.push(RULE.at(fault.span, message, help).beside(*first, format!("`{symbol}` is defined here first")));
    }
}
