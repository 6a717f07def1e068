//! The amounts, units and estimates in a course: can they be read, and are their units known? What the rooms
//! below know of the notation is lent to this one as functions.

use std::collections::{BTreeMap, BTreeSet};

use super::layer::brief;
use super::merge::{Merger, Own};
use super::place::{Side, Step};
use super::{Course, Instrument};
use crate::quantity::unit::Spelling;
use crate::quantity::{Exact, Unit, Units};

/// What a course needs to know of the rooms below.
#[derive(Clone, Copy, Debug)]
pub struct Notation {
    /// The names of all rules.
    pub rules: fn() -> Vec<&'static str>,
    /// The units in an amount as `0.5 % + 2 digits`; `None` of what is no amount.
    pub amount: fn(&str) -> Option<Vec<Spelling>>,
    /// The units in an estimate as `9.81 ± 0.02 m/s^2`; `None` of what is none.
    pub estimate: fn(&str) -> Option<Vec<Spelling>>,
    /// The keys of all words that are written into a report.
    pub words: fn() -> Vec<&'static str>,
    /// A unit as it is typed.
    pub unit: fn(&str) -> Option<Spelling>,
}

/// The most units of its own that a course may have: each may build on each.
const MOST_UNITS: usize = 256;

/// The units of a data sheet that are none elsewhere: steps of a display.
const DIGITS: [&str; 2] = ["digit", "digits"];

/// Sees that every text of the layer can be read. A unit of the course's that cannot is taken out.
pub(super) fn check(merger: &mut Merger<'_>, course: &mut Course, own: &Own) {
    own_units(merger, course, own);
    let units = known_units(course);
    let texts: Vec<Text> = own.instruments.iter().flat_map(|word| data_sheet(course, word)).collect();
    for Text { path, text, form } in texts {
        let steps: Vec<Step<'_>> = path.iter().map(|key| Step::Key(key)).collect();
        merger.text(&steps, &text, form, &units);
    }
    for symbol in &own.expected {
        if let Some(value) = course.expected.get(symbol).and_then(|expected| expected.value.clone()) {
            let steps = [Step::Key("expected"), Step::Key(symbol), Step::Key("value")];
            merger.text(&steps, &value, Form::Estimate, &units);
        }
    }
}

/// What a text has to be.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Amount,
    Share,
    Range,
    Estimate,
}

impl Form {
    const fn right(self) -> (&'static str, &'static str) {
        match self {
            Self::Amount => ("an amount", "write it as in a clause: `0.5 mm`, `0.5 % + 2 digits`"),
            Self::Share => ("a share of a division", "write `1/10` or `1/4`"),
            Self::Range => ("a range", "write both ends, each with its unit: `0 V to 20 V`"),
            Self::Estimate => ("an estimate", "write it as a reading is written: `9.81 ± 0.02 m/s^2`"),
        }
    }
}

struct Text {
    path: Vec<String>,
    text: String,
    form: Form,
}

fn data_sheet(course: &Course, word: &str) -> Vec<Text> {
    let Some(instrument) = course.instruments.get(word) else { return Vec::new() };
    let Instrument { division, read_to, display, range, kinds, .. } = instrument;
    let named = [
        ("division", division, Form::Amount),
        ("read_to", read_to, Form::Share),
        ("display", display, Form::Amount),
        ("range", range, Form::Range),
    ];
    let named = named.into_iter().filter_map(|(key, text, form)| Some((key, text.as_ref()?, form)));
    let kinds = kinds.iter().map(|(key, text)| (key.as_str(), text, Form::Amount));
    let path = |key: &str| vec!["instruments".to_owned(), word.to_owned(), key.to_owned()];
    named.chain(kinds).map(|(key, text, form)| Text { path: path(key), text: text.clone(), form }).collect()
}

impl Merger<'_> {
    fn text(&mut self, path: &[Step<'_>], text: &str, form: Form, units: &Units) {
        let spellings = self.spellings(text, form);
        let Some(spellings) = spellings else {
            let (what, help) = form.right();
            self.faults.add(path, Side::Value, format!("`{}` is not {what}", brief(text)), help);
            return;
        };
        for spelling in spellings {
            if !spelling.alone().is_some_and(|symbol| DIGITS.contains(&symbol)) && self.unknown(path, &spelling, units)
            {
                return;
            }
        }
    }

    fn spellings(&self, text: &str, form: Form) -> Option<Vec<Spelling>> {
        let amount = self.notation.amount;
        match form {
            Form::Amount => amount(text),
            Form::Share => amount(text).filter(Vec::is_empty),
            Form::Range => {
                let (low, high) = text.split_once(" to ")?;
                Some([amount(low)?, amount(high)?].concat())
            }
            Form::Estimate => (self.notation.estimate)(text),
        }
    }

    /// Says so where a unit is not known.
    fn unknown(&mut self, path: &[Step<'_>], spelling: &Spelling, units: &Units) -> bool {
        let Err(unknown) = units.find(spelling) else { return false };
        let help = match unknown.nearest {
            Some(near) => format!("write `{near}`"),
            None => "write a known unit, or define this one under `units`".to_owned(),
        };
        self.faults.add(path, Side::Value, format!("`{}` is no known unit", unknown.symbol), help);
        true
    }
}

/// The built-in units and the course's by their names; how large those are is no matter here.
fn known_units(course: &Course) -> Units {
    let mut units = Units::default();
    for symbol in course.units.keys() {
        units.add(symbol, Exact::ONE, &Unit::one());
    }
    units
}

fn own_units(merger: &mut Merger<'_>, course: &mut Course, own: &Own) {
    if course.units.len() > MOST_UNITS {
        let message = format!("{} units are more than a course may have", course.units.len());
        let help = format!("keep at most {MOST_UNITS}");
        merger.faults.add(&[Step::Key("units")], Side::Key, message, help);
        course.units.retain(|symbol, _| !own.units.contains(symbol));
        return;
    }
    let units = known_units(course);
    let mut built_on: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (symbol, text) in &course.units {
        let spellings = (merger.notation.amount)(text).unwrap_or_default();
        let factors = spellings.iter().flat_map(|s| s.over.iter().chain(&s.under));
        built_on.insert(symbol.clone(), factors.map(|(factor, _)| factor.clone()).collect());
    }
    let circular = circular(&built_on);
    for symbol in &own.units {
        let Some(text) = course.units.get(symbol).cloned() else { continue };
        let path = [Step::Key("units"), Step::Key(symbol)];
        let told = merger.faults.count();
        if (merger.notation.unit)(symbol).is_none_or(|unit| unit.alone() != Some(symbol)) {
            let message = format!("`{}` cannot be typed as a unit", brief(symbol));
            merger.faults.add(&path, Side::Key, message, "a unit is letters alone");
        } else if circular.contains(symbol) {
            let help = "build it on units that are known without it";
            merger.faults.add(&path, Side::Value, format!("the unit `{symbol}` is built on itself"), help);
        } else {
            merger.text(&path, &text, Form::Amount, &units);
        }
        if merger.faults.count() > told {
            course.units.remove(symbol);
        }
    }
}

/// The units that cannot be worked out, since each is built on one that cannot.
fn circular(built_on: &BTreeMap<String, Vec<String>>) -> BTreeSet<String> {
    let mut waiting: BTreeSet<String> = built_on.keys().cloned().collect();
    loop {
        let ready: Vec<String> = waiting
            .iter()
            .filter(|symbol| !built_on[*symbol].iter().any(|factor| waiting.contains(factor)))
            .cloned()
            .collect();
        if ready.is_empty() {
            return waiting;
        }
        waiting.retain(|symbol| !ready.contains(symbol));
    }
}
