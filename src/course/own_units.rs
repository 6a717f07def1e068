//! The units of a course: can they be typed, and does each have a size?

use std::collections::{BTreeMap, BTreeSet};

use super::Course;
use super::judge::{Form, Judge};
use super::place::{Side, Step};
use super::reader::brief;
use super::said::Own;
use crate::quantity::{Exact, Unit, Units};

/// The most units of its own that a course may have: each may build on each.
const MOST_UNITS: usize = 256;

/// Sees that every unit of the layer can be worked out. One that cannot is taken out.
pub(super) fn check(judge: &mut Judge<'_, '_>, course: &mut Course, own: &Own) {
    if own.units.is_empty() {
        return;
    }
    if course.units.len() > MOST_UNITS {
        let message = format!("{} units are more than a course may have", course.units.len());
        let help = format!("keep at most {MOST_UNITS}");
        judge.faults.add(&[Step::Key("units")], Side::Key, message, help);
        course.units.retain(|symbol, _| !own.units.contains(symbol));
        return;
    }
    let names = named(course);
    let circular = circular(&built_on(judge, course));
    // Circles and units that are not known come first: they would leave what is built on them without a size, too.
    for symbol in &own.units {
        let Some(text) = course.units.get(symbol).cloned() else { continue };
        let path = [Step::Key("units"), Step::Key(symbol)];
        let told = judge.faults.count();
        if (judge.notation.unit)(symbol).is_none_or(|unit| unit.alone() != Some(symbol)) {
            let message = format!("`{}` cannot be typed as a unit", brief(symbol));
            judge.faults.add(&path, Side::Key, message, "a unit is letters alone");
        } else if circular.contains(symbol) {
            let help = "build it on units that are known without it";
            judge.faults.add(&path, Side::Value, format!("the unit `{symbol}` is built on itself"), help);
        } else {
            judge.text(&path, &text, Form::Unit, &names);
        }
        if judge.faults.count() > told {
            course.units.remove(symbol);
        }
    }
    sizes(judge, course, own);
}

fn sizes(judge: &mut Judge<'_, '_>, course: &mut Course, own: &Own) {
    let built_on = built_on(judge, course);
    let sizes = (judge.notation.units)(&course.units);
    let mut sizeless = BTreeSet::new();
    for symbol in &own.units {
        let Some(text) = course.units.get(symbol) else { continue };
        let path = [Step::Key("units"), Step::Key(symbol)];
        // What is built on another that has none is said there.
        let waits =
            built_on.get(symbol).is_some_and(|on| on.iter().any(|unit| lacks_size(judge, course, unit, &sizes)));
        let read = judge.read(text, Form::Unit).filter(|_| !waits);
        if read.is_some_and(|read| !judge.is_possible(&path, text, (Form::Unit, &read), &sizes)) {
            sizeless.insert(symbol.clone());
        }
    }
    course.units.retain(|symbol, _| !sizeless.contains(symbol));
}

fn lacks_size(judge: &Judge<'_, '_>, course: &Course, symbol: &str, sizes: &Units) -> bool {
    course.units.contains_key(symbol) && (judge.notation.unit)(symbol).is_some_and(|unit| !sizes.knows(&unit))
}

/// The built-in units and the course's by their names; how large those are is no matter here.
pub(super) fn named(course: &Course) -> Units {
    let mut units = Units::default();
    for symbol in course.units.keys() {
        units.add(symbol, Exact::ONE, &Unit::one());
    }
    units
}

/// The units that each is built on.
fn built_on(judge: &Judge<'_, '_>, course: &Course) -> BTreeMap<String, Vec<String>> {
    let factors = |text: &str| {
        let spellings = (judge.notation.amount)(text).map(|amount| amount.units()).unwrap_or_default();
        let factors = spellings.iter().flat_map(|spelling| spelling.over.iter().chain(&spelling.under));
        factors.map(|(factor, _)| factor.clone()).collect()
    };
    course.units.iter().map(|(symbol, text)| (symbol.clone(), factors(text))).collect()
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
