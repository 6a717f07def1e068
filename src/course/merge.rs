//! Layers over one another: the nearer file over the farther, the report over all.

use std::collections::{BTreeMap, BTreeSet};

use super::fault::Faults;
use super::judge::Judge;
use super::place::{Side, Step};
use super::reader::{brief, offer};
use super::said::Own;
use super::{Combine, Course, CourseFault, Layer, Notation, amounts, correlations, instrument};
use crate::quantity::{Kind, constants, nearest};

/// Whose layer it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Author {
    /// A course file: it may change all that files above it say, and fix it.
    Course,
    /// A report: what the course has fixed it cannot change.
    Report,
}

/// Lays `layer` over `course`: a single value replaces, a list replaces, entries of a map join, those of the
/// same word replace. Call it for the farthest file first. The faults are what cannot be seen in a layer
/// alone; what is wrong does not enter the course.
pub fn merge(course: &mut Course, layer: Layer<'_>, author: Author, notation: Notation) -> Vec<CourseFault> {
    let fixed = match author {
        Author::Course => BTreeSet::new(),
        Author::Report => course.fixed.clone(),
    };
    let mut merger = Merger { faults: Faults::new(layer.ground), fixed, notation };
    let own = Own::of(&layer);
    merger.choices(course, &layer);
    merger.lists(course, &layer);
    merger.maps(course, layer);
    merger.kinds(course, &own);
    merger.instruments(course, &own);
    amounts::check(&mut Judge { faults: &mut merger.faults, notation }, course, &own);
    if own.require {
        merger.required(course);
    }
    if own.constants {
        merger.constants(course);
    }
    if own.correlations {
        correlations::check(&mut merger.faults, notation, course);
    }
    merger.fixed_entries(course, &own.fixed);
    merger.faults.done()
}

/// A merge under way.
struct Merger<'y> {
    faults: Faults<'y>,
    notation: Notation,
    fixed: BTreeSet<String>,
}

impl Merger<'_> {
    fn choices(&mut self, course: &mut Course, layer: &Layer<'_>) {
        self.choice("combine", &mut course.combine, layer.combine);
        self.choice("digits", &mut course.digits, layer.digits);
        self.choice("round", &mut course.round, layer.round);
        self.choice("repeat", &mut course.repeat, layer.repeat);
        self.choice("fit", &mut course.fit, layer.fit);
        self.choice("agree", &mut course.agree, layer.agree);
        self.choice("rationale", &mut course.rationale, layer.rationale);
        self.choice("decimal", &mut course.decimal, layer.decimal);
        if layer.coverage.is_some() {
            self.choice("coverage", &mut course.coverage, Some(layer.coverage));
            self.coverage(course);
        }
    }

    fn lists(&mut self, course: &mut Course, layer: &Layer<'_>) {
        self.choice("require", &mut course.require, layer.require.clone());
        self.choice("constants", &mut course.constants, layer.constants.clone());
        self.choice("correlations", &mut course.correlations, layer.correlations.clone());
        course.fixed.extend(layer.fixed.iter().cloned());
    }

    fn maps(&mut self, course: &mut Course, layer: Layer<'_>) {
        self.entries("kinds", &mut course.kinds, layer.kinds);
        self.entries("units", &mut course.units, layer.units);
        self.entries("instruments", &mut course.instruments, layer.instruments);
        self.entries("expected", &mut course.expected, layer.expected);
        self.entries("rules", &mut course.rules, layer.rules);
        self.entries("words", &mut course.words, layer.words);
    }

    /// One value over another, unless it is fixed. To say the same again is no change.
    fn choice<T: PartialEq>(&mut self, key: &str, held: &mut T, said: Option<T>) {
        let Some(said) = said.filter(|said| said != held) else { return };
        if self.fixed.contains(key) {
            self.is_fixed(&[Step::Key(key)], key);
        } else {
            *held = said;
        }
    }

    fn entries<T: PartialEq>(&mut self, key: &str, held: &mut BTreeMap<String, T>, said: BTreeMap<String, T>) {
        for (word, value) in said {
            if held.get(&word) == Some(&value) {
                continue;
            }
            let entry = format!("{key}.{word}");
            if self.fixed.contains(key) || self.fixed.contains(&entry) {
                self.is_fixed(&[Step::Key(key), Step::Key(&word)], &entry);
            } else {
                held.insert(word, value);
            }
        }
    }

    fn is_fixed(&mut self, path: &[Step<'_>], what: &str) {
        let message = format!("the course has fixed `{what}`");
        self.faults.add(path, Side::Key, message, "take it out here: what the course says holds");
    }

    fn coverage(&mut self, course: &Course) {
        if course.combine != Combine::Standard && course.coverage.is_some() {
            let help = "add `combine: standard`, or take `coverage` out";
            self.faults.add(&[Step::Key("coverage")], Side::Key, "`coverage` is for `combine: standard` alone", help);
        }
    }

    /// Sees that every `like` of the layer leads to a kind. A chain is followed once, however many enter it. What was
    /// merged before was sound, so that the word to blame is always one of this layer.
    fn kinds(&mut self, course: &mut Course, own: &Own) {
        let mut sound = BTreeSet::new();
        for word in &own.kinds {
            let (path, end) = chain(course, word, &sound);
            sound.extend(path.iter().cloned());
            let blamed = match &end {
                End::Sound => continue,
                End::Unknown(_) => path.last(),
                End::Circle(from) => path[*from..].iter().find(|word| own.kinds.contains(word)),
            };
            let Some(blamed) = blamed else { continue };
            let (message, help) = match end {
                End::Unknown(like) => {
                    (format!("`{}` is no kind", brief(&like)), offer(&like, kinds_of(course), "the kinds are"))
                }
                _ => (circle(&path, blamed), "let one of them be like a known kind, or stand alone".to_owned()),
            };
            self.faults.add(&[Step::Key("kinds"), Step::Key(blamed), Step::Key("like")], Side::Value, message, help);
            if let Some(kind) = course.kinds.get_mut(blamed) {
                kind.like = None;
            }
        }
    }

    fn instruments(&mut self, course: &mut Course, own: &Own) {
        for word in &own.instruments {
            let Some(instrument) = course.instruments.get(word) else { continue };
            let wrong: Vec<(String, String, String)> = instrument
                .kinds
                .keys()
                .filter_map(|key| no_amount_of(course, key).map(|(message, help)| (key.clone(), message, help)))
                .collect();
            for (key, message, help) in wrong {
                let path = [Step::Key("instruments"), Step::Key(word), Step::Key(&key)];
                self.faults.add(&path, Side::Key, message, help);
                if let Some(instrument) = course.instruments.get_mut(word) {
                    instrument.kinds.remove(&key);
                }
            }
        }
    }

    fn required(&mut self, course: &mut Course) {
        let require = std::mem::take(&mut course.require);
        for (index, word) in require.into_iter().enumerate() {
            if word == "name" || course.kind(&word).is_some() {
                course.require.push(word);
            } else {
                let help = offer(&word, kinds_of(course).chain(["name"]), "what can be required is");
                let path = [Step::Key("require"), Step::Nth(index)];
                self.faults.add(&path, Side::Value, format!("`{}` is no kind", brief(&word)), help);
            }
        }
    }

    fn constants(&mut self, course: &mut Course) {
        let asked = std::mem::take(&mut course.constants);
        for (index, symbol) in asked.into_iter().enumerate() {
            if constants::find(&symbol).is_some() {
                course.constants.push(symbol);
            } else {
                let known: Vec<&str> = constants::CONSTANTS.iter().map(|constant| constant.symbol).collect();
                let help = match symbol.as_str() {
                    "k_B" | "k_b" | "kB" => "write `k` for the Boltzmann constant".into(),
                    "g" => {
                        "write `g_n` for the standard acceleration, or record that of your place as a reading".into()
                    }
                    "eps_0" | "eps0" => "write `epsilon_0`".into(),
                    "mu0" => "write `mu_0`".into(),
                    _ => offer(&symbol, known, "the constants are"),
                };
                let path = [Step::Key("constants"), Step::Nth(index)];
                self.faults.add(&path, Side::Value, format!("`{}` is no known constant", brief(&symbol)), help);
            }
        }
    }
}

impl Merger<'_> {
    /// Rules and words are known here. Another entry may stand in a nearer file, so that only one that looks like a slip
    /// is told.
    fn fixed_entries(&mut self, course: &Course, fixed: &[String]) {
        for (index, what) in fixed.iter().enumerate() {
            let Some((key, entry)) = what.split_once('.') else { continue };
            let Some((known, certain)) = self.entries_of(course, key) else { continue };
            if known.iter().any(|word| word == entry) {
                continue;
            }
            let near = nearest(entry, known.iter().map(String::as_str));
            let help = match near {
                Some(near) => format!("write `{key}.{near}`"),
                None if certain => format!("see what `{key}` may hold on the page about the course file"),
                None => continue,
            };
            let message = format!("`{key}` has no entry `{}`", brief(entry));
            self.faults.add(&[Step::Key("fixed"), Step::Nth(index)], Side::Value, message, help);
        }
    }

    /// The entries that a key can have, and whether there can be no others; `None` of a key without entries.
    fn entries_of(&self, course: &Course, key: &str) -> Option<(Vec<String>, bool)> {
        fn words<V>(map: &BTreeMap<String, V>) -> Vec<String> {
            map.keys().cloned().collect()
        }
        Some(match key {
            "rules" => ((self.notation.rules)().into_iter().map(str::to_owned).collect(), true),
            "words" => ((self.notation.words)().into_iter().map(|(word, _)| word).collect(), true),
            "kinds" => (words(&course.kinds), false),
            "units" => (words(&course.units), false),
            "instruments" => (words(&course.instruments), false),
            "expected" => (words(&course.expected), false),
            _ => return None,
        })
    }
}

/// How a chain of `like` ends.
enum End {
    /// In a kind.
    Sound,
    /// In a word that is no kind.
    Unknown(String),
    /// In the word of that number of the chain again.
    Circle(usize),
}

/// The words from `word` on that are each like the next, as far as they are not known to be sound.
fn chain(course: &Course, word: &str, sound: &BTreeSet<String>) -> (Vec<String>, End) {
    let mut path: Vec<String> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    let mut here = word.to_owned();
    loop {
        if Kind::known(&here).is_some() || sound.contains(&here) {
            return (path, End::Sound);
        }
        if let Some(&from) = places.get(&here) {
            return (path, End::Circle(from));
        }
        let Some(kind) = course.kinds.get(&here) else { return (path, End::Unknown(here)) };
        places.insert(here.clone(), path.len());
        path.push(here);
        match &kind.like {
            Some(like) => here = like.clone(),
            None => return (path, End::Sound),
        }
    }
}

fn circle(path: &[String], blamed: &str) -> String {
    match path {
        [_] => format!("the kind `{blamed}` is like itself"),
        _ => format!("the kinds `{}` are like one another in a circle", path.join("`, `")),
    }
}

fn kinds_of(course: &Course) -> impl Iterator<Item = &str> + Clone {
    static KNOWN: [Kind; 6] = Kind::KNOWN;
    KNOWN.iter().map(Kind::word).chain(course.kinds.keys().map(String::as_str))
}

/// Why an instrument can have no amount under that key.
fn no_amount_of(course: &Course, key: &str) -> Option<(String, String)> {
    match course.kind(key) {
        Some(kind @ (Kind::Repeat | Kind::Counting)) => {
            let help = "take it out: it follows from what was recorded";
            Some((format!("an instrument has no amount of `{kind}`"), help.to_owned()))
        }
        Some(_) => None,
        None => {
            let known = instrument::KEYS.into_iter().chain(kinds_of(course));
            let help = offer(key, known, "besides the kinds, the keys of an instrument are");
            Some((format!("`{}` is no key of an instrument and no kind", brief(key)), help))
        }
    }
}
