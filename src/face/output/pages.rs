//! `explain --format json`: the rules' pages as one object.

use std::io::{self, Write};

use serde::Serialize;

use super::json::{VERSION, object};
use crate::check::{GROUPS, Rule, Severity};

/// Writes the whole object.
pub(in crate::face) fn write(out: impl Write, rules: &[&Rule]) -> io::Result<()> {
    let groups = GROUPS.iter().filter(|(group, _)| rules.iter().any(|rule| rule.group == *group));
    let whole = Whole {
        version: VERSION,
        groups: groups.map(|&(group, about)| Group { group, about }).collect(),
        rules: rules.iter().map(|rule| Page::new(rule)).collect(),
    };
    object(out, &whole)
}

#[derive(Serialize)]
struct Whole {
    version: u32,
    groups: Vec<Group>,
    rules: Vec<Page>,
}

#[derive(Serialize)]
struct Group {
    group: &'static str,
    about: &'static str,
}

#[derive(Serialize)]
struct Page {
    rule: &'static str,
    group: &'static str,
    severity: Severity,
    does: &'static str,
    why: &'static str,
    wrong: Option<&'static str>,
    right: Option<&'static str>,
    edit: Option<&'static str>,
    source: &'static str,
}

impl Page {
    fn new(rule: &Rule) -> Self {
        let report = |text: &'static str| (!text.is_empty()).then_some(text);
        Self {
            rule: rule.name,
            group: rule.group,
            severity: rule.severity,
            does: rule.page.does,
            why: rule.page.why,
            wrong: report(rule.page.wrong),
            right: report(rule.page.right),
            edit: rule.page.edit,
            source: rule.page.source,
        }
    }
}
