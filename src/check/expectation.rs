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
    let path: Vec<Step<'_>> = keys.iter().map(|key| Step::Key(key)).collect();
    in_front_matter(paper, &path, Side::Key).unwrap_or_else(|| paper.start())
}

/// The item of that number of a list in the report's front matter; `None` where it does not stand there.
pub(super) fn nth_of(paper: &Paper<'_>, key: &str, number: usize) -> Option<Span> {
    in_front_matter(paper, &[Step::Key(key), Step::Nth(number)], Side::Value)
}

fn in_front_matter(paper: &Paper<'_>, below: &[Step<'_>], side: Side) -> Option<Span> {
    let document = paper.context.document;
    let front = document.front_matter?;
    let path: Vec<Step<'_>> = [Step::Key("meniscus")].iter().chain(below).copied().collect();
    let found = course::place(front.of(document.source), &path, side)?;
    Some(Span::new(front.start + found.start, front.start + found.end))
}
