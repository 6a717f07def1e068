//! What a reader sees: the pieces that stand in place of items, spliced into untouched text, and the
//! tables of rationale beneath.

mod address;
mod amount;
mod anchor;
mod code;
mod column;
mod coverage;
mod defuse;
mod escape;
mod figure;
mod formula;
mod graph;
mod html;
mod hypertext;
mod latex;
mod loose;
mod markdown;
mod markup;
mod mathml;
mod number;
mod page;
mod picture;
mod piece;
mod plain;
mod plan;
mod quality;
mod rationale;
mod safe;
mod style;
mod summary;
mod unit;
pub mod words;

pub use address::percent_encoded;
pub use page::TemplateError;

use std::ops::Deref;

use crate::check::{Context, Finding};
use crate::evaluate::QuantityId;

/// All that a report is rendered from.
#[derive(Clone, Copy, Debug)]
pub struct View<'r> {
    /// What the rules looked at as well: the view has all its fields.
    pub context: Context<'r>,
    /// What a marker would circle; an item with an error stands in the output as its own source.
    pub findings: &'r [Finding],
}

impl<'r> Deref for View<'r> {
    type Target = Context<'r>;

    fn deref(&self) -> &Context<'r> {
        &self.context
    }
}

/// What the author of a command decides about the output.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// How mathematics is written.
    pub math: Math,
    /// Of HTML, the body alone. Where a report has no items, it is what pulldown-cmark makes of it with
    /// [`locate::options()`](crate::locate::options).
    pub fragment: bool,
    /// The text of a template for the page, in place of the built-in one.
    pub template: Option<String>,
    /// A title for the page where the report has neither one in its front matter nor a heading.
    pub title: Option<String>,
    /// Does nothing of the report act on a page? Its own HTML is then shown as text, links that could run or reveal something lose
    /// their destinations, and headings all attributes but names, classes and languages.
    pub safe: bool,
    /// Of Markdown, where its graphs go.
    pub pictures: Pictures,
}

/// Where the graphs of a report in Markdown go; those of one in HTML are part of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Pictures {
    /// Into the text itself, as `data:` addresses: it stands on its own.
    #[default]
    Within,
    /// Into files beside the text, which is called so without its ending: `report` has `report-graph-1.svg`, to be
    /// had from [`pictures`].
    Beside(String),
}

impl Pictures {
    /// The name of the file of the graph with that number, counted from 1.
    fn file(&self, number: usize) -> Option<String> {
        match self {
            Self::Within => None,
            Self::Beside(name) => Some(format!("{name}-graph-{number}.svg")),
        }
    }
}

/// A picture in a file of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// The name of the file.
    pub name: String,
    /// What it holds: Scalable Vector Graphics.
    pub svg: String,
}

/// How mathematics is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Math {
    /// MathML in HTML, plain text in Markdown.
    #[default]
    Usual,
    /// MathML Core.
    Mathml,
    /// LaTeX between dollars.
    Latex,
    /// Unicode text.
    Plain,
}

impl Math {
    fn or(self, usual: Self) -> Self {
        if self == Self::Usual { usual } else { self }
    }
}

/// The report as Markdown: bytes outside items are those of the source, and rationale is put beneath.
/// Rendering the outcome again changes nothing.
pub fn markdown(view: View<'_>, options: &Options) -> String {
    markdown::write(&plan::Plan::new(view), options)
}

/// The files that [`markdown`] refers to; none where its graphs are within it.
pub fn pictures(view: View<'_>, options: &Options) -> Vec<Picture> {
    if options.pictures == Pictures::Within {
        return Vec::new();
    }
    let plan = plan::Plan::new(view);
    let graphs = plan.blocks().flat_map(|block| plan.graphs(&block).collect::<Vec<_>>());
    let picture = |graph: graph::Shown| {
        let name = options.pictures.file(graph.number)?;
        Some(Picture { name, svg: graph.svg(graph::Ground::File) })
    };
    graphs.filter_map(picture).collect()
}

/// The report as a page of HTML, or with [`Options::fragment`] as the body of one.
///
/// # Errors
/// Where the template cannot be read or filled in.
pub fn html(view: View<'_>, options: &Options) -> Result<String, TemplateError> {
    let body = html::write(&plan::Plan::new(view), options);
    if options.fragment { Ok(body.html) } else { page::write(view, body, options) }
}

/// A quantity as text without any mark-up: `9.7 ± 0.2 m/s²`; empty where it has no value.
pub fn shown(view: View<'_>, quantity: QuantityId) -> String {
    let pieces = style::styled(view, quantity, None, crate::parse::ast::Style::Plain).unwrap_or_default();
    pieces.iter().map(piece::Piece::simple).collect()
}
