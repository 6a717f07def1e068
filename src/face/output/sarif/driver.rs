//! The program itself, as SARIF 2.1.0, 3.19, describes a tool: its name, its version, its rules with their pages.

use serde::Serialize;

use super::message::{doubled, level};
use crate::check::page::{brief, markdown, plain};
use crate::check::{Rule, rules};

/// The program.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Driver {
    name: &'static str,
    version: &'static str,
    semantic_version: &'static str,
    language: &'static str,
    rules: Vec<Descriptor>,
}

impl Driver {
    pub(super) fn new() -> Self {
        Self {
            name: env!("CARGO_PKG_NAME"),
            version: env!("CARGO_PKG_VERSION"),
            semantic_version: env!("CARGO_PKG_VERSION"),
            language: "en-GB",
            rules: rules().iter().map(|rule| Descriptor::new(rule)).collect(),
        }
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Descriptor {
    id: &'static str,
    short_description: Text,
    full_description: Text,
    help: Text,
    default_configuration: Configuration,
    properties: Properties,
}

impl Descriptor {
    fn new(rule: &Rule) -> Self {
        let page = rule.page;
        Self {
            id: rule.name,
            short_description: Text::plain(&format!("{}.", brief(page.does))),
            full_description: Text::plain(&format!("{} {}", page.does, page.why)),
            help: Text { markdown: Some(doubled(&markdown(rule)).into_owned()), ..Text::plain(&plain(rule)) },
            default_configuration: Configuration { level: level(rule.severity) },
            properties: Properties { tags: [rule.group] },
        }
    }
}

#[derive(Serialize)]
struct Text {
    text: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    markdown: Option<String>,
}

impl Text {
    fn plain(text: &str) -> Self {
        Self { text: doubled(text).into_owned(), markdown: None }
    }
}

#[derive(Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Serialize)]
struct Properties {
    tags: [&'static str; 1],
}
