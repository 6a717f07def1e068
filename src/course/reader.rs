//! A tree of YAML read into typed values: what is wrong is said and left out.

use std::collections::{BTreeMap, BTreeSet};

use super::Notation;
use super::fault::{Faults, Ground};
use super::place::{Side, Step};
use super::tree::Node;
use super::words::Word;
use crate::quantity::nearest;

/// A place in the tree, on its way down.
#[derive(Clone, Copy)]
pub(super) enum Path<'p> {
    Top,
    Under(&'p Path<'p>, usize),
}

impl<'p> Path<'p> {
    pub(super) fn nth(&'p self, index: usize) -> Self {
        Self::Under(self, index)
    }

    fn steps(self) -> Vec<Step<'static>> {
        let mut steps = Vec::new();
        let mut here = self;
        while let Path::Under(above, index) = here {
            steps.push(Step::Nth(index));
            here = *above;
        }
        steps.reverse();
        steps
    }
}

/// An entry of a map: its path, its key, its value.
pub(super) type Entry<'n> = (Path<'n>, &'n str, &'n Node);

/// Reads one file's tree.
pub(super) struct Reader<'y> {
    pub(super) faults: Faults<'y>,
    pub(super) notation: Notation,
    /// Is it a report's front matter, and no course file?
    pub(super) in_report: bool,
}

impl<'y> Reader<'y> {
    /// For what stands on that ground.
    pub(super) fn new(ground: Ground<'y>, notation: Notation) -> Self {
        Self { faults: Faults::new(ground), notation, in_report: !ground.base.is_empty() }
    }

    pub(super) fn fault(&mut self, at: Path<'_>, side: Side, message: impl Into<String>, help: impl Into<String>) {
        self.faults.add(&at.steps(), side, message, help);
    }

    /// The entries of a map, which looks like `example`; a second one of the same key is a fault and left out. Nothing
    /// at all is an empty map.
    pub(super) fn entries<'n>(
        &mut self,
        at: &'n Path<'n>,
        node: &'n Node,
        (what, example): (&str, &str),
    ) -> Vec<Entry<'n>> {
        let map = match node {
            Node::Map(map) => map,
            Node::Nothing => return Vec::new(),
            _ => {
                self.fault(
                    *at,
                    Side::Value,
                    format!("entries are wanted for {what}, each `key: value`"),
                    format!("write them indented beneath, or in braces, as in `{example}`"),
                );
                return Vec::new();
            }
        };
        let mut seen = BTreeSet::new();
        let mut entries = Vec::with_capacity(map.len());
        for (index, (key, value)) in map.iter().enumerate() {
            if seen.insert(key) {
                entries.push((at.nth(index), key.as_str(), value));
            } else {
                let help = "keep one of the two: they cannot both hold";
                self.fault(at.nth(index), Side::Key, format!("`{key}` stands here twice"), help);
            }
        }
        entries
    }

    /// A map from words of the author's own choice.
    pub(super) fn map<T>(
        &mut self,
        at: Path<'_>,
        key: &str,
        node: &Node,
        read: fn(&mut Self, Entry<'_>) -> Option<T>,
    ) -> BTreeMap<String, T> {
        let entries = self.entries(&at, node, (&format!("`{key}`"), "{key: value}"));
        entries.into_iter().filter_map(|entry| Some((entry.1.to_owned(), read(self, entry)?))).collect()
    }

    /// A scalar as typed.
    pub(super) fn text(&mut self, (at, key, node): Entry<'_>) -> Option<String> {
        let Node::Text(text) = node else {
            self.fault(
                at,
                side_of(node),
                format!("`{key}` wants one text"),
                format!("write it on one line: `{key}: …`"),
            );
            return None;
        };
        if text.trim().is_empty() {
            self.fault(at, Side::Key, format!("`{key}` is empty"), "give it a value, or take it out");
            return None;
        }
        Some(text.clone())
    }

    /// One of several words.
    pub(super) fn word<T: Word>(&mut self, at: Path<'_>, key: &str, node: &Node) -> Option<T> {
        let text = self.text((at, key, node))?;
        let choice = T::of(&text);
        if choice.is_none() {
            let words: Vec<&str> = T::ALL.iter().map(|&(word, _)| word).collect();
            let help = format!("write {}", either(&words));
            self.fault(at, Side::Value, format!("`{key}` cannot be `{}`", brief(&text)), help);
        }
        choice
    }

    pub(super) fn list(&mut self, at: Path<'_>, key: &str, node: &Node) -> Option<Vec<String>> {
        match node {
            Node::List(items) => {
                Some((0..).zip(items).filter_map(|(index, item)| self.text((at.nth(index), key, item))).collect())
            }
            Node::Nothing => Some(Vec::new()),
            _ => {
                let help = format!("put it in square brackets: `{key}: [a, b]`");
                self.fault(at, Side::Value, format!("`{key}` wants a list"), help);
                None
            }
        }
    }
}

/// Where the fault of a value is shown: an absent one has no place of its own.
fn side_of(node: &Node) -> Side {
    if *node == Node::Nothing { Side::Key } else { Side::Value }
}

/// A kind or an instrument has to be typed in a clause: letters first, then letters, digits, `_`, and within it `-` and `.`.
pub(super) fn not_one_word(word: &str) -> Option<(String, String)> {
    let mut characters = word.chars();
    let begins = characters.next().is_some_and(char::is_alphabetic);
    let ends = !word.ends_with(['-', '.']);
    if begins && ends && characters.all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.')) {
        return None;
    }
    let message = format!("`{}` cannot be typed as one word", brief(word));
    Some((message, "begin with a letter and go on with letters, digits, `-` or `_`".to_owned()))
}

/// What to write for a word that is not known: the nearest one, else the whole list.
pub(super) fn offer<'c>(word: &str, known: impl IntoIterator<Item = &'c str> + Clone, list: &str) -> String {
    match nearest(word, known.clone()) {
        Some(near) => format!("write `{near}`"),
        None => format!("{list} {}", listed(&known.into_iter().collect::<Vec<_>>())),
    }
}

/// A list that no one reads to its end is cut.
fn listed(words: &[&str]) -> String {
    const MOST: usize = 24;
    match words.get(MOST..) {
        Some(rest @ [_, _, ..]) => format!("{} and {} more", words[..MOST].join(", "), rest.len()),
        _ => words.join(", "),
    }
}

fn either(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}

/// A text as it may stand in a message: one line of it, not too long.
pub(super) fn brief(text: &str) -> String {
    let line = text.lines().next().unwrap_or("");
    let short: String = line.chars().take(40).collect();
    if short.len() < text.len() { short + "…" } else { short }
}
