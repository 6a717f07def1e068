//! `check --format sarif`: the findings of all files as one log of the Static Analysis Results Interchange Format
//! (SARIF) Version 2.1.0, OASIS Standard, 27 March 2020.

mod driver;
mod fingerprint;
mod message;
mod place;

use std::io::{self, Write};

use serde::Serialize;

use super::json::object;
use crate::check::fix::is_certain;
use crate::check::page::capitalised;
use crate::check::{Edit, Finding, rules};
use crate::report::Report;
use driver::Driver;
use fingerprint::{Fingerprints, PartialFingerprints};
use message::{Message, level};
use place::{ArtifactLocation, Base, Folder, Places, Region, Uri};

/// Where the format's schema stands, in the edition with the approved errata.
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// Findings of files, as they come.
#[derive(Debug, Default)]
pub(in crate::face) struct Findings {
    folder: Folder,
    artifacts: Vec<Artifact>,
    results: Vec<Outcome>,
}

impl Findings {
    /// Adds a report, also one without findings.
    pub(in crate::face) fn add(&mut self, path: &str, report: &Report<'_>) {
        let file = File { uri: self.folder.uri(path), index: self.artifacts.len(), places: Places::new(report) };
        self.artifacts.push(Artifact::new(&file, report));
        let mut fingerprints = Fingerprints::new(report);
        self.results.extend(report.findings.iter().map(|finding| Outcome::new(finding, &file, &mut fingerprints)));
    }

    /// Writes the whole log. Could the command be carried out on every report?
    pub(in crate::face) fn write(self, out: impl Write, carried_out: bool) -> io::Result<()> {
        let run = Run {
            tool: Tool { driver: Driver::new() },
            invocations: [Invocation { execution_successful: carried_out }],
            original_uri_base_ids: Base::new(),
            artifacts: self.artifacts,
            results: self.results,
            newline_sequences: ["\r\n", "\n", "\r"],
            column_kind: "unicodeCodePoints",
        };
        object(out, &Log { schema: SCHEMA, version: "2.1.0", runs: [run] })
    }
}

/// A report that results are about.
struct File<'s> {
    uri: Uri,
    index: usize,
    places: Places<'s>,
}

impl File<'_> {
    fn location(&self) -> ArtifactLocation {
        ArtifactLocation { uri: self.uri.clone(), index: self.index }
    }
}

#[derive(Serialize)]
struct Log {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run {
    tool: Tool,
    invocations: [Invocation; 1],
    original_uri_base_ids: Base,
    artifacts: Vec<Artifact>,
    results: Vec<Outcome>,
    newline_sequences: [&'static str; 3],
    column_kind: &'static str,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Invocation {
    execution_successful: bool,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Artifact {
    location: ArtifactLocation,
    length: usize,
    roles: [&'static str; 1],
    mime_type: &'static str,
    encoding: &'static str,
}

impl Artifact {
    fn new(file: &File<'_>, report: &Report<'_>) -> Self {
        Self {
            location: file.location(),
            length: report.document.source.len(),
            roles: [if file.uri.is_stream() { "standardStream" } else { "analysisTarget" }],
            mime_type: "text/markdown",
            encoding: "UTF-8",
        }
    }
}

/// What SARIF calls a result: one finding.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Outcome {
    rule_id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rule_index: Option<usize>,
    level: &'static str,
    message: Message,
    locations: [Location; 1],
    partial_fingerprints: PartialFingerprints,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Fix>,
}

impl Outcome {
    fn new(finding: &Finding, file: &File<'_>, fingerprints: &mut Fingerprints<'_>) -> Self {
        let related = finding.related.iter().enumerate().map(|(number, related)| Location {
            id: Some(number + 1),
            physical_location: PhysicalLocation::new(file, file.places.whole(related.span)),
            message: Some(Message::new(&capitalised(&related.message))),
        });
        let here = PhysicalLocation::new(file, file.places.whole(finding.span));
        Self {
            rule_id: finding.rule,
            rule_index: rules().iter().position(|rule| rule.name == finding.rule),
            level: level(finding.severity),
            message: Message::new(&sentences(finding)),
            locations: [Location { id: None, physical_location: here, message: None }],
            partial_fingerprints: fingerprints.of(finding),
            related_locations: related.collect(),
            fixes: Fix::of(finding, file).into_iter().collect(),
        }
    }
}

/// The first sentence says what is there, the second what to write.
fn sentences(finding: &Finding) -> String {
    let message = capitalised(&finding.message);
    match finding.help.as_str() {
        "" => format!("{message}."),
        help => format!("{message}. {}.", capitalised(help)),
    }
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<usize>,
    physical_location: PhysicalLocation,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Message>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct PhysicalLocation {
    artifact_location: ArtifactLocation,
    region: Region,
}

impl PhysicalLocation {
    fn new(file: &File<'_>, region: Region) -> Self {
        Self { artifact_location: file.location(), region }
    }
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix {
    description: Message,
    artifact_changes: [ArtifactChange; 1],
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct ArtifactChange {
    artifact_location: ArtifactLocation,
    replacements: Vec<Replacement>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: Region,
    inserted_content: Content,
}

#[derive(Debug, Serialize)]
struct Content {
    text: String,
}

impl Fix {
    /// The finding's edits, which belong together.
    fn of(finding: &Finding, file: &File<'_>) -> Option<Self> {
        if finding.edits.is_empty() {
            return None;
        }
        let certain = is_certain(finding);
        let whose = if certain {
            "`check --fix` makes this change"
        } else {
            "A suggestion: whether it is meant, its author has to say"
        };
        let replacement = |edit: &Edit| Replacement {
            deleted_region: file.places.text(edit.span),
            inserted_content: Content { text: edit.text.clone() },
        };
        let change = ArtifactChange {
            artifact_location: file.location(),
            replacements: finding.edits.iter().map(replacement).collect(),
        };
        Some(Self { description: Message::new(&format!("{whose}.")), artifact_changes: [change] })
    }
}
