//! `item-unread`: an item in mathematics or raw HTML.

use crate::check::desk::Desk;
use crate::check::prose::Unread;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::locate::{End, Place, Setting};
use crate::parse;
use crate::parse::ast::Item;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "item-unread",
    group: "writing",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at an item between dollars or in a block of HTML, where nothing is read: one that would show a \
               quantity of the report, or that defines one with its sources.",
        why: "There the reader of the report sees the item as it is typed, and nobody has computed or checked it.",
        wrong: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high: $h =$ $~{h}$.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high: $h =$ ~{h}.\n",
        edit: Some("Takes the dollars out where nothing else stands between them, as a suggestion."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // In the masked text these are openers that no item begins with.
    if !desk.context.document.masked.contains("~{") {
        return;
    }
    for unread in &desk.prose().unread {
        let text = desk.text(unread.span());
        for (at, _) in text.match_indices("~{") {
            let Some(item) = whole(&text[at..]) else { continue };
            let span = Span::new(unread.span().start + at, unread.span().start + at + item.len());
            if is_meant(desk, item) {
                found.push(match unread {
                    Unread::Math(math) => in_math(desk, *math, span),
                    Unread::Html(_) => in_html(span),
                });
            }
        }
    }
}

fn in_math(desk: &Desk<'_>, math: Span, item: Span) -> Finding {
    let message = "this item stands between dollars, where nothing is read";
    let text = desk.text(math);
    let inner = text.trim_matches('$');
    let dollars = (text.len() - inner.len()) / 2;
    if inner.trim() != desk.text(item) {
        let help = "end the mathematics before the item, as in `$v =$ ~{v as value}`";
        return RULE.at(item, message, help);
    }
    let (open, close) = (Span::new(math.start, math.start + dollars), Span::new(math.end - dollars, math.end));
    RULE.at(item, message, "take the dollars out").suggest(open, "").suggest(close, "")
}

fn in_html(item: Span) -> Finding {
    let message = "this item stands in a block of HTML, where nothing is read";
    let help = "put it on a line of its own with an empty line before and behind, or write the block as Markdown";
    RULE.at(item, message, help)
}

/// The item that `text` begins with, where it ends.
fn whole(text: &str) -> Option<&str> {
    let end = text.get("~{".len()..)?.find(['}', '~']).map(|at| at + "~{".len())?;
    text.get(..=end).filter(|item| item.ends_with('}'))
}

/// Does it read as an item, and show nothing that the report lacks? To TeX a `~{` is a blank and a group.
fn is_meant(desk: &Desk<'_>, item: &str) -> bool {
    let span = Span::new(0, item.len());
    let place = Place { span, text: item.into(), end: End::Closed, setting: Setting::Text, block_end: item.len() };
    let read = parse::parse(&place);
    match read.item {
        Some(Item::Mention(mention)) => desk.context.sheet.find(&mention.symbol.value).is_some(),
        Some(_) => read.faults.is_empty(),
        None => false,
    }
}
