//! `required-kind`: a kind of uncertainty that the course wants every reading to speak to.

use crate::check::desk::Desk;
use crate::check::paper::{is_recorded, is_without_uncertainty};
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::course::Course;
use crate::evaluate::Quantity;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "required-kind",
    group: "course",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading that says nothing of a kind of uncertainty which the course lists under `require`. An amount \
               of 0 with its reason says something; so does an instrument that carries the kind, `exact` and `counting`.",
        why: "A source that is not mentioned may have been weighed and found small, or forgotten: the reader cannot tell.",
        wrong: "---\nmeniscus:\n  require: [reading, definition]\n---\n\n\
                The pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "---\nmeniscus:\n  require: [reading, definition]\n---\n\n\
                The pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"; definition 0.1 cm \"the foot is rough\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// The word under `require` that is no kind: every reading has a name.
pub(super) const NAME: &str = "name";

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let course = desk.context.course;
    if course.require.is_empty() {
        return;
    }
    for (_, quantity) in desk.sound().filter(|(_, quantity)| has_to_speak(quantity)) {
        let unsaid = course.require.iter().filter(|word| *word != NAME && !speaks_to(quantity, word, course));
        let unsaid: Vec<String> = unsaid.map(|word| format!("`{word}`")).collect();
        if unsaid.is_empty() {
            continue;
        }
        let message = format!(
            "`{}` says nothing about {}, which this course wants for every reading",
            quantity.symbol,
            say::all_of(&unsaid)
        );
        let help =
            format!("add {} with an amount and a reason, or with 0 and why it can be left out", say::all_of(&unsaid));
        found.push(RULE.at(quantity.span, message, help));
    }
}

fn has_to_speak(quantity: &Quantity) -> bool {
    let counted = quantity.sources.iter().any(|source| source.kind == Kind::Counting);
    // A reading without any source is `no-uncertainty` already.
    let silent = is_without_uncertainty(quantity);
    is_recorded(quantity) && !quantity.exact && !counted && !silent
}

/// Does one of its sources say that word, or another word for the same kind?
fn speaks_to(quantity: &Quantity, word: &str, course: &Course) -> bool {
    let wanted = known(word, course);
    quantity.sources.iter().any(|source| {
        let said = source.word.as_deref();
        said == Some(word) || source.kind.word() == wanted || said.is_some_and(|said| known(said, course) == wanted)
    })
}

/// The known kind that a word of the course stands for; else the word.
fn known<'w>(word: &'w str, course: &'w Course) -> &'w str {
    course.kinds.get(word).and_then(|kind| kind.like.as_deref()).unwrap_or(word)
}
