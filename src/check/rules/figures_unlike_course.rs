//! `figures-unlike-course`: an uncertainty stated to other figures than the course reports.

use crate::check::desk::Desk;
use crate::check::judge::MOST_FIGURES;
use crate::check::own::{self, Own};
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::quantity::{Decimal, figures};

pub(super) static RULE: Rule = Rule {
    name: "figures-unlike-course",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a stated result whose uncertainty has more or fewer figures than the course's `digits` gives it.",
        why: "A report whose results all end alike can be compared at a glance; the course has said how.",
        wrong: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 2.00 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 42.00 ± 0.47 cm/s}.\n",
        right: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 2.00 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 42.0 ± 0.5 cm/s}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let course = desk.context.course;
    for (_, quantity) in desk.sound() {
        let Some((measure, Own { stated, uncertainty: Some(typed) })) =
            quantity.measure.zip(own::figure(desk, quantity))
        else {
            continue;
        };
        let measure = &own::shown(desk, quantity, &measure);
        let computed = Decimal::of_f64(measure.uncertainty / stated.unit.factor()).filter(|u| !u.is_zero());
        let Some(wanted) = computed.map(|u| figures::uncertainty(u, course.digits, course.round)) else { continue };
        if super::stated::speaks_of(desk, quantity) {
            continue;
        }
        // 510 ± 10: the zero may only keep the place.
        if typed.last_place() >= 0 && typed.trimmed() == wanted.trimmed() {
            continue;
        }
        // A place off by two or more, or a third figure, is a slip of another name.
        let beside = typed.last_place().abs_diff(wanted.last_place()) == 1;
        if !beside || typed.figures() > MOST_FIGURES || typed.last_place() != stated.value.decimal.last_place() {
            continue;
        }
        let amount = say::with_unit(&say::decimal(wanted), &stated.unit);
        let message = format!(
            "the stated uncertainty goes down to {}, but with this course's `digits` it is {amount}",
            say::step(typed.last_place())
        );
        found.push(RULE.at(stated.span, message, super::calculator_digits::help(desk, stated, measure)));
    }
}
