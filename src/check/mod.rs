//! The marker's eye: what a careful instructor would circle. Faults of the rooms above are worded
//! here, and here alone; every rule is one file that holds its manual page, its test of the sheet, its
//! message, its help and its edit.

mod finding;
mod rule;

pub use finding::{Certainty, Edit, Finding, Related, Severity};
pub use rule::{GROUPS, Page, Rule};

use crate::course::Course;
use crate::evaluate::Sheet;
use crate::locate::Document;
use crate::parse::Parsed;

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
    let _ = context;
    Vec::new()
}

/// All rules.
pub fn rules() -> &'static [&'static Rule] {
    &[]
}
