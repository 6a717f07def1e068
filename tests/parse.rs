//! Every example of the notation's page, every error that it names, and inputs meant to do harm. Tables
//! show what was read beside the characters it was read from.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::borrow::Cow;

use meniscus::locate::{End, Place, Setting};
use meniscus::parse::ast::{self, Amount, AmountStep, Clause, Formula, Item, Number, Step};
use meniscus::parse::{Fault, FaultKind, Parsed, amount, correlation, estimate, parse, unit};
use meniscus::quantity::unit::Spelling;
use meniscus::span::{Span, Spanned};

#[path = "parse/faults.rs"]
mod faults;
#[path = "parse/forms.rs"]
mod forms;
#[path = "parse/monsters.rs"]
mod monsters;

const HEADING_CELL: Setting = Setting::HeadingCell { table: 0, column: 0 };

/// An item, as the room above finds it at the start of a report.
fn place(text: &str, end: End, setting: Setting) -> Place<'_> {
    Place { span: Span::new(0, text.len()), text: Cow::Borrowed(text), end, setting, block_end: text.len() }
}

/// What is read of `~{inner}`.
fn read_in(setting: Setting, inner: &str) -> Parsed {
    parse(&place(&format!("~{{{inner}}}"), End::Closed, setting))
}

fn read(inner: &str) -> Parsed {
    read_in(Setting::Text, inner)
}

/// The item of `~{inner}`, which has to be sound.
fn sound(inner: &str) -> Item {
    let parsed = read(inner);
    assert_eq!(parsed.faults, [], "{inner}");
    parsed.item.unwrap_or_else(|| panic!("no item: {inner}"))
}

/// The faults of `~{inner}` with the characters that they point at.
fn faults_in(setting: Setting, inner: &str) -> Vec<(FaultKind, String)> {
    let text = format!("~{{{inner}}}");
    let parsed = parse(&place(&text, End::Closed, setting));
    parsed.faults.into_iter().map(|fault| (fault.kind, fault.span.of(&text).to_owned())).collect()
}

fn faults(inner: &str) -> Vec<(FaultKind, String)> {
    faults_in(Setting::Text, inner)
}

fn number(number: &Number) -> String {
    match number.power {
        Some(power) => format!("{:e}^{power}", number.decimal),
        None => number.decimal.to_string(),
    }
}

/// An amount in the order of its steps, units in brackets.
fn steps_of_amount(amount: &Amount) -> String {
    let one = |step: &AmountStep| match step {
        AmountStep::Number(typed) => number(&typed.value),
        AmountStep::Range => "range".into(),
        AmountStep::Unit(spelling) => format!("[{}]", spelling.value),
        AmountStep::Plus => "+".into(),
        AmountStep::Minus => "-".into(),
        AmountStep::Times => "×".into(),
        AmountStep::Of => "of".into(),
        AmountStep::Over => "/".into(),
    };
    amount.steps.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// A formula in the order of its steps, each with the characters that it stands for.
fn steps_of_formula(formula: &Formula, source: &str) -> String {
    let one = |step: &Spanned<Step>| {
        let what = match &step.value {
            Step::Number(typed, None) => number(typed),
            Step::Number(typed, Some(spelling)) => {
                format!("{}[{}]", number(typed), spelling.value)
            }
            Step::Symbol(symbol) => symbol.to_string(),
            Step::Pi => "π".into(),
            Step::Negate => "neg".into(),
            Step::Binary(binary) => format!("{binary:?}"),
            // It has no word of its own.
            Step::Call(ast::Function::SlopeThroughOrigin, count) => format!("SlopeThroughOrigin({count})"),
            Step::Call(function, count) => format!("{}({count})", function.word()),
        };
        match step.span.of(source) {
            typed if typed == what => what,
            typed => format!("{what}‹{typed}›"),
        }
    };
    formula.steps.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// The formula of `~{y = inner}`.
fn formula_of(inner: &str) -> String {
    let text = format!("~{{y = {inner}}}");
    let parsed = parse(&place(&text, End::Closed, Setting::Text));
    match parsed.item {
        Some(Item::Result(derived)) => steps_of_formula(&derived.formula, &text),
        other => panic!("{inner}: {other:?} {:?}", parsed.faults),
    }
}

/// The clauses of `~{x = 1 cm; inner}`.
fn clauses_of(inner: &str) -> Vec<Clause> {
    match sound(&format!("x = 1 cm; {inner}")) {
        Item::Reading(reading) => reading.clauses.into_iter().map(|clause| clause.value).collect(),
        other => panic!("{inner}: {other:?}"),
    }
}
