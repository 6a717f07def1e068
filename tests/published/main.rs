//! The program held to published and computed figures. Each module reads one file of `data/`, whose
//! source notes stand in it; it goes through all of its cases and says how many there are, so that none
//! is left out silently. Where the program departs from a figure, the case says so and why.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod constants;
mod fits;
mod forms;
mod gradients;
mod guide;
mod laboratories;
mod practice;
mod rounding;
mod units;

use meniscus::course::{Combine, Course};
use meniscus::evaluate::Quantity;
use meniscus::parse::ast::Symbol;
use meniscus::report::Report;
use serde_yaml::Value;

/// A data file beside these tests.
pub(crate) fn cases(name: &str) -> Value {
    let path = format!("{}/tests/published/data/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap()
}

/// A figure of the file, whose digits are in quotes.
pub(crate) fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("{value:?} is no text")).to_owned()
}

/// A list of the file.
pub(crate) fn list(value: &Value) -> &[Value] {
    value.as_sequence().unwrap_or_else(|| panic!("{value:?} is no list"))
}

pub(crate) fn course(combine: Combine) -> Course {
    Course { combine, ..Course::default() }
}

pub(crate) fn read<'s>(source: &'s str, course: Course) -> Report<'s> {
    meniscus::report::read(source, &course)
}

pub(crate) fn find<'r>(report: &'r Report<'_>, symbol: &str) -> &'r Quantity {
    report.sheet.find(&Symbol::new(symbol)).unwrap().1
}
