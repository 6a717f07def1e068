//! YAML to a tree whose scalars are the text as typed: `0.010` keeps its last zero, `1/4` and `0` are
//! both text. The YAML reader gives a number as a number alone (`0x2` as 2), unless it is told beforehand that a text
//! is wanted: where there is one that may have been typed in several ways, a second pass, which knows the tree's form,
//! asks for the texts.

use std::cell::Cell;
use std::fmt;

use serde::de::{Deserialize, DeserializeSeed, Deserializer, EnumAccess, IgnoredAny, MapAccess, SeqAccess, Visitor};

/// What a course file may hold at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Node {
    /// Nothing: `combine:` with no value, `~`, `null`.
    Nothing,
    /// A scalar, as typed, without its quotes; `True` and `TRUE` are `true`.
    Text(String),
    /// A list.
    List(Vec<Node>),
    /// Entries in their order; a key may stand twice. A key that is no scalar is the empty text.
    Map(Vec<(String, Node)>),
    /// Something with a YAML tag (`!thing`), which no key takes.
    Tagged,
}

/// The most brackets inside one another that the YAML reader is given: its cost grows with the square of their
/// number, and no course has ten.
const MOST_BRACKETS: usize = 1_000;

/// Where a text has more open brackets than the YAML reader is given. Brackets in quotes and remarks count too: a
/// thousand of them without their partners are no text either.
pub(super) fn too_deep(yaml: &str) -> Option<usize> {
    let mut open = 0_usize;
    yaml.bytes().position(|byte| {
        match byte {
            b'[' | b'{' => open += 1,
            b']' | b'}' => open = open.saturating_sub(1),
            _ => {}
        }
        open > MOST_BRACKETS
    })
}

/// The most values that are read, what stands behind an alias counted each time: the YAML reader counts aliases, not
/// what they stand for, so that a short file could fill the memory. A course has some hundred.
pub(super) const MOST_VALUES: usize = 100_000;

/// Why a text gives no tree.
#[derive(Debug)]
pub(super) enum NoTree {
    /// It is not YAML.
    Broken(serde_yaml::Error),
    /// It holds more than [`MOST_VALUES`].
    TooMany,
}

/// Reads one YAML document.
pub(super) fn read(yaml: &str) -> Result<Node, NoTree> {
    let left = Cell::new(MOST_VALUES);
    let nodes = Nodes { left: &left, integers_as_printed: has_integers_as_printed(yaml) };
    let read = nodes.deserialize(serde_yaml::Deserializer::from_str(yaml));
    let mut node = read.map_err(|error| if left.get() == 0 { NoTree::TooMany } else { NoTree::Broken(error) })?;
    if has_blank(&node) {
        Texts(&mut node).deserialize(serde_yaml::Deserializer::from_str(yaml)).map_err(NoTree::Broken)?;
    }
    Ok(node)
}

/// Is every integer in the text typed as it is printed? None is that has a sign to spare or another base: `+2`, `-0`, `0x2`.
/// (What begins with zeros, `007`, is no number to YAML 1.2.)
fn has_integers_as_printed(yaml: &str) -> bool {
    let differs = |pair: &[u8]| matches!(pair, [b'+', b'0'..=b'9'] | [b'-', b'0'] | [b'0', b'x' | b'o' | b'b']);
    !yaml.as_bytes().windows(2).any(differs)
}

/// Is there a text still to be asked for? The reader lets no tree be deeper than 128.
fn has_blank(node: &Node) -> bool {
    match node {
        Node::Text(text) => text.is_empty(),
        Node::List(list) => list.iter().any(has_blank),
        Node::Map(map) => map.iter().any(|(_, node)| has_blank(node)),
        Node::Nothing | Node::Tagged => false,
    }
}

/// Reads a value and those in it, as long as some are left.
#[derive(Clone, Copy)]
struct Nodes<'c> {
    left: &'c Cell<usize>,
    integers_as_printed: bool,
}

impl Nodes<'_> {
    /// An integer's text, unless that is for the second pass to ask for.
    fn integer(self, value: impl ToString) -> Node {
        Node::Text(if self.integers_as_printed { value.to_string() } else { String::new() })
    }
}

impl<'de> DeserializeSeed<'de> for Nodes<'_> {
    type Value = Node;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Node, D::Error> {
        self.left.set(self.left.get().saturating_sub(1));
        if self.left.get() == 0 {
            return Err(serde::de::Error::custom("too many values"));
        }
        deserializer.deserialize_any(self)
    }
}

macro_rules! integers {
    ($($visit:ident: $type:ty),*) => {
        $(fn $visit<E>(self, value: $type) -> Result<Node, E> { Ok(self.integer(value)) })*
    };
}

impl<'de> Visitor<'de> for Nodes<'_> {
    type Value = Node;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a text, a list or a map")
    }

    integers!(visit_i64: i64, visit_u64: u64, visit_i128: i128, visit_u128: u128);

    /// `0.5`, `0.50` and `5e-1` are one number: the second pass asks for the text.
    fn visit_f64<E>(self, _: f64) -> Result<Node, E> {
        Ok(Node::Text(String::new()))
    }

    fn visit_bool<E>(self, value: bool) -> Result<Node, E> {
        Ok(Node::Text(value.to_string()))
    }

    fn visit_str<E>(self, text: &str) -> Result<Node, E> {
        Ok(Node::Text(text.to_owned()))
    }

    fn visit_unit<E>(self) -> Result<Node, E> {
        Ok(Node::Nothing)
    }

    fn visit_none<E>(self) -> Result<Node, E> {
        Ok(Node::Nothing)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Node, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(self)? {
            list.push(item);
        }
        Ok(Node::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Node, A::Error> {
        let mut map = Vec::new();
        while let Some(Key(key)) = entries.next_key()? {
            map.push((key, entries.next_value_seed(self)?));
        }
        Ok(Node::Map(map))
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<Node, A::Error> {
        skip_tagged(tagged)?;
        Ok(Node::Tagged)
    }
}

/// A map's key, as text; one that is a list or a map itself is the empty text.
struct Key(String);

impl<'de> Deserialize<'de> for Key {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(KeyVisitor).map(Self)
    }
}

pub(super) struct KeyVisitor;

macro_rules! printed {
    ($($visit:ident: $type:ty),*) => {
        $(fn $visit<E>(self, key: $type) -> Result<String, E> { Ok(key.to_string()) })*
    };
}

impl<'de> Visitor<'de> for KeyVisitor {
    type Value = String;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a key")
    }

    printed!(visit_bool: bool, visit_i64: i64, visit_u64: u64, visit_i128: i128, visit_u128: u128, visit_f64: f64, visit_str: &str);

    fn visit_unit<E>(self) -> Result<String, E> {
        Ok(String::new())
    }

    fn visit_none<E>(self) -> Result<String, E> {
        Ok(String::new())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<String, A::Error> {
        while items.next_element::<IgnoredAny>()?.is_some() {}
        Ok(String::new())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<String, A::Error> {
        while entries.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(String::new())
    }

    fn visit_enum<A: EnumAccess<'de>>(self, tagged: A) -> Result<String, A::Error> {
        skip_tagged(tagged)?;
        Ok(String::new())
    }
}

pub(super) fn skip_tagged<'de, A: EnumAccess<'de>>(tagged: A) -> Result<(), A::Error> {
    use serde::de::VariantAccess;
    let (_, content) = tagged.variant::<String>()?;
    content.newtype_variant::<IgnoredAny>()?;
    Ok(())
}

/// Fills in the texts that are still blank in a tree whose form is known.
struct Texts<'t>(&'t mut Node);

impl<'de> DeserializeSeed<'de> for Texts<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        match self.0 {
            Node::Text(text) if text.is_empty() => deserializer.deserialize_str(self),
            Node::List(_) => deserializer.deserialize_seq(self),
            Node::Map(_) => deserializer.deserialize_map(self),
            Node::Text(_) | Node::Nothing | Node::Tagged => {
                deserializer.deserialize_ignored_any(IgnoredAny).map(|_| ())
            }
        }
    }
}

impl<'de> Visitor<'de> for Texts<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("what the first pass found")
    }

    fn visit_str<E>(self, typed: &str) -> Result<(), E> {
        *self.0 = Node::Text(typed.to_owned());
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        let Node::List(list) = self.0 else { return Ok(()) };
        for node in list {
            items.next_element_seed(Texts(node))?;
        }
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        let Node::Map(map) = self.0 else { return Ok(()) };
        for (_, node) in map {
            entries.next_key::<IgnoredAny>()?;
            entries.next_value_seed(Texts(node))?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(typed: &str) -> Node {
        Node::Text(typed.to_owned())
    }

    #[test]
    fn scalars_keep_their_spelling() {
        let yaml = "a: 0.010\nb: 1/4\nc: 0\nd: true\ne: '1'\nf:\ng: [1.50, ~, {h: 0.20 s}]\n";
        let Ok(Node::Map(map)) = read(yaml) else { panic!("a map") };
        let values: Vec<_> = map.into_iter().map(|(_, node)| node).collect();
        let inner = Node::Map(vec![("h".to_owned(), text("0.20 s"))]);
        assert_eq!(
            values,
            [
                text("0.010"),
                text("1/4"),
                text("0"),
                text("true"),
                text("1"),
                Node::Nothing,
                Node::List(vec![text("1.50"), Node::Nothing, inner]),
            ]
        );
    }

    #[test]
    fn a_key_may_stand_twice_or_be_no_text() {
        let Ok(Node::Map(map)) = read("a: 1\na: 2\n? [x]\n: 3\n7: 4\n") else { panic!("a map") };
        let keys: Vec<&str> = map.iter().map(|(key, _)| key.as_str()).collect();
        assert_eq!(keys, ["a", "a", "", "7"]);
    }

    #[test]
    fn aliases_are_followed_and_tags_are_marked() {
        let Ok(Node::Map(map)) = read("a: &x {b: 1.0}\nc: *x\nd: !thing 3\n") else { panic!("a map") };
        assert_eq!(map[0].1, map[1].1);
        assert_eq!(map[2].1, Node::Tagged);
    }

    #[test]
    fn numbers_are_what_was_typed() {
        let Ok(Node::List(list)) = read("[0x2, +2, 1_0, 010, 1e3, .5, 2]") else { panic!("a list") };
        assert_eq!(list, ["0x2", "+2", "1_0", "010", "1e3", ".5", "2"].map(text));
    }

    /// Each alone: one that is not typed as it is printed has the texts of all asked for.
    #[test]
    fn an_integer_is_what_was_typed_with_and_without_a_second_pass() {
        for typed in ["2", "-2", "0", "007", "18446744073709551616", "+2", "-0", "0x2", "0o7", "0b1", "-0x2"] {
            assert_eq!(read(&format!("- {typed}\n")).unwrap(), Node::List(vec![text(typed)]), "{typed}");
        }
    }

    #[test]
    fn a_truth_value_is_one_text_however_it_is_typed() {
        for yaml in ["[True]", "[TRUE]", "[true]", "[True, 0.5]"] {
            let Ok(Node::List(list)) = read(yaml) else { panic!("a list") };
            assert_eq!(list.first(), Some(&text("true")), "{yaml}");
        }
    }

    /// Each alias is a few bytes and stands for a thousand values.
    #[test]
    fn aliases_cannot_fill_the_memory() {
        let bomb = format!("a: &a [{}]\nb: [{}]\n", "1,".repeat(1_000), "*a,".repeat(10_000));
        assert!(matches!(read(&bomb), Err(NoTree::TooMany)));
    }

    #[test]
    fn what_is_empty_is_nothing() {
        assert_eq!(read("").unwrap(), Node::Nothing);
        assert_eq!(read("# only a comment\n").unwrap(), Node::Nothing);
    }
}
