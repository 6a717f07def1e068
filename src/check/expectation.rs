//! What a course expects its reports to have, and where such an expectation stands.

use std::borrow::Cow;

use super::desk::Desk;
use crate::course::{self, Expected, Side, Step};
use crate::locate::{End, Place, Setting};
use crate::parse;
use crate::parse::ast::{Item, Symbol};
use crate::span::Span;

/// Every expected quantity with its symbol; a key that is no symbol is a fault of the course.
pub(super) fn all<'r>(desk: &Desk<'r>) -> impl Iterator<Item = (&'r str, Symbol, &'r Expected)> {
    let expected = desk.context.course.expected.iter();
    expected.filter_map(|(key, expected)| Some((key.as_str(), symbol(key)?, expected)))
}

/// The symbol that a key spells, as the notation reads it.
fn symbol(key: &str) -> Option<Symbol> {
    let text = format!("~{{{key}}}");
    let span = Span::new(0, text.len());
    let place = Place { span, block_end: text.len(), text: Cow::Owned(text), end: End::Closed, setting: Setting::Text };
    match parse::parse(&place).item? {
        Item::Mention(mention) => Some(mention.symbol.value),
        _ => None,
    }
}

/// The key in the report's front matter, else the report's first byte.
pub(super) fn place(desk: &Desk<'_>, key: &str) -> Span {
    let document = desk.context.document;
    let in_front_matter = document.front_matter.and_then(|front| {
        let path = [Step::Key("meniscus"), Step::Key("expected"), Step::Key(key)];
        let found = course::place(front.of(document.source), &path, Side::Key)?;
        Some(Span::new(front.start + found.start, front.start + found.end))
    });
    in_front_matter.unwrap_or(Span::at(document.start))
}
