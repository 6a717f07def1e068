//! Habits from paper, calculators and other notations, where a formula or a mention goes on with what the notation
//! does not know: `d ÷ t`, `d**2`, `√d`, `sin 30`, `d/t = 5.4 cm/s`, `d vs t`.

use super::Certainty;
use super::likely::{Likely, before, rest};
use crate::locate::{Place, Setting};
use crate::parse;
use crate::parse::ast::Style;
use crate::quantity::Kind;
use crate::span::Span;

const OPERATOR: &str = "an operator";
const OPERAND: &str = "a symbol";

/// What was most likely meant by `found`.
pub(super) fn meant(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    if found == "and"
        && wanted.contains(&"`;`")
        && rest(span.end, place).trim_start().starts_with(|c: char| c.is_ascii_digit())
    {
        return Some(("part the values of a repeated reading by commas, as in `1.31, 1.29, 1.33 s`".into(), None));
    }
    if wanted.contains(&OPERATOR) {
        return behind_an_operand(span, wanted, found, place);
    }
    match *wanted.first()? {
        "a number" if wanted.contains(&OPERAND) => for_an_operand(span, found, place),
        "a number" if found == "=" => {
            Some(("take the `=` out: the figure follows `stated` at once".into(), nothing(span)))
        }
        "an amount" => for_an_amount(span, found, place),
        "the name of an instrument" if found == ":" => Some(("take the `:` out, as in `with rule`".into(), nothing(span))),
        "`=`" if wanted.len() == 1 => behind_a_name(span, found, place),
        "`;`" if wanted.contains(&"`=`") && found.starts_with(['"', '“', '„']) => {
            Some(("write the name before the unit, as in `x \"extension\" [cm]`".into(), None))
        }
        "`;`" => behind_an_instrument(span, found, place),
        "a symbol" if found == "{" => Some(("take the second `{` out: an item begins with `~{`".into(), nothing(span))),
        "a symbol" if found == "\\" => {
            Some(("write the name of a Greek letter without the backslash, as in `alpha`".into(), nothing(span)))
        }
        "a kind of uncertainty" => own_figure(span, found, place),
        "`(`" => of_a_function(span, place),
        "a unit" if found == "[" => bracketed_unit(span, place),
        "`=`" if wanted.contains(&"`against`") => behind_a_symbol(span, found, place),
        "`against`" => Some((
            "write `against` between the two, first what stands upright, as in `slope(y against x)` or `graph y against x`".into(),
            None,
        )),
        "`x`" => Some(("write which axis is meant: `log x` or `log y`".into(), None)),
        "`of`" => Some(("write whose budget it is, as in `budget of g`".into(), None)),
        _ => None,
    }
}

/// `v = d / t; 5.4 cm/s`.
fn own_figure(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let numeric = |text: &str| text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '−' | '('));
    let (_, recorded) = place.text.split(';').next()?.split_once('=')?;
    let help = "write `stated` before a figure of your own, as in `stated 5.4 cm/s`";
    let edit = (Span::at(span.start), "stated ".into(), Certainty::Suggestion);
    (numeric(found) && !numeric(recorded.trim_start())).then(|| (help.into(), Some(edit)))
}

const ABOUT: &str = "take it out: how sure the number is, its uncertainty says";

/// `ca`, `approx`.
fn is_about(text: &str) -> bool {
    matches!(text.rsplit(|c: char| !c.is_alphabetic()).next(), Some("ca" | "approx" | "circa" | "c"))
}

/// Does the name of a source, or of a clause, begin behind this place?
pub(super) fn begins_source(span: Span, place: &Place<'_>) -> bool {
    let behind = rest(span.end, place).trim_start();
    let word = behind.split(|c: char| !c.is_alphabetic()).next().unwrap_or("");
    Kind::known(word).is_some() || matches!(word, "with" | "exact") || behind.starts_with(['±', '"'])
}

/// `reading error 0.1 cm`, `reading half a division`, `using rule`.
fn for_an_amount(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let word = before(span, place)?.rsplit([' ', ';', '\n']).next()?;
    match found.trim_end_matches('.') {
        "half" | "quarter" | "tenth" | "one" => {
            Some(("write the share of a division and its size as numbers, as in `1/2 of 1 mm`".into(), None))
        }
        "ca" | "about" | "approx" => Some((ABOUT.into(), None)),
        "error" | "uncertainty" | "of" | "is" => Some((
            format!("take `{found}` out: the amount follows the kind at once, as in `reading 0.1 cm`"),
            nothing(span),
        )),
        _ if matches!(word, "using" | "by" | "from") => {
            Some((format!("write `with` and the instrument's word, as in `with {found}`"), None))
        }
        _ => None,
    }
}

/// `F "load" in N`, `F "load" (N)`, `F "load" / N` in a table's heading.
fn behind_a_name(span: Span, found: &str, place: &Place<'_>) -> Likely {
    if !matches!(place.setting, Setting::HeadingCell { .. }) || !matches!(found, "in" | "(" | "/") {
        return None;
    }
    let behind = rest(span.end, place);
    let typed = behind.split([';', '}', ')', '=']).next()?;
    let unit = typed.trim();
    parse::unit(unit).ok()?;
    let closing = usize::from(found == "(" && behind.get(typed.len()..)?.starts_with(')'));
    let whole = Span::new(span.start, span.end + typed.trim_end().len() + closing);
    Some((
        format!("write the unit of a column in square brackets: `[{unit}]`"),
        Some((whole, format!("[{unit}]"), Certainty::Suggestion)),
    ))
}

/// `with the rule`.
fn behind_an_instrument(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let before = before(span, place)?;
    let article = ["the", "a", "our", "my"].into_iter().find(|article| before.ends_with(&format!("with {article}")))?;
    let start = place.span.start + before.len() - article.len();
    let edit = (Span::new(start, span.start), String::new(), Certainty::Suggestion);
    Some((format!("take `{article}` out, as in `with {found}`"), Some(edit)))
}

/// A formula has come to its end, or an operator was meant.
fn behind_an_operand(span: Span, wanted: &[&'static str], found: &str, place: &Place<'_>) -> Likely {
    let slash = |certainty| Some((format!("write `/` for `{found}`"), Some((span, "/".into(), certainty))));
    match found {
        "in" if wanted.contains(&"`}`") => {
            let help = "take `in` and the unit out: the unit of a column stands in square brackets before the `=`";
            Some((help.into(), None))
        }
        "÷" => slash(Certainty::Certain),
        ":" if begins_source(span, place) => Some((
            "write `;` for the `:`, before each source of uncertainty".into(),
            Some((span, ";".into(), Certainty::Suggestion)),
        )),
        ":" => slash(Certainty::Suggestion),
        "." if is_about(before(span, place)?) => Some((ABOUT.into(), None)),
        "against" => {
            let help =
                "write `slope(y against x)` for the slope of a line; a comparison has no `=`, as in `~{a against b}`";
            Some((help.into(), None))
        }
        "[" if rest(span.end, place).starts_with(|c: char| c.is_ascii_digit()) => {
            Some(("write `row(x, 1)` for the first row of a column `x`".into(), None))
        }
        "[" => {
            let (unit, whole) = in_brackets(span, place)?;
            let help = format!("if this is the unit of the result, write `in {unit}`");
            Some((help, Some((whole, format!("in {unit}"), Certainty::Suggestion))))
        }
        "=" | "≈" => {
            let help = "write a figure of your own as a clause, as in `; stated 5.4 cm/s`, and leave it out if the program is to work it out";
            Some((help.into(), None))
        }
        _ if found.starts_with(['"', '“', '„']) => {
            Some(("write the name before the `=`, as in `v \"speed\" = d / t`".into(), None))
        }
        _ => None,
    }
}

/// A number, a symbol or a bracket has to follow.
fn for_an_operand(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let help = match found {
        "*" if before(span, place)?.ends_with('*') => {
            let both = Span::new(span.start.checked_sub(1)?, span.end);
            return Some(("write `^` for a power".into(), Some((both, "^".into(), Certainty::Certain))));
        }
        "=" => return Some(("take the second `=` out".into(), nothing(span))),
        "√" => "write `sqrt( )` about what the root is of, as in `sqrt(l / g)`",
        "∛" => "write `cbrt( )` about what the root is of, as in `cbrt(V)`",
        "|" | "\\|" => "write `abs( )` for the bars, as in `abs(a - b)`",
        "[" => "write the values of a repeated reading without brackets, as in `1.31, 1.29, 1.33 s`",
        "\\" | "{" => "write the formula as for a calculator: `/` for a fraction, `sqrt( )` for a root, round brackets",
        _ => return None,
    };
    Some((help.into(), None))
}

/// `sin 30`.
fn of_a_function(span: Span, place: &Place<'_>) -> Likely {
    let function =
        before(span, place)?.rsplit(|c: char| !c.is_ascii_alphanumeric()).next().filter(|name| !name.is_empty())?;
    let of = if matches!(function, "slope" | "intercept") { "y against x" } else { "x" };
    Some((format!("put what `{function}` is of in round brackets, as in `{function}({of})`"), None))
}

/// `in [cm/s]`.
fn bracketed_unit(span: Span, place: &Place<'_>) -> Likely {
    let (unit, whole) = in_brackets(span, place)?;
    Some((format!("write `{unit}` without brackets behind `in`"), Some((whole, unit.into(), Certainty::Suggestion))))
}

/// The unit between square brackets, the first of which is at `span`, and the place of all of it.
fn in_brackets<'p>(span: Span, place: &'p Place<'_>) -> Option<(&'p str, Span)> {
    let (unit, _) = rest(span.end, place).split_once(']')?;
    parse::unit(unit.trim()).ok()?;
    Some((unit.trim(), Span::new(span.start, span.end + unit.len() + "]".len())))
}

/// `d vs t`, `d short`, `plot d against t`.
fn behind_a_symbol(span: Span, found: &str, place: &Place<'_>) -> Likely {
    let word = |word: &str| Some((span, word.to_owned(), Certainty::Suggestion));
    match found {
        "," => {
            let help = "write an item for each quantity; a symbol has letters and digits only, with one `_` before a subscript";
            Some((help.into(), None))
        }
        _ if found.starts_with(|c: char| c.is_ascii_digit()) => {
            let symbol = before(span, place)?.strip_prefix("~{")?.trim();
            let gap = Span::new(place.span.start + before(span, place)?.len(), span.start);
            Some((
                format!("write `{symbol}_{found}` if this is part of the symbol"),
                Some((gap, "_".into(), Certainty::Suggestion)),
            ))
        }
        _ if found.starts_with(|c: char| ('\u{300}'..='\u{36F}').contains(&c)) => Some((
            "write the symbol without the mark above it: letters and digits, as in `x_m` for a mean".into(),
            None,
        )),
        _ if before(span, place)?.trim_start_matches("~{").trim() == "Δ" => {
            let gap = Span::new(place.span.start + before(span, place)?.len(), span.start);
            Some((format!("write `Δ{found}` without a blank"), Some((gap, String::new(), Certainty::Suggestion))))
        }
        "vs" | "versus" | "with" | "to" => Some(("write `against` between what is compared".into(), word("against"))),
        // A `name` is as likely one that lacks its quotes.
        _ if found != "name" && Style::ALL.iter().any(|&(_, style)| style == found) => Some((
            format!("write `as` before a style: `as {found}`"),
            Some((Span::at(span.start), "as ".into(), Certainty::Suggestion)),
        )),
        _ => {
            let first = before(span, place)?.strip_prefix("~{")?.trim();
            let draws = matches!(first, "plot" | "chart" | "diagram" | "draw" | "figure");
            (draws && rest(span.start, place).contains("against"))
                .then(|| (format!("write `graph` for `{first}`"), None))
        }
    }
}

fn nothing(span: Span) -> Option<(Span, String, Certainty)> {
    Some((span, String::new(), Certainty::Suggestion))
}
