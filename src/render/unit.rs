//! Units that an author typed, as they are shown.

use std::borrow::Cow;

use crate::quantity::Units;
use crate::quantity::unit::Spelling;

/// No unit: that of a pure number.
pub(super) const NONE: &Spelling = &Spelling { over: Vec::new(), under: Vec::new() };

/// `um` becomes `µm`, `degC` becomes `°C`; what is not known stays as it was typed.
pub(super) fn shown(typed: &Spelling) -> Cow<'_, Spelling> {
    let known = if is_digit(typed) { None } else { Units::default().find(typed).ok() };
    known.map_or(Cow::Borrowed(typed), |unit| Cow::Owned(unit.shown))
}

/// `digit` and `digits` stand for a step of a display and are no unit.
pub(super) fn is_digit(typed: &Spelling) -> bool {
    matches!(typed.over.as_slice(), [(word, 1)] if word == "digit" || word == "digits") && typed.under.is_empty()
}

impl<'r> From<&'r Spelling> for Cow<'r, Spelling> {
    fn from(spelling: &'r Spelling) -> Self {
        Self::Borrowed(spelling)
    }
}
