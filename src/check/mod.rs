//! The marker's eye: what a careful instructor would circle. Faults of the rooms above are worded
//! here, and here alone; every rule is one file that holds its manual page, its test of the sheet, its
//! message, its help and its edit.

mod bare;
mod data_sheet;
mod desk;
mod displayed;
mod expectation;
mod expected;
mod finding;
pub mod fix;
mod instrument;
mod judge;
mod lines;
mod own;
pub mod page;
mod pairs;
mod prose;
mod rule;
mod rules;
mod say;
mod sentence;
mod silence;
mod times;
mod trial;
mod typed;
mod uses;
mod words;

pub use finding::{Certainty, Edit, Finding, Related, Severity};
pub use rule::{COMMON_PRACTICE, GROUPS, NOTATION, Page, Rule};
pub use rules::rules;

use crate::course::{Course, Level};
use crate::evaluate::Sheet;
use crate::locate::Document;
use crate::parse::Parsed;
use desk::Desk;

/// All that a rule may look at.
#[derive(Clone, Copy, Debug)]
pub struct Context<'r> {
    /// The source, and where its items stand.
    pub document: &'r Document<'r>,
    /// What each item says.
    pub items: &'r [Parsed],
    /// What the quantities come to.
    pub sheet: &'r Sheet,
    /// The rules in force.
    pub course: &'r Course,
}

/// Everything that the rules have to say, in the order of the places.
pub fn check(context: Context<'_>) -> Vec<Finding> {
    let desk = Desk::new(context);
    let mut findings = Vec::new();
    for rule in rules() {
        let Some(severity) = severity_of(rule, context.course) else { continue };
        let first = findings.len();
        (rule.check)(&desk, &mut findings);
        for finding in &mut findings[first..] {
            finding.severity = severity;
            finding.cut_short();
        }
    }
    silence::apply(&desk, &mut findings);
    // A stable sort: of two rules that speak of one place, the one listed first speaks first.
    findings.sort_by_key(|finding| (finding.span.start, finding.span.end));
    findings
}

/// How loudly a rule speaks in a course; `None` where it is off.
pub fn severity_of(rule: &Rule, course: &Course) -> Option<Severity> {
    course.rules.get(rule.name).map_or(Some(rule.severity), |&level: &Level| Severity::of_level(level))
}

/// The rule of that name.
pub fn rule(name: &str) -> Option<&'static Rule> {
    rules().iter().copied().find(|rule| rule.name == name)
}
