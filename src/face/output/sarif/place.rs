//! Places as SARIF has them: a file by its URI, a region by its lines and columns and by its bytes.

use std::path::{Component, Path, PathBuf};

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use super::message::Message;
use crate::render::percent_encoded;
use crate::report::Report;
use crate::span::{Lines, Span};

/// The name of the folder that relative URIs start from.
const BASE: &str = "%SRCROOT%";

/// The working folder, which relative URIs start from.
#[derive(Debug)]
pub(super) struct Folder(PathBuf);

impl Default for Folder {
    fn default() -> Self {
        Self(std::env::current_dir().unwrap_or_default())
    }
}

impl Folder {
    /// The URI of a file by its path as it is shown.
    pub(super) fn uri(&self, path: &str) -> Uri {
        if path == "-" {
            return Uri::Stream;
        }
        let whole = plain(&self.0.join(path));
        match whole.strip_prefix(&self.0) {
            Ok(below) => Uri::Below(encoded(below)),
            Err(_) => Uri::Whole(format!("file://{}", absolute(&whole))),
        }
    }
}

/// Without `.` and `..`.
fn plain(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for component in path.components() {
        match component {
            Component::CurDir => {}
            Component::ParentDir => {
                plain.pop();
            }
            other => plain.push(other),
        }
    }
    plain
}

fn absolute(path: &Path) -> String {
    let encoded = encoded(path);
    if encoded.starts_with('/') { encoded } else { format!("/{encoded}") }
}

/// The path's parts with `/` between them, and everything but unreserved characters as `%XX` (RFC 3986, 2.1 and 2.3).
fn encoded(path: &Path) -> String {
    let mut uri = String::new();
    for component in path.components() {
        match component {
            Component::RootDir => uri.push('/'),
            other => {
                if !uri.is_empty() && !uri.ends_with('/') {
                    uri.push('/');
                }
                uri.push_str(&percent_encoded(&other.as_os_str().to_string_lossy(), |_| false));
            }
        }
    }
    uri
}

/// Where a report is.
#[derive(Clone, Debug)]
pub(super) enum Uri {
    /// Below the working folder.
    Below(String),
    /// Elsewhere.
    Whole(String),
    /// Standard input.
    Stream,
}

impl Uri {
    pub(super) const fn is_stream(&self) -> bool {
        matches!(self, Self::Stream)
    }
}

#[derive(Clone, Debug)]
pub(super) struct ArtifactLocation {
    pub(super) uri: Uri,
    pub(super) index: usize,
}

impl Serialize for ArtifactLocation {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        match &self.uri {
            Uri::Below(uri) => {
                map.serialize_entry("uri", uri)?;
                map.serialize_entry("uriBaseId", BASE)?;
            }
            Uri::Whole(uri) => map.serialize_entry("uri", uri)?,
            Uri::Stream => {
                map.serialize_entry("uri", "-")?;
                map.serialize_entry("description", &Message::new("Standard input"))?;
            }
        }
        map.serialize_entry("index", &self.index)?;
        map.end()
    }
}

/// What relative URIs start from; which folder that is on another machine, its user has to say.
#[derive(Serialize)]
pub(super) struct Base {
    #[serde(rename = "%SRCROOT%")]
    folder: Described,
}

#[derive(Serialize)]
struct Described {
    description: Message,
}

impl Base {
    pub(super) fn new() -> Self {
        Self { folder: Described { description: Message::new("The folder in which the program was run") } }
    }
}

/// Some characters of a report (SARIF 2.1.0, 3.30).
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    bytes: Option<Bytes>,
    #[serde(skip_serializing_if = "Option::is_none")]
    snippet: Option<Snippet>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Bytes {
    byte_offset: usize,
    byte_length: usize,
}

#[derive(Debug, Serialize)]
struct Snippet {
    text: String,
}

/// A longer piece of a report is found in the report.
const LONGEST_SNIPPET: usize = 400;

/// The places of one report.
pub(super) struct Places<'s> {
    source: &'s str,
    lines: Lines<'s>,
}

impl<'s> Places<'s> {
    pub(super) fn new(report: &Report<'s>) -> Self {
        Self { source: report.document.source, lines: Lines::new(report.document.source) }
    }

    /// As characters and as bytes, with what stands there.
    pub(super) fn whole(&self, span: Span) -> Region {
        let text = span.of(self.source);
        let snippet = (!text.is_empty() && text.len() <= LONGEST_SNIPPET).then(|| Snippet { text: text.to_owned() });
        let bytes = Bytes { byte_offset: span.start, byte_length: text.len() };
        Region { bytes: Some(bytes), snippet, ..self.text(span) }
    }

    /// As characters only, as a text is to be replaced (SARIF 2.1.0, 3.57.1).
    pub(super) fn text(&self, span: Span) -> Region {
        let (start_line, start_column) = self.position(span.start);
        let (end_line, end_column) = self.position(span.end);
        Region { start_line, start_column, end_line, end_column, bytes: None, snippet: None }
    }

    /// Line and column from 1. A byte-order mark does not count, and the end of a text that ends its last line is still
    /// on that line, behind the line's end (SARIF 2.1.0, 3.30.2).
    fn position(&self, offset: usize) -> (usize, usize) {
        let place = self.lines.position(offset);
        if place.column == 1 && place.line > 1 && place.offset == self.source.len() {
            let last = self.lines.line(place.line - 1);
            let start = self.lines.position(last.start);
            return (start.line, self.column(start.line, self.source[last.start..].chars().count() + 1));
        }
        (place.line, self.column(place.line, place.column))
    }

    fn column(&self, line: usize, column: usize) -> usize {
        let marked = line == 1 && column > 1 && self.source.starts_with('\u{feff}');
        column - usize::from(marked)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::Course;
    use crate::report;

    #[cfg(unix)]
    #[test]
    fn paths_become_uris() {
        let folder = Folder(PathBuf::from("/lab/ada"));
        let uri = |path: &str| match folder.uri(path) {
            Uri::Below(uri) => format!("below {uri}"),
            Uri::Whole(uri) => uri,
            Uri::Stream => "stream".to_owned(),
        };
        assert_eq!(uri("week 1/µ#1.md"), "below week%201/%C2%B5%231.md");
        assert_eq!(uri("./a/../b.md"), "below b.md");
        assert_eq!(uri("/lab/ada/b.md"), "below b.md");
        assert_eq!(uri("../bob/b 1.md"), "file:///lab/bob/b%201.md");
        assert_eq!(uri("-"), "stream");
    }

    #[test]
    fn positions_leave_out_a_byte_order_mark_and_end_on_the_last_line() {
        let at = |source: &str, what: usize| {
            let report = report::read(source, &Course::default());
            Places::new(&report).position(what)
        };
        assert_eq!(at("\u{feff}ab\ncd", 0), (1, 1));
        assert_eq!(at("\u{feff}ab\ncd", 4), (1, 2));
        assert_eq!(at("\u{feff}ab\ncd", 6), (2, 1));
        assert_eq!(at("abcd\r\nlmn\r\n", 11), (2, 6));
        assert_eq!(at("abcd", 4), (1, 5));
        assert_eq!(at("", 0), (1, 1));
    }
}
