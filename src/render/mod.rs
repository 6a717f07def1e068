//! Pieces into untouched text.
