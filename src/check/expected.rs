//! What was expected at the place where an item stops making sense, and what was most likely meant.

use super::Certainty;
use super::say;
use crate::locate::Place;
use crate::parse::{Fault, FaultKind};
use crate::quantity::Kind;
use crate::span::Span;

/// Message, help, and the change that puts it right where one is likely.
pub(super) type Words = (String, String, Option<(Span, String, Certainty)>);

const AMOUNT: &str = "an amount";
const REASON: &str = "a reason in quotes";
const NEXT_VALUE: &str = "the next value of the list";

/// Is this a word where the next value of a list was expected: a comma in place of the `;`?
pub(super) fn is_comma_for_semicolon(fault: &Fault) -> bool {
    matches!(&fault.kind, FaultKind::Expected { wanted, found } if wanted.contains(&NEXT_VALUE) && is_wordy(found))
}

/// Words for `found`, which stands at `span` where one of `wanted` was expected.
pub(super) fn words(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Words {
    let (message, help) = plain(wanted, found);
    let likely = (colon(span, wanted, found, place))
        .or_else(|| clause_without_semicolon(span, wanted, found, place))
        .or_else(|| kind_behind_with(span, found, place))
        .or_else(|| list_by_semicolons(wanted, found))
        .or_else(|| showing(wanted, found))
        .or_else(|| second_quote(wanted, found))
        .or_else(|| shape(span, wanted, found))
        .or_else(|| reason_without_quotes(span, wanted, found, place))
        .or_else(|| form(wanted).map(|help| (help, None)));
    match likely {
        Some((help, edit)) => (message, help, edit),
        None => (message, help, None),
    }
}

type Likely = Option<(String, Option<(Span, String, Certainty)>)>;

fn plain(wanted: &[&'static str], found: &str) -> (String, String) {
    let wanted: Vec<String> = wanted.iter().take(4).map(|&w| w.to_string()).collect();
    let (one_of, first) = (say::one_of(&wanted), wanted.first().map_or("what belongs here", String::as_str));
    if wanted.is_empty() {
        let message = "this part of the item ends in the middle, or goes on with what cannot be read";
        return (
            message.into(),
            "look for a letter or a sign in a number, and write the number and its unit apart".into(),
        );
    }
    if found.trim().is_empty() {
        return (format!("the item ends here, but {one_of} was expected"), format!("write {first} here"));
    }
    let message = format!("{} stands where {one_of} was expected", say::quoted(found));
    (message, format!("write {first} here"))
}

/// `reading: 0.1 cm`, `h: 14.3 cm`, `h := 14.3 cm`.
fn colon(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    let first = wanted.first()?;
    if *first == AMOUNT && matches!(found, ":" | "=") {
        let help = format!("take the `{found}` out: the amount follows the kind at once, as in `reading 0.1 cm`");
        return Some((help, Some((span, String::new(), Certainty::Certain))));
    }
    if *first != "`=`" || found != ":" {
        return None;
    }
    let doubled = rest(span.end, place).starts_with('=');
    let right = if doubled { "" } else { "=" };
    let help = "write only `=` between a symbol and what it stands for, as in `h = 14.3 cm`".into();
    let blank = if doubled || rest(span.start.saturating_sub(1), place).starts_with(' ') { "" } else { " " };
    Some((help, Some((span, format!("{blank}{right}"), Certainty::Certain))))
}

/// `5.0 cm reading 0.1 cm`, `5.0 cm, reading 0.1 cm`.
fn clause_without_semicolon(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    let begins = Kind::known(found).is_some() || matches!(found, "with" | "exact" | "stated" | "without");
    let comma = wanted.contains(&NEXT_VALUE) && is_wordy(found);
    if !(begins && wanted.contains(&"`;`") || comma) {
        return None;
    }
    let help = format!("write `;` before `{found}`: each source of uncertainty is a clause of its own");
    let before = place.text.get(..span.start.checked_sub(place.span.start)?)?;
    let kept = before.trim_end().trim_end_matches(',').len();
    let gap = Span::new(place.span.start + kept, span.start);
    Some((help, Some((gap, "; ".into(), Certainty::Suggestion))))
}

/// `with reaction 0.2 s`: a kind of uncertainty needs no `with`.
fn kind_behind_with(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let before = place.text.get(..span.start.checked_sub(place.span.start)?)?.trim_end();
    let kind = before.rsplit(' ').next().filter(|kind| Kind::known(kind).is_some())?;
    let with = before.strip_suffix(kind)?.trim_end().strip_suffix("with").filter(|_| is_numeric(found))?;
    let start = place.span.start + with.len();
    let help = format!("take `with` out: it brings in an instrument, and `{kind}` begins a clause by itself");
    Some((help, Some((Span::new(start, start + "with ".len()), String::new(), Certainty::Suggestion))))
}

/// `1.31; 1.29; 1.33 s`.
fn list_by_semicolons(wanted: &[&'static str], found: &str) -> Likely {
    let list = wanted.first() == Some(&"a kind of uncertainty") && is_numeric(found);
    let help = "if this is a repeated reading, part its values by commas, as in `1.31, 1.29 s`; \
                if it is an uncertainty, write first where the doubt comes from, as in `reading 0.1 cm`";
    list.then(|| (help.into(), None))
}

fn is_numeric(found: &str) -> bool {
    found.starts_with(|c: char| c.is_ascii_digit())
}

/// `14.3 cm as full`: a reading has no style.
fn showing(wanted: &[&'static str], found: &str) -> Likely {
    let help =
        "take it out: a reading is shown as it was recorded; show it otherwise with an item such as `~{h as short}`";
    (wanted.contains(&REASON) && matches!(found, "as" | "in")).then(|| (help.into(), None))
}

/// `with rule "wooden"`, `reading 0.1 cm "edge" "round"`.
fn second_quote(wanted: &[&'static str], found: &str) -> Likely {
    let quote = found.starts_with(['"', '“', '„']) && wanted.contains(&"`;`") && !wanted.contains(&REASON);
    let help = "take these words out: a clause has one reason, in one pair of quotes, and an instrument needs none";
    quote.then(|| (help.into(), None))
}

/// `rectangula`.
fn shape(span: Span, wanted: &[&'static str], found: &str) -> Likely {
    const SHAPES: [&str; 7] = ["normal", "rectangular", "triangular", "arcsine", "trapezoidal", "level", "dof"];
    let meant = crate::quantity::nearest(found, SHAPES).filter(|_| wanted.contains(&"a shape"))?;
    Some((format!("write `{meant}` if that is the shape meant"), Some((span, meant.into(), Certainty::Suggestion))))
}

/// Words where a reason could stand are most likely the reason.
fn reason_without_quotes(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if !wanted.contains(&REASON) || !is_wordy(found) {
        return None;
    }
    let prose = rest(span.start, place).split([';', '}', '"', '\n', '\r']).next().unwrap_or("").trim_end();
    let edit = (Span::new(span.start, span.start + prose.len()), format!("\"{prose}\""), Certainty::Suggestion);
    Some((format!("if this is the reason, put quotes about it: `\"{prose}\"`"), Some(edit)))
}

/// How what is wanted looks.
fn form(wanted: &[&'static str]) -> Option<String> {
    let help = match *wanted.first()? {
        AMOUNT => "write how much, as in `0.1 cm` or `1/4 of 1 mm`",
        "a kind of uncertainty" => {
            "write first where the doubt comes from, as in `reading 0.1 cm`, `definition 1 mm` or `instrument 0.2 g`"
        }
        "the name of an instrument" => "write the word that the course has for the instrument, as in `with rule`",
        "the unit of the uncertainty" => "write the unit behind the uncertainty, as in `± 0.1 cm`",
        "a number" if wanted.contains(&"a symbol") => {
            "write what the formula goes on with: a number, a symbol or a bracket"
        }
        _ => return None,
    };
    Some(help.into())
}

/// The text of an item from a byte of the report on.
fn rest<'p>(from: usize, place: &'p Place<'_>) -> &'p str {
    from.checked_sub(place.span.start).and_then(|from| place.text.get(from..)).unwrap_or("")
}

/// Two letters or more.
fn is_wordy(found: &str) -> bool {
    found.chars().filter(|c| c.is_alphabetic()).nth(1).is_some()
}
