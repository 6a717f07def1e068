//! What a course expects its reports to have, and where such an expectation stands.

use super::desk::Desk;
use crate::course::{self, Expected, Side, Step};
use crate::parse;
use crate::parse::ast::Symbol;
use crate::span::Span;

/// Every expected quantity with its symbol; a key that is no symbol is a fault of the course.
pub(super) fn all<'r>(desk: &Desk<'r>) -> impl Iterator<Item = (&'r str, Symbol, &'r Expected)> {
    let expected = desk.context.course.expected.iter();
    expected.filter_map(|(key, expected)| Some((key.as_str(), parse::symbol(key).ok()?, expected)))
}

/// The key of an expectation in the report's front matter, else the report's first byte.
pub(super) fn place(desk: &Desk<'_>, key: &str) -> Span {
    place_of(desk, &["expected", key])
}

/// A key below `meniscus` in the report's front matter, else the report's first byte.
pub(super) fn place_of(desk: &Desk<'_>, keys: &[&str]) -> Span {
    let document = desk.context.document;
    let in_front_matter = document.front_matter.and_then(|front| {
        let path: Vec<Step<'_>> = ["meniscus"].iter().chain(keys).map(|key| Step::Key(key)).collect();
        let found = course::place(front.of(document.source), &path, Side::Key)?;
        Some(Span::new(front.start + found.start, front.start + found.end))
    });
    in_front_matter.unwrap_or(Span::at(document.start))
}
