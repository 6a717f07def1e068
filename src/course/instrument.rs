//! An instrument's entry, as its data sheet describes it.

use super::Instrument;
use super::place::Side;
use super::reader::{Entry, Path, Reader, not_one_word};
use super::tree::Node;

/// The keys of an instrument; any other is the word of a kind.
pub(super) const KEYS: [&str; 7] = ["name", "division", "read_to", "ends", "display", "range", "systematic"];

/// Reads one entry of `instruments`.
pub(super) fn read(reader: &mut Reader<'_>, (at, word, node): Entry<'_>) -> Option<Instrument> {
    if let Some((message, help)) = not_one_word(word) {
        reader.fault(at, Side::Key, message, help);
        return None;
    }
    let mut instrument = Instrument::default();
    for entry in reader.entries(&at, node, (&format!("instrument `{word}`"), "{division: 1 mm, read_to: 1/4}")) {
        key(reader, &mut instrument, entry);
    }
    consistent(reader, at, node, &mut instrument);
    Some(instrument)
}

fn key(reader: &mut Reader<'_>, instrument: &mut Instrument, entry: Entry<'_>) {
    let (at, key, node) = entry;
    match key {
        "name" => instrument.name = reader.text(entry),
        "division" => instrument.division = reader.text(entry),
        "read_to" => instrument.read_to = reader.text(entry),
        "ends" => instrument.ends = ends(reader, entry),
        "display" => instrument.display = reader.text(entry),
        "range" => instrument.range = reader.text(entry),
        "systematic" => instrument.systematic = reader.word(at, key, node).unwrap_or(false),
        kind => {
            if let Some(amount) = reader.text(entry) {
                instrument.kinds.insert(kind.to_owned(), amount);
            }
        }
    }
}

fn ends(reader: &mut Reader<'_>, entry: Entry<'_>) -> Option<u32> {
    let text = reader.text(entry)?;
    let count = text.parse().ok().filter(|count| (1..=2).contains(count));
    if count.is_none() {
        let help = "write `2` for a length that is read at its zero and at its far end, else `1`";
        reader.fault(entry.0, Side::Value, "`ends` can be 1 or 2", help);
    }
    count
}

/// Sees that scale and display are one or the other, and a scale complete. What contradicts is taken out.
fn consistent(reader: &mut Reader<'_>, at: Path<'_>, node: &Node, instrument: &mut Instrument) {
    let Node::Map(map) = node else { return };
    let of = |key: &str| map.iter().position(|(other, _)| other == key);
    let written = |key: &str| of(key).map(|index| at.nth(index));
    if let (Some(_), Some(place)) = (written("division"), written("display")) {
        let help = "keep `division` for an analogue scale, or `display` for a digital one";
        reader.fault(place, Side::Key, "an instrument has either a scale or a display", help);
        instrument.display = None;
    }
    if let (Some(place), None) = (written("division"), written("read_to")) {
        let help = "add the share of a division that the eye can settle: `read_to: 1/4` where divisions are as close as \
                    millimetres, `1/10` where they are wide";
        reader.fault(place, Side::Key, "`division` needs `read_to` beside it", help);
    }
    for key in ["read_to", "ends"] {
        if let (Some(place), None) = (written(key), written("division")) {
            let help = "add `division`, the distance of two marks of the scale";
            reader.fault(place, Side::Key, format!("`{key}` says nothing without `division`"), help);
            instrument.read_to = None;
            instrument.ends = None;
        }
    }
}
