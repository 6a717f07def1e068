//! Units that an author typed, as they are shown.

use crate::quantity::Units;
use crate::quantity::unit::Spelling;

/// `um` becomes `µm`, `degC` becomes `°C`; what is not known stays as it was typed.
pub(super) fn shown(typed: &Spelling) -> Spelling {
    if is_digit(typed) {
        return typed.clone();
    }
    Units::default().find(typed).map_or_else(|_| typed.clone(), |unit| unit.shown)
}

/// `digit` and `digits` stand for a step of a display and are no unit.
pub(super) fn is_digit(typed: &Spelling) -> bool {
    matches!(typed.over.as_slice(), [(word, 1)] if word == "digit" || word == "digits") && typed.under.is_empty()
}
