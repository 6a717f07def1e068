//! `syntax`: an item that cannot be read as it is written.

use crate::check::desk::Desk;
use crate::check::expected;
use crate::check::habits;
use crate::check::say;
use crate::check::times;
use crate::check::{Certainty, Finding, NOTATION, Page, Rule, Severity};
use crate::locate::{Place, Setting};
use crate::parse::{self, Fault, FaultKind};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "syntax",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at the very place where an item stops making sense, and says what was expected there.",
        why: "What cannot be read is not computed: the item stays in the page as it was typed.",
        wrong: "The rod is ~{d = 12.42 mm; reading 0.02 mm both jaws seated} thick.\n",
        right: "The rod is ~{d = 12.42 mm; reading 0.02 mm \"both jaws seated\"} thick.\n",
        edit: Some(
            "Writes the form that the notation wants, where only one thing can have been meant; puts quotes about words that may be a reason, as a suggestion.",
        ),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // Where the last heading of a column ends that stands in no table: its row is told once.
    let mut told = None;
    for (place, parsed) in desk.context.document.places.iter().zip(desk.context.items) {
        if parsed.faults.is_empty() {
            continue;
        }
        for (number, fault) in parsed.faults.iter().enumerate() {
            let next = parsed.faults.get(number + 1);
            // `5.0 cm, reading 0.1 cm`: the comma is the slip, not the unit before it.
            // So it is with `5.0 cm: reading 0.1 cm` and its colon.
            let comma = || fault.kind == FaultKind::UnitInList && next.is_some_and(expected::is_comma_for_semicolon);
            let colon = || {
                matches!(fault.kind, FaultKind::BareUnit { .. }) && next.is_some_and(|next| is_colon(desk, next, place))
            };
            let bracket = || next.is_some_and(|next| is_bracketed_uncertainty(next, place));
            if !comma() && !colon() && !bracket() {
                if heading_without_dashes(desk, fault, place).is_some() {
                    let gap = told.replace(place.span.end).map(|end| desk.text(Span::new(end, place.span.start)));
                    if gap.is_some_and(|gap| !gap.contains('\n')) {
                        continue;
                    }
                }
                let better = letter_for_times(desk, fault, place)
                    .or_else(|| exponent_without_caret(desk, fault, place))
                    .or_else(|| product_meant(desk, fault))
                    .or_else(|| unit_without_in(desk, fault, place))
                    .or_else(|| range_recorded(fault, place))
                    .or_else(|| heading_without_dashes(desk, fault, place))
                    .or_else(|| bracketed_uncertainty(fault, place));
                found.extend(better.or_else(|| worded(fault, place, desk.text(fault.span).trim())));
            }
        }
    }
}

/// `2 s / t` in a report that has a quantity `s`.
fn product_meant(desk: &Desk<'_>, fault: &Fault) -> Option<Finding> {
    let FaultKind::BareUnit { right } = &fault.kind else { return None };
    let (number, unit) = right.strip_suffix(']')?.split_once('[')?;
    desk.context.sheet.find(&parse::symbol(unit).ok()?)?;
    let message = format!("`{number}` and `{unit}` stand side by side, which is never a product here");
    let product = format!("{number} * {unit}");
    let help = format!("write `{product}` if the quantity `{unit}` is meant, `{right}` if it is the unit");
    Some(RULE.at(fault.span, message, help).suggest(fault.span, product))
}

/// `5.0 cm: reading 0.1 cm`: a colon in place of the `;`.
fn is_colon(desk: &Desk<'_>, fault: &Fault, place: &Place<'_>) -> bool {
    desk.text(fault.span) == ":" && habits::begins_source(fault.span, place)
}

/// So far, in bytes, a heading is looked back through to the beginning of its row.
const WIDEST_ROW: usize = 2_000;

/// The heading of a table that Markdown does not take for one.
fn heading_without_dashes(desk: &Desk<'_>, fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    if fault.kind != FaultKind::ColumnOutsideHeading || place.setting != Setting::Text {
        return None;
    }
    // Bytes, since the reach may end within a character.
    let reach = place.span.start.saturating_sub(WIDEST_ROW);
    let before = desk.context.document.source.as_bytes().get(reach..place.span.start)?;
    let line = before.rsplit(|&byte| byte == b'\n').next()?;
    let first = line.iter().find(|byte| !b"> \t".contains(byte));
    let message = "this is the heading of a column, but Markdown sees no table here";
    (first == Some(&b'|')).then(|| {
        RULE.at(fault.span, message, "write a row of dashes beneath the heading, as in `|---|---|`, with as many cells")
    })
}

/// `12.4 cm (± 0.1 cm)`.
fn is_bracketed_uncertainty(fault: &Fault, place: &Place<'_>) -> bool {
    let behind = fault.span.start.checked_sub(place.span.start).and_then(|from| place.text.get(from..));
    let within = behind.and_then(|behind| behind.strip_prefix('(')).map(str::trim_start);
    fault.kind == FaultKind::SideBySide && within.is_some_and(|within| within.starts_with(['±', '+']))
}

fn bracketed_uncertainty(fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    let help =
        "take the brackets out, as in `12.4 cm ± 0.1 cm`, or put them about both numbers, as in `(12.4 ± 0.1) cm`";
    is_bracketed_uncertainty(fault, place)
        .then(|| RULE.at(fault.span, "brackets about an uncertainty alone part it from its value", help))
}

/// `12.4 to 12.6 cm`, `12.4 - 12.6 cm`: two numbers where one is recorded.
fn range_recorded(fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    if !matches!(fault.kind, FaultKind::SideBySide | FaultKind::BareUnit { .. } | FaultKind::Expected { .. }) {
        return None;
    }
    let (before, recorded) = place.text.split(';').next()?.split_once('=')?;
    let recorded = recorded.trim_end_matches('}').trim_end();
    let number = |text: &str| text.trim().split(' ').next().is_some_and(|first| first.parse::<f64>().is_ok());
    let parted = |sign: &str| {
        recorded.split_once(sign).is_some_and(|(low, high)| low.trim().parse::<f64>().is_ok() && number(high))
    };
    if ![" to ", " - ", " – ", " … ", "–"].into_iter().any(parted) {
        return None;
    }
    let blanks = recorded.len() - recorded.trim_start().len();
    let start = place.span.start + before.len() + "=".len() + blanks;
    let span = Span::new(start, start + recorded.trim_start().len());
    let help = "write its middle, and half of its width as the uncertainty, as in `12.5 ± 0.1 cm \"swings to and fro\"`; a difference is worked out of two readings";
    Some(RULE.at(span, "this is a range, and one best estimate is recorded with its uncertainty", help))
}

/// `d / t cm/s`: the unit of a result without its `in`.
fn unit_without_in(desk: &Desk<'_>, fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    if !matches!(fault.kind, FaultKind::SideBySide)
        || desk.context.sheet.find(&parse::symbol(desk.text(fault.span)).ok()?).is_some()
    {
        return None;
    }
    let behind = place.text.get(fault.span.start.checked_sub(place.span.start)?..)?;
    let unit = behind.split([';', '}', '"']).next()?.trim_end();
    desk.unit(&parse::unit(unit).ok()?)?;
    let span = Span::new(fault.span.start, fault.span.start + unit.len());
    let message = format!("{} stands behind a formula, where it would be taken for a quantity", say::quoted(unit));
    let help = format!("if this is the unit of the result, write `in {unit}`");
    Some(RULE.at(span, message, help).suggest(Span::at(span.start), "in "))
}

/// `l x w`: the letter in place of the sign.
fn letter_for_times(desk: &Desk<'_>, fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    if !matches!(fault.kind, FaultKind::SideBySide | FaultKind::Expected { .. }) {
        return None;
    }
    let span = times::letter(desk, fault, place)?;
    let message = "this is the letter x, which could be the symbol of a quantity and is no sign of multiplication";
    Some(RULE.at(span, message, "write `×` or `*` for it").certain(span, "×"))
}

/// `5.0·10-7 m`: a power of ten whose exponent has lost its sign, so that it reads as a difference.
fn exponent_without_caret(desk: &Desk<'_>, fault: &Fault, place: &Place<'_>) -> Option<Finding> {
    if !matches!(fault.kind, FaultKind::BareUnit { .. }) {
        return None;
    }
    let before = desk.text(Span::new(place.span.start, fault.span.start));
    let base = before.strip_suffix(['-', '−', '+'])?;
    let factor = base.strip_suffix("10")?.trim_end().strip_suffix(['·', '×', '*'])?.trim_end();
    if !factor.ends_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let sign = place.span.start + base.len();
    let digits = desk.text(fault.span).split(|c: char| !c.is_ascii_digit()).next().unwrap_or("");
    let power = Span::new(sign - 2, fault.span.start + digits.len());
    let message = format!("{} reads as a difference, not as a power of ten", say::quoted(desk.text(power)));
    let help = format!("write `10^{}`", desk.text(Span::new(sign, power.end)));
    Some(RULE.at(power, message, help).suggest(Span::at(sign), "^"))
}

/// A fault in words; `None` where a rule of its own speaks of it. `there` is what stands at its place.
fn worded(fault: &Fault, place: &Place<'_>, there: &str) -> Option<Finding> {
    if let FaultKind::Expected { wanted, found } = &fault.kind {
        let (message, help, edit) = expected::words(fault.span, wanted, found, place);
        let finding = RULE.at(fault.span, message, help);
        return Some(match edit {
            Some((span, text, Certainty::Certain)) => finding.certain(span, text),
            Some((span, text, Certainty::Suggestion)) => finding.suggest(span, text),
            None => finding,
        });
    }
    let (message, help) = words(&fault.kind, there)?;
    let finding = RULE.at(fault.span, message, help);
    Some(match &fault.kind {
        FaultKind::BracedSubscript { right } | FaultKind::SubscriptCharacter { right } => {
            finding.certain(fault.span, right)
        }
        FaultKind::BareUnit { right } => finding.suggest(fault.span, right),
        FaultKind::UnknownFunction { nearest: Some(nearest), .. } => finding.suggest(fault.span, *nearest),
        FaultKind::Empty if there == ";" => finding.certain(fault.span, ""),
        _ => finding,
    })
}

/// What is there and why that cannot be read; what to write. `None` where `expected` or a rule of its own
/// words it.
fn words(kind: &FaultKind, there: &str) -> Option<(String, String)> {
    let there = say::quoted(there);
    match kind {
        FaultKind::FractionAsEstimate
        | FaultKind::SumAsEstimate
        | FaultKind::ClockTime
        | FaultKind::TwoSided
        | FaultKind::UnitInList
        | FaultKind::UncertaintyInList
        | FaultKind::NumberTooLong => of_an_estimate(kind, &there),
        FaultKind::Empty | FaultKind::OpenQuote | FaultKind::LoneBracket | FaultKind::TooDeep { .. } => {
            of_an_enclosure(kind, &there)
        }
        FaultKind::SideBySide
        | FaultKind::BareUnit { .. }
        | FaultKind::Arguments { .. }
        | FaultKind::InterceptOfOrigin
        | FaultKind::UnknownFunction { .. } => of_a_formula(kind, &there),
        FaultKind::NoSymbol
        | FaultKind::ReservedWord { .. }
        | FaultKind::BracedSubscript { .. }
        | FaultKind::SubscriptCharacter { .. } => of_a_symbol(kind, &there),
        FaultKind::ClauseOutOfPlace { .. } | FaultKind::ColumnOutsideHeading | FaultKind::StyleTakesNoUnit => {
            out_of_place(kind)
        }
        FaultKind::Expected { .. }
        | FaultKind::DecimalComma { .. }
        | FaultKind::ThousandsSeparator { .. }
        | FaultKind::BlankProduct { .. }
        | FaultKind::TwoSlashes { .. }
        | FaultKind::UnitWriting { .. }
        | FaultKind::OpenDenominator { .. }
        | FaultKind::InchAsKeyword
        | FaultKind::NoBlankBeforeUnit => None,
    }
}

fn of_a_formula(kind: &FaultKind, there: &str) -> Option<(String, String)> {
    Some(match kind {
        FaultKind::SideBySide if there == "`k`" => (
            "`k` is no unit, only the prefix of one".into(),
            "write `K` for the kelvin, or the unit that the prefix belongs to, as in `km`".into(),
        ),
        FaultKind::SideBySide => (
            format!("{there} stands side by side with what is before it, and that is never a product here"),
            "write the sign between them: `a * b`, `a · b` or `a × b`".into(),
        ),
        FaultKind::BareUnit { right } => (
            format!("{there} has a bare unit inside a formula, where it would be taken for a quantity"),
            format!("write `{right}`: in a formula a unit stands in square brackets"),
        ),
        FaultKind::Arguments { function, takes, given } => {
            let stand = if *given == 1 { "stands" } else { "stand" };
            (format!("`{function}` takes {takes}, but {given} {stand} here"), format!("give `{function}` {takes}"))
        }
        FaultKind::InterceptOfOrigin => (
            "a line through 0 has the intercept 0, so there is nothing to work out".into(),
            "take out `through 0`, and look whether the intercept of the free line agrees with 0".into(),
        ),
        FaultKind::UnknownFunction { word, nearest } => (
            format!("`{word}` is not a function known here, so nothing can be worked out with it"),
            match nearest {
                Some(nearest) => format!("write `{nearest}`"),
                None => format!("write one of the notation's functions, or `{word} * ( )` if a product is meant"),
            },
        ),
        _ => return None,
    })
}

fn of_a_symbol(kind: &FaultKind, there: &str) -> Option<(String, String)> {
    Some(match kind {
        FaultKind::NoSymbol if is_number(there) && !there.contains('=') => (
            "this item records a number without a symbol, so nothing can refer to it".into(),
            "write a symbol and `=` before it, as in `~{m = 3.45 kg; …}`".into(),
        ),
        FaultKind::NoSymbol if there.contains('=') => (
            "what stands before the `=` is no symbol of a quantity".into(),
            "write letters and digits, beginning with a letter, and one `_` before a subscript, as in `d_1`".into(),
        ),
        FaultKind::NoSymbol => (
            "this formula gives its result no symbol, so nothing can refer to it".into(),
            "write a symbol and `=` before it, as in `~{v = d / t}`".into(),
        ),
        FaultKind::ReservedWord { word } => (
            format!("`{word}` is a word of the notation, so it cannot be the symbol of a quantity"),
            format!("choose another symbol, such as `{word}_1`"),
        ),
        FaultKind::BracedSubscript { right } => (
            format!("{there} has braces about its subscript, and a brace would end the item"),
            format!("write `{right}`"),
        ),
        FaultKind::SubscriptCharacter { right } => {
            (format!("{there} has a lowered character, which no keyboard can type again"), format!("write `{right}`"))
        }
        _ => return None,
    })
}

/// Does a quoted text begin as a recorded number does, with nothing of a formula in it?
fn is_number(quoted: &str) -> bool {
    let text = quoted.trim_matches('`');
    text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '−')) && !text.contains(['*', '+', '^', '('])
}

/// What is whole in itself and stands where it does not belong.
fn out_of_place(kind: &FaultKind) -> Option<(String, String)> {
    Some(match kind {
        FaultKind::ClauseOutOfPlace { clause, belongs: "a reading" } => (
            format!("`{clause}` stands in an item that records nothing, so there is no reading that it could belong to"),
            "take it out here, and write it where the reading is recorded: what a formula gives has its uncertainty from there".into(),
        ),
        FaultKind::ClauseOutOfPlace { clause, belongs: "a result" } => (
            format!("`{clause}` gives an author's own figure of a result, but nothing is worked out here"),
            "take it out, or write the number as the recorded one".into(),
        ),
        FaultKind::ClauseOutOfPlace { clause, belongs } if clause == "repeat" => (
            format!("`{clause}` does not belong to an item of this form"),
            format!("take it out here; it belongs to {belongs}; a scatter that is known from elsewhere is `±` and its amount, or a kind of the course's own"),
        ),
        FaultKind::ClauseOutOfPlace { clause, belongs } => (
            format!("`{clause}` does not belong to an item of this form"),
            format!("take it out here; it belongs to {belongs}"),
        ),
        FaultKind::ColumnOutsideHeading => (
            "this is the heading of a column, but it does not stand in the heading row of a table".into(),
            "move it into the table's first row; outside a table write the unit behind the value, or behind a formula and `in`".into(),
        ),
        FaultKind::StyleTakesNoUnit => (
            "this style shows no unit, so an `in` before it has nothing to do".into(),
            "take out `in` and the unit behind it, or choose another style".into(),
        ),
        _ => return None,
    })
}

/// Forms of a recorded number that cannot be taken.
fn of_an_estimate(kind: &FaultKind, there: &str) -> Option<(String, String)> {
    let (message, help) = match kind {
        FaultKind::FractionAsEstimate => (
            format!("{there} is a fraction, and what was read off an instrument is a decimal number with its digits"),
            "write the number as it was read, as in `0.50 m`",
        ),
        FaultKind::SumAsEstimate => (
            format!("{there} adds two numbers where one number with one unit was recorded"),
            "write it in one unit, as in `123 min` for two hours and three minutes",
        ),
        FaultKind::ClockTime => (
            format!("{there} is a time of day, and a formula can only use the time that has passed"),
            "write what passed since a start, in one unit, as in `271 s`",
        ),
        FaultKind::TwoSided => (
            format!("{there} has a different uncertainty on each side, and those cannot be added up honestly"),
            "write the larger of the two behind one `±`, and give the reason in quotes",
        ),
        FaultKind::UnitInList => (
            format!("{there} is a unit inside a list, whose values share one unit"),
            "write the unit once, behind the last value: `1.32, 1.28, 1.35 s`",
        ),
        FaultKind::UncertaintyInList => (
            format!("{there} is an uncertainty inside a list, whose values share their sources"),
            "write the sources once, in clauses behind the list: `1.32, 1.28 s; reaction 0.20 s \"by hand\"`",
        ),
        FaultKind::NumberTooLong => (
            "this number has more digits, or a larger power of ten, than any measurement".into(),
            "write the digits that were read, and a power of ten as in `1.602e-19`",
        ),
        _ => return None,
    };
    Some((message, help.into()))
}

/// Quotes, brackets and empty places.
fn of_an_enclosure(kind: &FaultKind, there: &str) -> Option<(String, String)> {
    Some(match kind {
        FaultKind::Empty => (
            "nothing stands here, neither a quantity nor a clause".into(),
            "write what belongs here, or take out the empty item or the `;`".into(),
        ),
        FaultKind::OpenQuote => (
            "this quote is never closed, so all that follows it is taken for prose".into(),
            match there.trim_matches('`') {
                "“" => "write `”` where the prose ends: each opener has its own closer".into(),
                "„" => "write `“` where the prose ends: each opener has its own closer".into(),
                _ => "write `\"` where the prose ends".into(),
            },
        ),
        FaultKind::LoneBracket => (
            "this bracket has no partner, so what belongs together is not clear".into(),
            "write the missing bracket, or take this one out".into(),
        ),
        FaultKind::TooDeep { most } => (
            format!("more than {most} brackets stand inside one another here"),
            "give an inner part a symbol and an item of its own, and use that symbol here".into(),
        ),
        _ => return None,
    })
}
