//! Where a key or a value stands in YAML. The YAML reader tells places in its errors alone, so the
//! text is read once more, down to the place that is asked for, and an error raised there. Only faults
//! ask, and only so many.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};

use super::tree::{KeyVisitor, skip_tagged};
use crate::span::Span;

/// One step down a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step<'p> {
    /// To the first entry of that key.
    Key(&'p str),
    /// To the entry of a map, or the item of a list, of that number from 0.
    Nth(usize),
}

/// Which side of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Its key.
    Key,
    /// Its value.
    Value,
}

/// Where the key or the value at the end of `path` stands, in bytes of `yaml`; `None` where there is no such place.
pub fn place(yaml: &str, path: &[Step<'_>], side: Side) -> Option<Span> {
    let probe = Probe { path, side };
    let error = probe.deserialize(serde_yaml::Deserializer::from_str(yaml)).err()?;
    let start = error.location()?.index().min(yaml.len());
    Some(Span::new(start, start + extent(yaml.get(start..)?, side)))
}

/// How far a key or a value reaches that begins a text: a quoted one to its closing quote, the rest to
/// what cannot belong to it on its line. For showing, so a value over several lines ends with its first.
fn extent(rest: &str, side: Side) -> usize {
    let line = rest.lines().next().unwrap_or("");
    if let Some(quote @ ('"' | '\'')) = line.chars().next() {
        return line[1..].find(quote).map_or(line.len(), |closing| closing + 2);
    }
    let ends: &[&str] = match side {
        Side::Key => &[":", ",", "}"],
        Side::Value if line.starts_with(['{', '[']) => &[" #"],
        Side::Value => &[" #", ", ", "}", "]"],
    };
    let end = ends.iter().filter_map(|end| line.find(end)).min().unwrap_or(line.len());
    line[..end].trim_end().len()
}

/// What the error says that is raised at the place; nothing reads it.
const HERE: &str = "here";

struct Probe<'p> {
    path: &'p [Step<'p>],
    side: Side,
}

impl<'de> DeserializeSeed<'de> for Probe<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl Probe<'_> {
    /// At a scalar: the place, or a path that leads nowhere.
    fn arrive<E: Error>(&self) -> Result<(), E> {
        if self.path.is_empty() { Err(E::custom(HERE)) } else { Ok(()) }
    }
}

macro_rules! arrivals {
    ($($visit:ident: $type:ty),*) => {
        $(fn $visit<E: Error>(self, _: $type) -> Result<(), E> { self.arrive() })*
    };
}

impl<'de> Visitor<'de> for Probe<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("anything")
    }

    arrivals!(visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_i128: i128, visit_u128: u128, visit_f64: f64, visit_str: &str);

    fn visit_unit<E: Error>(self) -> Result<(), E> {
        self.arrive()
    }

    fn visit_none<E: Error>(self) -> Result<(), E> {
        self.arrive()
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        self.arrive()?;
        for index in 0.. {
            let more = match self.path {
                [Step::Nth(wanted), rest @ ..] if *wanted == index => {
                    items.next_element_seed(Probe { path: rest, ..self })?.is_some()
                }
                _ => items.next_element::<IgnoredAny>()?.is_some(),
            };
            if !more {
                break;
            }
        }
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        self.arrive()?;
        let [step, rest @ ..] = self.path else { return Ok(()) };
        let mut index = 0;
        while let Some(found) =
            entries.next_key_seed(KeyProbe { step: *step, index, stop: rest.is_empty() && self.side == Side::Key })?
        {
            if found {
                entries.next_value_seed(Probe { path: rest, ..self })?;
            } else {
                entries.next_value::<IgnoredAny>()?;
            }
            index += 1;
        }
        Ok(())
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<(), A::Error> {
        self.arrive()?;
        skip_tagged(tagged)
    }
}

/// Reads a key: is it the one?
struct KeyProbe<'p> {
    step: Step<'p>,
    index: usize,
    stop: bool,
}

impl<'de> DeserializeSeed<'de> for KeyProbe<'_> {
    type Value = bool;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<bool, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl KeyProbe<'_> {
    fn judge<E: Error>(&self, key: &str) -> Result<bool, E> {
        let found = match self.step {
            Step::Key(wanted) => wanted == key,
            Step::Nth(wanted) => wanted == self.index,
        };
        if found && self.stop { Err(E::custom(HERE)) } else { Ok(found) }
    }
}

macro_rules! keys {
    ($($visit:ident: $type:ty),*) => {
        $(fn $visit<E: Error>(self, key: $type) -> Result<bool, E> { self.judge(&key.to_string()) })*
    };
}

impl<'de> Visitor<'de> for KeyProbe<'_> {
    type Value = bool;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    keys!(visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_i128: i128, visit_u128: u128, visit_f64: f64, visit_str: &str);

    fn visit_unit<E: Error>(self) -> Result<bool, E> {
        self.judge("")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, items: A) -> Result<bool, A::Error> {
        self.judge(&KeyVisitor.visit_seq(items)?)
    }

    fn visit_map<A: MapAccess<'de>>(self, entries: A) -> Result<bool, A::Error> {
        self.judge(&KeyVisitor.visit_map(entries)?)
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<bool, A::Error> {
        self.judge(&KeyVisitor.visit_enum(tagged)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Step::{Key, Nth};

    const YAML: &str = "µ: é\ncombine: sum   # adds\nlist: [ä, 'b c', 3]\ninstruments:\n  rule: {name: \"wooden, long\", read_to: 1/4}\n  dial:\n    display: 0.010 s\nlist: again\n";

    fn at(path: &[Step<'_>], side: Side) -> &'static str {
        place(YAML, path, side).unwrap().of(YAML)
    }

    /// Places are bytes, whatever stands before them.
    #[test]
    fn keys_and_values_are_found_by_their_path() {
        assert_eq!(at(&[Key("combine")], Side::Key), "combine");
        assert_eq!(at(&[Key("combine")], Side::Value), "sum");
        assert_eq!(at(&[Key("list"), Nth(1)], Side::Value), "'b c'");
        assert_eq!(at(&[Key("list"), Nth(2)], Side::Value), "3");
        assert_eq!(at(&[Key("instruments"), Key("rule"), Key("name")], Side::Value), "\"wooden, long\"");
        assert_eq!(at(&[Key("instruments"), Key("rule"), Key("read_to")], Side::Key), "read_to");
        assert_eq!(at(&[Key("instruments"), Key("dial"), Key("display")], Side::Value), "0.010 s");
        assert_eq!(at(&[Key("instruments"), Key("rule")], Side::Key), "rule");
    }

    #[test]
    fn the_second_of_two_equal_keys_is_found_by_its_number() {
        assert_eq!(place(YAML, &[Nth(4)], Side::Key).unwrap().start, YAML.rfind("list").unwrap());
        assert_eq!(at(&[Nth(4)], Side::Value), "again");
    }

    #[test]
    fn a_path_that_leads_nowhere_has_no_place() {
        assert_eq!(place(YAML, &[Key("nothing")], Side::Key), None);
        assert_eq!(place(YAML, &[Key("combine"), Key("sum")], Side::Key), None);
        assert_eq!(place("", &[Key("combine")], Side::Key), None);
    }
}
