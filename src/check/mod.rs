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
mod habits;
mod instrument;
mod judge;
mod likely;
mod lines;
mod own;
pub mod page;
mod pairs;
mod paper;
mod prose;
mod rule;
mod rules;
mod say;
mod sentence;
mod shapes;
mod silence;
mod times;
mod trial;
mod typed;
mod uses;
mod words;

pub use finding::{Certainty, Edit, Finding, Related, Severity};
pub use paper::Context;
pub use rule::{COMMON_PRACTICE, GROUPS, NOTATION, Page, Rule, severity_of};
pub use rules::{rule, rules};

use desk::Desk;

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
