//! The table of units.
