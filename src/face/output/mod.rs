//! How findings and quantities leave the program.

mod csv;
pub(super) mod diff;
pub(super) mod in_force;
pub(super) mod json;
pub(super) mod pages;
pub(super) mod sarif;
pub(super) mod short;
pub(super) mod text;
pub(super) mod values;
