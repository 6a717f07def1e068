//! What is in force, as text, JSON or Markdown.

use std::io::{self, Write};

use anstyle::Style;
use serde::Serialize;
use serde_json::Value as Json;

use super::json;

const BOLD: Style = Style::new().bold();
const DIM: Style = Style::new().dimmed();

/// What is in force for a report or in a folder.
#[derive(Debug, Serialize)]
pub(in crate::face) struct InForce {
    version: u32,
    /// The report or the folder, as it was given.
    path: String,
    /// The folder from which the search went upwards, links resolved.
    folder: String,
    /// The files that were read, the nearest first.
    files: Vec<Source>,
    /// Where the search ended.
    border: Border,
    #[serde(skip)]
    sections: Vec<Section>,
    /// Every value of every section.
    values: Vec<Json>,
}

/// A file that says something.
#[derive(Debug, Serialize)]
pub(in crate::face) struct Source {
    /// Where it lies.
    pub(in crate::face) path: String,
    /// Is it a report's front matter, or a course file?
    pub(in crate::face) role: &'static str,
    /// Does it end the search?
    pub(in crate::face) root: bool,
    /// Where it leads, if it is a link.
    pub(in crate::face) links_to: Option<String>,
}

/// Where the search ended.
#[derive(Debug, Serialize)]
pub(in crate::face) struct Border {
    /// `root`, `.git` or `file system`.
    pub(in crate::face) by: &'static str,
    /// The folder.
    pub(in crate::face) folder: Option<String>,
}

/// The entries of one key, or the keys that have a single value.
#[derive(Debug)]
pub(in crate::face) struct Section {
    pub(in crate::face) heading: &'static str,
    /// What stands there where there are none.
    pub(in crate::face) none: &'static str,
    pub(in crate::face) values: Vec<Value>,
}

/// One value.
#[derive(Debug, Serialize)]
pub(in crate::face) struct Value {
    pub(in crate::face) key: &'static str,
    pub(in crate::face) entry: Option<String>,
    pub(in crate::face) value: Json,
    /// For people: the value, and beneath it what follows from it.
    #[serde(skip)]
    pub(in crate::face) says: Vec<String>,
    /// Where it is said; `None` of a default.
    pub(in crate::face) from: Option<Place>,
    /// Where it is fixed, if it is.
    pub(in crate::face) fixed: Option<Place>,
}

/// A place in a file. Line and column are unknown where looking for them would take too long.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(in crate::face) struct Place {
    pub(in crate::face) path: String,
    pub(in crate::face) line: Option<usize>,
    pub(in crate::face) column: Option<usize>,
}

impl Place {
    fn text(&self) -> String {
        self.line.map_or_else(|| self.path.clone(), |line| format!("{}:{line}", self.path))
    }
}

impl Value {
    fn name(&self) -> &str {
        self.entry.as_deref().unwrap_or(self.key)
    }

    fn from(&self) -> String {
        let from = self.from.as_ref().map_or_else(|| "default".to_owned(), Place::text);
        match &self.fixed {
            Some(fixed) => format!("{from}, fixed by {}", fixed.text()),
            None => from,
        }
    }
}

impl Source {
    fn text(&self) -> String {
        let link = self.links_to.as_ref().map(|to| format!(", a link to {to}")).unwrap_or_default();
        let root = if self.root { ", says `root: true`" } else { "" };
        format!("{}{link}{root}", self.role)
    }
}

impl Border {
    fn text(&self) -> String {
        match (self.by, &self.folder) {
            ("root", Some(folder)) => format!("the search ended in {folder}, whose course file says `root: true`"),
            (".git", Some(folder)) => format!("the search ended in {folder}, where a `.git` is"),
            _ => "the search ended at the file system's root".to_owned(),
        }
    }
}

impl InForce {
    pub(in crate::face) fn new(
        path: String,
        folder: String,
        files: Vec<Source>,
        border: Border,
        sections: Vec<Section>,
    ) -> Self {
        let values = sections.iter().flat_map(|section| &section.values);
        let values = values.map(|value| serde_json::to_value(value).unwrap_or_default()).collect();
        Self { version: json::VERSION, path, folder, files, border, sections, values }
    }

    pub(in crate::face) fn json(&self, out: impl Write) -> io::Result<()> {
        json::object(out, self)
    }

    pub(in crate::face) fn text(&self, out: &mut impl Write) -> io::Result<()> {
        writeln!(out, "{BOLD}In force: {}{BOLD:#}\n", self.path)?;
        if self.files.is_empty() {
            writeln!(out, "No course file was found and no front matter speaks of one: all is by default.")?;
        }
        let widest = width(self.files.iter().map(|file| file.path.as_str()));
        for file in &self.files {
            writeln!(out, "  {}  {}", padded(&file.path, widest), file.text())?;
        }
        writeln!(out, "  {DIM}looked upwards from {}; {}{DIM:#}", self.folder, self.border.text())?;
        for section in &self.sections {
            writeln!(out, "\n{BOLD}{}{BOLD:#}", section.heading)?;
            if section.values.is_empty() {
                writeln!(out, "  {DIM}{}{DIM:#}", section.none)?;
            }
            section.text(out)?;
        }
        Ok(())
    }

    pub(in crate::face) fn markdown(&self, out: &mut impl Write) -> io::Result<()> {
        writeln!(out, "# In force: {}\n", cell(&self.path))?;
        for file in &self.files {
            writeln!(out, "- {}: {}", cell(&file.path), file.text())?;
        }
        writeln!(out, "- looked upwards from {}; {}", cell(&self.folder), self.border.text())?;
        for section in &self.sections {
            writeln!(out, "\n## {}\n", section.heading)?;
            if section.values.is_empty() {
                writeln!(out, "{}", section.none)?;
                continue;
            }
            writeln!(out, "| | value | from |\n|---|---|---|")?;
            for value in &section.values {
                let says: Vec<String> = value.says.iter().map(|line| cell(line)).collect();
                writeln!(out, "| `{}` | {} | {} |", value.name(), says.join("<br>"), cell(&value.from()))?;
            }
        }
        Ok(())
    }
}

impl Section {
    /// A line a value, its place behind it; what is longer than a line's half stands by itself.
    fn text(&self, out: &mut impl Write) -> io::Result<()> {
        const MOST: usize = 44;
        let names = width(self.values.iter().map(Value::name));
        let first = |value: &Value| value.says.first().cloned().unwrap_or_default();
        let firsts: Vec<String> = self.values.iter().map(first).collect();
        let widest = width(firsts.iter().map(String::as_str).filter(|text| text.chars().count() <= MOST));
        for (value, first) in self.values.iter().zip(&firsts) {
            let line = format!("  {}  {}", padded(value.name(), names), padded(first, widest));
            writeln!(out, "{line}  {DIM}{}{DIM:#}", value.from())?;
            for line in value.says.iter().skip(1) {
                writeln!(out, "  {}  {line}", padded("", names))?;
            }
        }
        Ok(())
    }
}

fn width<'t>(texts: impl Iterator<Item = &'t str>) -> usize {
    texts.map(|text| text.chars().count()).max().unwrap_or(0)
}

fn padded(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.chars().count());
    format!("{text}{:missing$}", "")
}

/// As it stands in a cell of a Markdown table.
fn cell(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '|' | '*' | '_' | '`' | '[' | ']' | '\\' | '~' | '&' | '$' => out.extend(['\\', c]),
            '<' => out.push_str("&lt;"),
            '\n' | '\r' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
