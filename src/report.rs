//! The pipeline, read as a table of contents: locate → parse → evaluate → check → render.

mod notation;

pub use notation::NOTATION;

use crate::check::{self, Context, Finding};
use crate::course::{self, Course};
use crate::evaluate::{self, Sheet};
use crate::locate::{self, Document};
use crate::parse::{self, Parsed};
use crate::render::View;

/// A report that has been read, worked out and checked.
#[derive(Debug)]
pub struct Report<'s> {
    /// The source, and where its items stand.
    pub document: Document<'s>,
    /// What each item says; `items[n]` belongs to `document.places[n]`.
    pub items: Vec<Parsed>,
    /// The rules it was read by: the course's, with its own front matter laid over them.
    pub course: Course,
    /// Its quantities.
    pub sheet: Sheet,
    /// What a marker would circle, in the order of the places.
    pub findings: Vec<Finding>,
}

/// Reads a report from end to end. `course` is what the files about it say.
pub fn read<'s>(source: &'s str, course: &Course) -> Report<'s> {
    let document = locate::locate(source);
    let course = own_course(&document, course);
    let items: Vec<Parsed> = document.places.iter().map(parse::parse).collect();
    let sheet = evaluate::evaluate(&document, &items, &course);
    let mut report = Report { document, items, course, sheet, findings: Vec::new() };
    report.findings = check::check(report.context());
    report
}

impl Report<'_> {
    /// What the writers of the room `render` look at.
    pub fn view(&self) -> View<'_> {
        View { context: self.context(), findings: &self.findings }
    }

    fn context(&self) -> Context<'_> {
        Context { document: &self.document, items: &self.items, sheet: &self.sheet, course: &self.course }
    }
}

fn own_course(document: &Document<'_>, course: &Course) -> Course {
    match document.front_matter {
        Some(span) => course::of_report(course, span.of(document.source), span.start, NOTATION),
        None => course.clone(),
    }
}
