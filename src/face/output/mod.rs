//! How findings and quantities leave the program.

mod csv;
pub(super) mod in_force;
pub(super) mod json;
pub(super) mod short;
pub(super) mod text;
pub(super) mod values;

use crate::check::Severity;

/// How a severity is written.
pub(super) const fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Advice => "advice",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}
