//! What was expected at the place where an item stops making sense, and what was most likely meant.

use super::Certainty;
use super::habits;
use super::likely::{Likely, before, rest};
use super::say;
use super::shapes;
use crate::locate::Place;
use crate::parse::{Fault, FaultKind};
use crate::quantity::{Kind, half_width};
use crate::span::Span;

/// Message, help, and the change that puts it right where one is likely.
pub(super) type Words = (String, String, Option<(Span, String, Certainty)>);

const UNIT_OF_UNCERTAINTY: &str = "the unit of the uncertainty";
const AMOUNT: &str = "an amount";
const REASON: &str = "a reason in quotes";
const NEXT_VALUE: &str = "the next value of the list";

/// Is this a word where the next value of a list was expected: a comma in place of the `;`?
pub(super) fn is_comma_for_semicolon(fault: &Fault) -> bool {
    let FaultKind::Expected { wanted, found } = &fault.kind else { return false };
    wanted.contains(&NEXT_VALUE) && begins_clause(found)
}

/// Words, or a `±`: no value of a list begins like that.
fn begins_clause(found: &str) -> bool {
    is_wordy(found) || found.starts_with('±') || found.starts_with("+-") || found.starts_with("+/")
}

/// Words for `found`, which stands at `span` where one of `wanted` was expected.
pub(super) fn words(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Words {
    let (message, help) = plain(wanted, found);
    let likely = full_width(span, found)
        .or_else(|| amount_of_none(span, found, place))
        .or_else(|| open_bracket(span, wanted, found, place))
        .or_else(|| habits::meant(span, wanted, found, place))
        .or_else(|| product(span, wanted, found, place))
        .or_else(|| power_of_ten(span, wanted, found, place))
        .or_else(|| style(wanted, found))
        .or_else(|| late_quote(span, place))
        .or_else(|| name_out_of_place(wanted, found))
        .or_else(|| stranger(wanted, found))
        .or_else(|| comma_between_clauses(span, wanted, found))
        .or_else(|| reason_first(wanted, found))
        .or_else(|| missing_symbol(wanted, found))
        .or_else(|| name_without_quotes(span, wanted, place))
        .or_else(|| colon(span, wanted, found, place))
        .or_else(|| clause_without_semicolon(span, wanted, found, place))
        .or_else(|| kind_behind_with(span, found, place))
        .or_else(|| list_by_semicolons(wanted, found))
        .or_else(|| showing(wanted, found))
        .or_else(|| second_quote(wanted, found))
        .or_else(|| shapes::meant(span, wanted, found, place))
        .or_else(|| reason_without_quotes(span, wanted, found, place))
        .or_else(|| form(wanted).map(|help| (help, None)));
    match likely {
        Some((help, edit)) => (message, help, edit),
        None => (message, help, None),
    }
}

/// `８０.0`: the wide characters of East Asian keyboards.
fn full_width(span: Span, found: &str) -> Likely {
    let right: String = found.chars().map(|c| half_width(c).unwrap_or(c)).collect();
    let help = format!("write `{right}`, in the narrow characters of the notation");
    if right == found {
        return None;
    }
    Some((help, Some((span, right, Certainty::Certain))))
}

/// `counting 12`, `repeat 0.03 s`: kinds whose amount is worked out.
fn amount_of_none(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let kind = before(span, place)?.rsplit([' ', ';', '\t', '\n']).next()?;
    let from = match kind {
        "counting" => "the square root of the count",
        "repeat" => "the scatter of the readings",
        _ => return None,
    };
    let help = format!("take the amount out: `{kind}` has none of its own, {from} is worked out for you");
    is_numeric(found).then_some((help, None))
}

/// `(l - l_0 in cm`.
fn open_bracket(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if !wanted.contains(&"`)`") || !matches!(found, "in" | "as") {
        return None;
    }
    let end = place.span.start + before(span, place)?.len();
    let help = format!("write `)` where the bracket ends, at the latest before `{found}`");
    Some((help, Some((Span::at(end), ")".into(), Certainty::Suggestion))))
}

/// `2 pi`, `2 sqrt(x)`: a product without its sign.
fn product(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if wanted.first() != Some(&"an operator") || !found.starts_with(|c: char| c.is_ascii_alphabetic()) {
        return None;
    }
    let factor = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.');
    let left = before(span, place)?;
    let left = left.get(left.trim_end_matches(factor).len()..).filter(|left| !left.is_empty()).unwrap_or("…");
    let help =
        format!("write the sign between the two, as in `{left} * {found}`: side by side is never a product here");
    Some((help, Some((Span::at(span.start), "* ".into(), Certainty::Suggestion))))
}

/// `1.5 10^-3`.
fn power_of_ten(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if !wanted.contains(&"a comma and a blank before the next value") || found != "10" {
        return None;
    }
    let rest = rest(span.start, place);
    let power = rest.split([' ', ';', '}']).next().filter(|power| power.starts_with("10^"))?;
    let number = before(span, place)?.rsplit([' ', '=', '(']).next()?;
    let help = format!("write the sign between them: `{number} × {power}`");
    Some((help, Some((Span::at(span.start), "× ".into(), Certainty::Suggestion))))
}

/// `as percent`.
fn style(wanted: &[&'static str], found: &str) -> Likely {
    const ALL: [&str; 9] =
        ["`plain`", "`full`", "`short`", "`value`", "`uncertainty`", "`relative`", "`interval`", "`name`", "`working`"];
    if !ALL.iter().all(|style| wanted.contains(style)) {
        return None;
    }
    let near = wanted.first()?.trim_matches('`');
    if crate::quantity::nearest(found, [near]).is_some() {
        return None;
    }
    let all: Vec<String> = ALL.iter().map(|style| (*style).to_owned()).collect();
    let percent = if matches!(found, "percent" | "%" | "per") { "`relative` for a percentage, or else " } else { "" };
    Some((format!("write {percent}{}", say::one_of(&all)), None))
}

/// `"sheet; reading 0.1 g "half"`, `"mass = 84 g; instrument 1 g "sheet"`: a quote that only the next one closes.
fn late_quote(span: Span, place: &Place<'_>) -> Likely {
    let before = before(span, place)?.strip_suffix('"')?;
    let prose = before.rsplit('"').next().filter(|prose| prose.contains(';'))?;
    let first = prose.split([' ', ';']).next().filter(|first| !first.is_empty())?;
    let help =
        format!("write `\"` where the prose ends that begins with `\"{first}`: the next quote closes it only here");
    Some((help, None))
}

/// `g "gravity" "again" = …`, `g "gravity" against …`: a name that has no place.
fn name_out_of_place(wanted: &[&'static str], found: &str) -> Likely {
    if wanted != ["`=`"] {
        return None;
    }
    let help = match found {
        "against" | "in" | "as" => "take the words in quotes out: a name is given once, where the quantity is defined",
        _ if found.starts_with(['"', '“', '„']) => "take one of the two names out: a quantity has one",
        _ => return None,
    };
    Some((help.into(), None))
}

/// `5 €`: a sign that is neither an operator nor a unit.
fn stranger(wanted: &[&'static str], found: &str) -> Likely {
    let mut characters = found.chars();
    let one = characters.next().filter(|c| !c.is_ascii() && !c.is_alphanumeric())?;
    let alone = characters.next().is_none() && wanted.first() == Some(&"an operator");
    let help = format!("take `{one}` out: it is no unit known here, and a number that was only counted needs none");
    alone.then_some((help, None))
}

/// `reading 0.1 cm, definition 1 mm`.
fn comma_between_clauses(span: Span, wanted: &[&'static str], found: &str) -> Likely {
    let help = match wanted {
        ["`;`", "`}`"] => "write `;` for the comma: each option is a clause of its own",
        _ => "write `;` for the comma: each source of uncertainty is a clause of its own",
    };
    let comma = found == "," && wanted.first() == Some(&"`;`");
    comma.then(|| (help.into(), Some((span, ";".into(), Certainty::Suggestion))))
}

/// `reading "edge" 0.1 cm`.
fn reason_first(wanted: &[&'static str], found: &str) -> Likely {
    let help = "write the amount before the reason, as in `reading 0.1 cm \"uneven rim\"`";
    (wanted.first() == Some(&AMOUNT) && found.starts_with(['"', '“', '„'])).then(|| (help.into(), None))
}

/// `= 14.3 cm`, `"height" = 14.3 cm`.
fn missing_symbol(wanted: &[&'static str], found: &str) -> Likely {
    let help = match found {
        _ if wanted.first() != Some(&"a symbol") => return None,
        "=" => "write before the `=` what the quantity is called, as in `h = 14.3 cm`",
        _ if found.starts_with(['"', '“', '„']) => "write a symbol before the name, as in `h \"height\" = 14.3 cm`",
        _ => return None,
    };
    Some((help.into(), None))
}

/// `h height = 14.3 cm`, `height of the pot = 14.3 cm`.
fn name_without_quotes(span: Span, wanted: &[&'static str], place: &Place<'_>) -> Likely {
    if !wanted.contains(&"a name in quotes") {
        return None;
    }
    let typed = rest(span.start, place).split_once('=')?.0.trim_end();
    let name = typed.trim_matches(ABOUT_PROSE).trim();
    if !is_wordy(name) || name.contains([';', '"']) {
        return None;
    }
    let symbol = before(span, place)?.rsplit(['{', ' ', '\n']).next()?;
    if let Some(initial) =
        symbol.chars().next().filter(|_| symbol.chars().filter(|c| c.is_alphabetic()).nth(3).is_some())
    {
        let help = format!(
            "write a short symbol, and the words in quotes behind it, as in `{initial} \"{symbol} {name}\" = …`"
        );
        return Some((help, None));
    }
    let edit = (Span::new(span.start, span.start + typed.len()), format!("\"{name}\""), Certainty::Suggestion);
    Some((format!("if this is the name, put double quotes about it: `\"{name}\"`"), Some(edit)))
}

/// What is written about prose in place of the notation's quotes, or before it.
const ABOUT_PROSE: &[char] = &['\'', '‘', '’', '«', '»', '‹', '›', '(', ')', '"', ':'];

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
    if wanted.first().map(String::as_str) == Some(UNIT_OF_UNCERTAINTY) {
        return ("this uncertainty has no unit, but the value before it has one".into(), String::new());
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
    let comma = wanted.contains(&NEXT_VALUE) && begins_clause(found);
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

/// Words where a reason could stand are most likely the reason, with other signs about them or none.
fn reason_without_quotes(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if !wanted.contains(&REASON) || !is_wordy(found) && !found.starts_with(ABOUT_PROSE) {
        return None;
    }
    let typed = rest(span.start, place);
    let typed =
        typed.get(..typed.find([';', '}', '"', '\n', '\r']).map_or(typed.len(), |end| closed(typed, end)))?.trim_end();
    let prose = typed.trim_matches(ABOUT_PROSE).trim();
    if !is_wordy(prose) {
        return None;
    }
    let edit = (Span::new(span.start, span.start + typed.len()), format!("\"{prose}\""), Certainty::Suggestion);
    Some((format!("if this is the reason, put double quotes about it: `\"{prose}\"`"), Some(edit)))
}

/// Where words end that stand before the byte `end`: behind the quote there, which lacks its opener.
fn closed(typed: &str, end: usize) -> usize {
    let quote =
        typed.get(end..).is_some_and(|rest| rest.starts_with('"') && !rest.get(1..).unwrap_or("").contains('"'));
    end + usize::from(quote)
}

/// How what is wanted looks.
fn form(wanted: &[&'static str]) -> Option<String> {
    let help = match *wanted.first()? {
        AMOUNT => "write how much, as in `0.1 cm` or `1/4 of 1 mm`",
        "a kind of uncertainty" => {
            "write first where the doubt comes from, as in `reading 0.1 cm`, `definition 1 mm` or `instrument 0.2 g`"
        }
        "the name of an instrument" => "write the word that the course has for the instrument, as in `with rule`",
        UNIT_OF_UNCERTAINTY => "write the unit behind the uncertainty, as in `± 0.1 cm`",
        "a coverage factor above 0" => "write the factor behind `k`, as in `k 2`",
        "a level between 0 % and 100 %" => "write the level behind the word, as in `level 95 %`",
        "degrees of freedom above 0" => "write how many there are behind the word, as in `dof 18`",
        "a number from 0 to 1" => {
            "write the width of the top as a share of the bottom's behind the word, as in `trapezoidal 0.5`"
        }
        "a number" if wanted.contains(&"a symbol") => {
            "write what the formula goes on with: a number, a symbol or a bracket"
        }
        _ => return None,
    };
    Some(help.into())
}

/// Two letters or more.
fn is_wordy(found: &str) -> bool {
    found.chars().filter(|c| c.is_alphabetic()).nth(1).is_some()
}
