//! What an author most likely meant where an item stops making sense, and what stands about that place.

use super::Certainty;
use crate::locate::Place;
use crate::span::Span;

/// Help, and the change that puts it right where one is likely.
pub(super) type Likely = Option<(String, Option<(Span, String, Certainty)>)>;

/// The text of an item before a place, without the blanks at its end.
pub(super) fn before<'p>(span: Span, place: &'p Place<'_>) -> Option<&'p str> {
    Some(place.text.get(..span.start.checked_sub(place.span.start)?)?.trim_end())
}

/// The text of an item from a byte of the report on.
pub(super) fn rest<'p>(from: usize, place: &'p Place<'_>) -> &'p str {
    from.checked_sub(place.span.start).and_then(|from| place.text.get(from..)).unwrap_or("")
}
