//! The program held to published figures. Each module reads one file of `data/`, whose source notes
//! stand in it; it goes through all of its cases and says how many there are, so that none is left
//! out silently. Where the program departs from a figure, the case says so and why.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod constants;
mod fits;
mod forms;
mod gradients;
mod practice;
mod rounding;
mod units;

use meniscus::course::{Combine, Course};
use meniscus::evaluate::Quantity;
use meniscus::parse::ast::Symbol;
use meniscus::report::Report;
use serde_yaml::Value;

/// A file of `data/`.
fn cases(name: &str) -> Value {
    let path = format!("{}/tests/published/data/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap()
}

/// A text of a case: every figure is one, so that its digits survive.
fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("no text: {value:?}")).to_owned()
}

/// A list of a file.
fn list(value: &Value) -> &[Value] {
    value.as_sequence().unwrap_or_else(|| panic!("no list: {value:?}"))
}

/// A course that combines so, all else by default.
fn course(combine: Combine) -> Course {
    Course { combine, ..Course::default() }
}

/// A report, from end to end.
fn read<'s>(source: &'s str, course: Course) -> Report<'s> {
    meniscus::report::read(source, &course)
}

/// A quantity of the report.
fn find<'r>(report: &'r Report<'_>, symbol: &str) -> &'r Quantity {
    report.sheet.find(&Symbol::new(symbol)).unwrap().1
}
