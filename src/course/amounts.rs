//! The amounts and estimates in a course: can they be read, are their units known, and can an instrument be
//! what they say?

use super::judge::{Form, Judge};
use super::own_units;
use super::place::Step;
use super::said::Own;
use super::{Course, Instrument};
use crate::quantity::Units;

/// Sees that every text of the layer can be read. A unit of the course's that cannot is taken out.
pub(super) fn check(judge: &mut Judge<'_, '_>, course: &mut Course, own: &Own) {
    own_units::check(judge, course, own);
    let units = own_units::named(course);
    let sizes = (judge.notation.units)(&course.units);
    for word in &own.instruments {
        if let Some(instrument) = course.instruments.get(word) {
            data_sheet(judge, word, instrument, (&units, &sizes));
        }
    }
    for symbol in &own.expected {
        if let Some(value) = course.expected.get(symbol).and_then(|expected| expected.value.clone()) {
            let steps = [Step::Key("expected"), Step::Key(symbol), Step::Key("value")];
            judge.text(&steps, &value, Form::Estimate, &units);
        }
    }
}

/// Units by their names alone, and by their sizes.
type Known<'u> = (&'u Units, &'u Units);

/// Every text of an instrument by itself, then all of them together: they have to measure the same thing.
fn data_sheet(judge: &mut Judge<'_, '_>, word: &str, instrument: &Instrument, (units, sizes): Known<'_>) {
    let Instrument { division, read_to, display, range, kinds, .. } = instrument;
    let named = [
        ("division", division, Form::Size),
        ("read_to", read_to, Form::Share),
        ("display", display, Form::Size),
        ("range", range, Form::Range),
    ];
    let named = named.into_iter().filter_map(|(key, text, form)| Some((key, text.as_deref()?, form)));
    let kinds = kinds.iter().map(|(key, text)| (key.as_str(), text.as_str(), Form::Amount));
    let mut measured = None;
    for (key, text, form) in named.chain(kinds) {
        let path = [Step::Key("instruments"), Step::Key(word), Step::Key(key)];
        let Some(read) = judge.text(&path, text, form, units) else { continue };
        if judge.is_possible(&path, text, (form, &read), sizes) {
            judge.measures_alike(&path, (form, read), sizes, &mut measured);
        }
    }
}
