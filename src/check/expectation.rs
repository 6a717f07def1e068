//! What a course expects its reports to have, and where such an expectation stands.

use super::paper::Paper;
use crate::course::{self, Expected, Side, Step};
use crate::parse;
use crate::parse::ast::Symbol;
use crate::span::Span;

/// Every expected quantity with its symbol; a key that is no symbol is a fault of the course.
pub(super) fn all<'r>(paper: &Paper<'r>) -> impl Iterator<Item = (&'r str, Symbol, &'r Expected)> {
    let expected = paper.context.course.expected.iter();
    expected.filter_map(|(key, expected)| Some((key.as_str(), parse::symbol(key).ok()?, expected)))
}

/// The key of an expectation in the report's front matter, else the report's first byte.
pub(super) fn place(paper: &Paper<'_>, key: &str) -> Span {
    place_of(paper, &["expected", key])
}

/// A key below `meniscus` in the report's front matter, else the report's first byte.
pub(super) fn place_of(paper: &Paper<'_>, keys: &[&str]) -> Span {
    let document = paper.context.document;
    let in_front_matter = document.front_matter.and_then(|front| {
        let path: Vec<Step<'_>> = ["meniscus"].iter().chain(keys).map(|key| Step::Key(key)).collect();
        let found = course::place(front.of(document.source), &path, Side::Key)?;
        Some(Span::new(front.start + found.start, front.start + found.end))
    });
    in_front_matter.unwrap_or(Span::at(document.start))
}
