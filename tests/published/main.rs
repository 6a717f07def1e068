//! The program held to published figures. Each module reads one file of `data/`, whose source notes
//! stand in it; it goes through all of its cases and says how many there are, so that none is left
//! out silently. Where the program departs from a figure, the case says so and why.

mod constants;
mod rounding;
mod units;

use serde_yaml::Value;

/// A file of `data/`.
fn cases(name: &str) -> Value {
    let path = format!("{}/tests/published/data/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap()
}

/// A text of a case.
fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("no text: {value:?}")).to_owned()
}

/// A list of a file.
fn list(value: &Value) -> &[Value] {
    value.as_sequence().unwrap_or_else(|| panic!("no list: {value:?}"))
}
