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
    let path: Vec<Step<'_>> = keys.iter().map(|key| Step::Key(key)).collect();
    in_front_matter(desk, &path, Side::Key).unwrap_or_else(|| desk.start())
}

/// The item of that number of a list in the report's front matter; `None` where it does not stand there.
pub(super) fn nth_of(desk: &Desk<'_>, key: &str, number: usize) -> Option<Span> {
    in_front_matter(desk, &[Step::Key(key), Step::Nth(number)], Side::Value)
}

fn in_front_matter(desk: &Desk<'_>, below: &[Step<'_>], side: Side) -> Option<Span> {
    let document = desk.context.document;
    let front = document.front_matter?;
    let path: Vec<Step<'_>> = [Step::Key("meniscus")].iter().chain(below).copied().collect();
    let found = course::place(front.of(document.source), &path, side)?;
    Some(Span::new(front.start + found.start, front.start + found.end))
}
