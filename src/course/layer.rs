//! One file's say: the keys of one `meniscus.yaml`, or of one report's front matter.

use std::collections::BTreeMap;

use super::broken;
use super::fault::{Faults, Ground};
use super::instrument;
use super::place::{Side, Step};
use super::reader::{Entry, Path, Reader, brief, not_one_word, offer};
use super::tree::{self, Node};
use super::{
    Agree, Combine, CourseFault, CourseKind, Coverage, DecimalSign, Expected, Fit, Instrument, Level, Notation,
    RationalePlace, Repeat,
};
use crate::quantity::{Figures, Kind, Rounding, nearest};
use crate::span::Span;

/// The most bytes of YAML that are read. A course file has some thousand.
pub const LARGEST: usize = 1 << 20;

/// What one file says; what it does not mention is `None` or empty.
#[derive(Clone, Debug, Default, PartialEq)]
#[allow(missing_docs, reason = "each is the field of the same name in `Course`, which says what it is")]
pub struct Layer<'y> {
    pub combine: Option<Combine>,
    pub digits: Option<Figures>,
    pub round: Option<Rounding>,
    pub repeat: Option<Repeat>,
    pub fit: Option<Fit>,
    pub agree: Option<Agree>,
    pub coverage: Option<Coverage>,
    pub rationale: Option<RationalePlace>,
    pub require: Option<Vec<String>>,
    pub kinds: BTreeMap<String, CourseKind>,
    pub units: BTreeMap<String, String>,
    pub decimal: Option<DecimalSign>,
    pub constants: Option<Vec<String>>,
    pub correlations: Option<Vec<String>>,
    pub instruments: BTreeMap<String, Instrument>,
    pub expected: BTreeMap<String, Expected>,
    pub rules: BTreeMap<String, Level>,
    pub words: BTreeMap<String, String>,
    pub fixed: Vec<String>,
    /// Does the search upwards end with this file?
    pub root: bool,
    pub(super) ground: Ground<'y>,
}

/// Reads a whole course file. What is wrong is left out of the layer.
pub fn of_file(yaml: &str, notation: Notation) -> (Layer<'_>, Vec<CourseFault>) {
    let ground = Ground { yaml, base: &[] };
    match tree_of(yaml) {
        Ok(node) => Reader::read(ground, &node, notation),
        Err(fault) => (Layer::default(), vec![fault]),
    }
}

/// Reads the key `meniscus` of a report's front matter, given without its `---` lines; `None` where there is none.
/// What else stands there belongs to others.
pub fn of_front_matter(yaml: &str, notation: Notation) -> Option<(Layer<'_>, Vec<CourseFault>)> {
    const KEY: &str = "meniscus";
    if !yaml.contains(KEY) {
        return None;
    }
    let ground = Ground { yaml, base: &[Step::Key(KEY)] };
    match tree_of(yaml) {
        Ok(Node::Map(entries)) => {
            let mut ours = entries.iter().filter(|(key, _)| key == KEY);
            let (_, node) = ours.next()?;
            let (layer, mut faults) = Reader::read(ground, node, notation);
            if ours.next().is_some() {
                faults.push(second_key(ground, &entries, KEY));
            }
            Some((layer, faults))
        }
        Ok(_) => None,
        Err(fault) => {
            let message = format!("`{KEY}` cannot be read: {}", fault.message);
            looks_like_key(yaml, KEY).then(|| (Layer::default(), vec![CourseFault { message, ..fault }]))
        }
    }
}

fn second_key(ground: Ground<'_>, entries: &[(String, Node)], key: &str) -> CourseFault {
    let mut faults = Faults::new(Ground { base: &[], ..ground });
    let second = entries.iter().rposition(|(other, _)| other == key).unwrap_or(0);
    faults.add(&[Step::Nth(second)], Side::Key, format!("`{key}` stands here twice"), "put all of its keys under one");
    faults.done().pop().unwrap_or(CourseFault { span: Span::at(0), message: String::new(), help: String::new() })
}

/// Is there a line that begins with the key, in YAML that cannot be read?
fn looks_like_key(yaml: &str, key: &str) -> bool {
    yaml.lines().any(|line| {
        let line = line.trim_start_matches(['"', '\'']);
        line.strip_prefix(key).is_some_and(|rest| rest.trim_start_matches(['"', '\'', ' ']).starts_with(':'))
    })
}

fn tree_of(yaml: &str) -> Result<Node, CourseFault> {
    if yaml.len() > LARGEST {
        let message = format!("{} bytes of YAML are more than a course may have", yaml.len());
        return Err(CourseFault { span: Span::at(0), message, help: format!("keep it under {LARGEST} bytes") });
    }
    if let Some(offset) = tree::too_deep(yaml) {
        let message = "this is not YAML: more brackets are opened inside one another than can be read".to_owned();
        return Err(CourseFault {
            span: Span::new(offset, offset + 1),
            message,
            help: "close each bracket".to_owned(),
        });
    }
    tree::read(yaml).map_err(|why| match why {
        tree::NoTree::Broken(error) => broken::fault(yaml, &error),
        tree::NoTree::TooMany => {
            let message = format!("more than {} values are more than a course may have", tree::MOST_VALUES);
            let help = "write out what is needed: an alias (`*name`) counts with all that it stands for".to_owned();
            CourseFault { span: Span::at(0), message, help }
        }
    })
}

/// The keys of a course, in the order of the notation's page.
pub const KEYS: [&str; 20] = [
    "combine",
    "digits",
    "round",
    "repeat",
    "fit",
    "agree",
    "coverage",
    "rationale",
    "require",
    "kinds",
    "units",
    "decimal",
    "constants",
    "correlations",
    "instruments",
    "expected",
    "rules",
    "words",
    "fixed",
    "root",
];

/// The keys that a report may have, and a course therefore may fix: all but `fixed` and `root`.
pub(super) const FIXABLE: &[&str] = KEYS.split_at(18).0;

/// The keys whose entries can be fixed one by one.
pub const MAPS: [&str; 6] = ["kinds", "units", "instruments", "expected", "rules", "words"];

impl<'y> Reader<'y> {
    /// Reads a tree into a layer; what is wrong is said and left out.
    fn read(ground: Ground<'y>, node: &Node, notation: Notation) -> (Layer<'y>, Vec<CourseFault>) {
        let mut reader = Self::new(ground, notation);
        let mut layer = Layer { ground, ..Layer::default() };
        for entry in reader.entries(&Path::Top, node, ("a course's keys", "{combine: quadrature}")) {
            reader.key(&mut layer, entry);
        }
        (layer, reader.faults.done())
    }

    fn key(&mut self, layer: &mut Layer<'_>, (at, key, node): Entry<'_>) {
        match key {
            "combine" => layer.combine = self.word(at, key, node),
            "digits" => layer.digits = self.word(at, key, node),
            "round" => layer.round = self.word(at, key, node),
            "repeat" => layer.repeat = self.word(at, key, node),
            "fit" => layer.fit = self.word(at, key, node),
            "agree" => layer.agree = self.word(at, key, node),
            "coverage" => layer.coverage = self.coverage(at, node),
            "rationale" => layer.rationale = self.word(at, key, node),
            "require" => layer.require = self.list(at, key, node),
            "kinds" => layer.kinds = self.map(at, key, node, Self::kind),
            "units" => layer.units = self.map(at, key, node, Self::text),
            "decimal" => layer.decimal = self.word(at, key, node),
            "constants" => layer.constants = self.list(at, key, node),
            "correlations" => layer.correlations = self.list(at, key, node),
            "instruments" => layer.instruments = self.map(at, key, node, instrument::read),
            "expected" => layer.expected = self.map(at, key, node, Self::expected),
            "rules" => layer.rules = self.map(at, key, node, Self::rule),
            "words" => layer.words = self.map(at, key, node, Self::written),
            "fixed" if !self.in_report => layer.fixed = self.fixed(at, node),
            "root" if !self.in_report => layer.root = self.word(at, key, node).unwrap_or(false),
            _ => self.unknown_key(at, key),
        }
    }

    fn unknown_key(&mut self, at: Path<'_>, key: &str) {
        let (message, help) = match key {
            "fixed" | "root" => (
                format!("`{key}` is for a course file, not for a report"),
                "take it out here; in `meniscus.yaml` it speaks for the whole course".to_owned(),
            ),
            "meniscus" => (
                "the keys of a course file stand at its top, not under `meniscus`".to_owned(),
                "take the line `meniscus:` out and move its keys to the left".to_owned(),
            ),
            _ => (format!("`{key}` is no key of a course"), offer(key, KEYS, "the keys are")),
        };
        self.fault(at, Side::Key, message, help);
    }

    fn fixed(&mut self, at: Path<'_>, node: &Node) -> Vec<String> {
        let listed = self.list(at, "fixed", node).unwrap_or_default();
        let Node::List(items) = node else { return listed };
        for (index, item) in items.iter().enumerate() {
            let Node::Text(text) = item else { continue };
            let (key, entry) = text.split_once('.').map_or((text.as_str(), None), |(key, entry)| (key, Some(entry)));
            let (message, help) = match entry {
                None if FIXABLE.contains(&key) => continue,
                Some(_) if MAPS.contains(&key) => continue,
                Some(_) if FIXABLE.contains(&key) => {
                    (format!("`{key}` has no entries that could be fixed one by one"), format!("write `{key}`"))
                }
                _ => {
                    let list = "a key can be fixed, or one entry as `rules.no-reason`; the keys are";
                    let what = if entry.is_some() { MAPS.as_slice() } else { FIXABLE };
                    let near = offer(key, what.iter().copied(), list);
                    (format!("`{}` is no key that could be fixed", brief(text)), near)
                }
            };
            self.fault(at.nth(index), Side::Value, message, help);
        }
        listed
    }

    fn coverage(&mut self, at: Path<'_>, node: &Node) -> Option<Coverage> {
        let text = self.text((at, "coverage", node))?;
        let coverage = coverage_of(&text);
        if coverage.is_none() {
            let message = format!("`coverage` cannot be `{}`", brief(&text));
            self.fault(at, Side::Value, message, "write a level as `95 %`, or a factor as `k 2`");
        }
        coverage
    }

    fn kind(&mut self, (at, word, node): Entry<'_>) -> Option<CourseKind> {
        if let Some((message, help)) = kind_word_taken(word) {
            self.fault(at, Side::Key, message, help);
            return None;
        }
        let mut kind = CourseKind::default();
        for entry in self.entries(&at, node, (&format!("kind `{word}`"), "{like: definition}")) {
            match entry.1 {
                "like" => kind.like = self.text(entry),
                "says" => kind.says = self.text(entry),
                key => {
                    let help = offer(key, ["like", "says"], "the keys of a kind are");
                    self.fault(entry.0, Side::Key, format!("`{key}` is no key of a kind"), help);
                }
            }
        }
        Some(kind)
    }

    fn expected(&mut self, (at, symbol, node): Entry<'_>) -> Option<Expected> {
        if !(self.notation.symbol)(symbol) {
            let message = format!("`{}` can be no symbol", brief(symbol));
            let help = "a symbol is letters, then letters and digits, with one `_` before a subscript: `L_0`";
            self.fault(at, Side::Key, message, help);
            return None;
        }
        let mut expected = Expected::default();
        for entry in self.entries(&at, node, (&format!("expected quantity `{symbol}`"), EXPECTED)) {
            match entry.1 {
                "value" => expected.value = self.text(entry),
                "required" => expected.required = self.word(entry.0, entry.1, entry.2).unwrap_or(false),
                key => {
                    let help = offer(key, ["value", "required"], "the keys of an expected quantity are");
                    self.fault(entry.0, Side::Key, format!("`{key}` is no key of an expected quantity"), help);
                }
            }
        }
        Some(expected)
    }

    fn written(&mut self, (at, key, node): Entry<'_>) -> Option<String> {
        let known = (self.notation.words)();
        let Some((_, text)) = known.iter().find(|(word, _)| *word == key) else {
            let message = format!("`{}` is no word that is written into reports", brief(key));
            let keys: Vec<&str> = known.iter().map(|(word, _)| word.as_str()).collect();
            self.fault(at, Side::Key, message, offer(key, keys, "the words are"));
            return None;
        };
        let written = self.text((at, key, node))?;
        let allowed: Vec<&str> = parts_of(text).collect();
        if let Some(part) = parts_of(&written).find(|part| !allowed.contains(part)) {
            let message = format!("nothing is put in place of `{{{}}}` in `{key}`", brief(part));
            self.fault(at, Side::Value, message, offer_part(part, &allowed));
            return None;
        }
        Some(written)
    }

    fn rule(&mut self, (at, name, node): Entry<'_>) -> Option<Level> {
        let known = (self.notation.rules)();
        if !known.contains(&name) {
            let help = match nearest(name, known) {
                Some(near) => format!("write `{near}`"),
                None => {
                    "take it out, or write the name that stands beside a finding; `meniscus explain` lists all rules"
                        .to_owned()
                }
            };
            self.fault(at, Side::Key, format!("`{}` is no rule", brief(name)), help);
            return None;
        }
        self.word(at, name, node)
    }
}

fn coverage_of(text: &str) -> Option<Coverage> {
    let number = |digits: &str| digits.trim().parse::<f64>().ok().filter(|n| n.is_finite() && *n > 0.0);
    if let Some(percent) = text.trim().strip_suffix('%') {
        return number(percent).filter(|&percent| percent < 100.0).map(|percent| Coverage::Level(percent / 100.0));
    }
    number(text.trim().strip_prefix("k ")?).map(Coverage::Factor)
}

/// The words that begin another clause than a source's.
const CLAUSE_WORDS: [&str; 5] = ["with", "exact", "stated", "without", "correlated"];

fn kind_word_taken(word: &str) -> Option<(String, String)> {
    if Kind::known(word).is_some() {
        let help = "give yours a word of its own, `like` this one where it is the same";
        return Some((format!("the kind `{word}` is known everywhere and stays what it is"), help.to_owned()));
    }
    if CLAUSE_WORDS.contains(&word) {
        return Some((format!("`{word}` begins a clause and can be no kind"), "choose another word".to_owned()));
    }
    if word == "name" || instrument::KEYS.contains(&word) {
        let message = format!("`{word}` is a key of instruments and can be no kind");
        return Some((message, "choose another word".to_owned()));
    }
    not_one_word(word)
}

/// An entry of `expected`.
const EXPECTED: &str = "{value: 9.81 ± 0.02 m/s^2, required: true}";

/// The names in braces, in the order of the text.
pub(super) fn parts_of(text: &str) -> impl Iterator<Item = &str> {
    text.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0))
}

fn offer_part(part: &str, allowed: &[&str]) -> String {
    let braced: Vec<String> = allowed.iter().map(|part| format!("`{{{part}}}`")).collect();
    match (nearest(part, allowed.iter().copied()), &braced[..]) {
        (Some(near), _) => format!("write `{{{near}}}`"),
        (None, []) => "take it out: this text has no such part".to_owned(),
        (None, braced) => format!("its parts are {}", braced.join(", ")),
    }
}
