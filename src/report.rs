//! The pipeline, read as a table of contents: locate → parse → evaluate → check → render.

use crate::check::{self, Finding};
use crate::course::Course;
use crate::evaluate::{self, Sheet};
use crate::locate::{self, Document};
use crate::parse::{self, Parsed};

/// A report that has been read, worked out and checked.
#[derive(Debug)]
pub struct Report<'s> {
    /// The source, and where its items stand.
    pub document: Document<'s>,
    /// What each item says; `items[n]` belongs to `document.places[n]`.
    pub items: Vec<Parsed>,
    /// The rules it was read by.
    pub course: Course,
    /// Its quantities.
    pub sheet: Sheet,
    /// What a marker would circle, in the order of the places.
    pub findings: Vec<Finding>,
}

/// Reads a report from end to end.
pub fn read(source: &str, course: Course) -> Report<'_> {
    let document = locate::locate(source);
    let items: Vec<Parsed> = document.places.iter().map(parse::parse).collect();
    let sheet = evaluate::evaluate(&document, &items, &course);
    let findings = check::check(check::Context { document: &document, items: &items, sheet: &sheet, course: &course });
    Report { document, items, course, sheet, findings }
}
