//! Numbers, units and places in the words of a message: short, and as the author would type them.

use memchr::memchr3;

use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Dimension, Exact, Rounding, Unit, round};

/// The most characters of the report that a message repeats.
const LONGEST_QUOTE: usize = 40;

/// Where a message or a help line is cut, in characters.
const LONGEST_LINE: usize = 400;

/// Text of the report, in backticks, on one line and not too long.
pub(super) fn quoted(text: &str) -> String {
    let beginning: String = text.chars().take(4 * LONGEST_QUOTE).collect();
    let line = beginning.split_whitespace().collect::<Vec<_>>().join(" ");
    format!("`{}`", shortened(line, LONGEST_QUOTE))
}

/// A message or a help line: one line, and not endless whatever text of a report it repeats.
pub(super) fn line(text: String) -> String {
    let text = shortened(text, LONGEST_LINE);
    match memchr3(b'\n', b'\r', b'\t', text.as_bytes()) {
        Some(_) => text.replace(['\n', '\r', '\t'], " "),
        None => text,
    }
}

/// A text of at most so many characters and a sign that more followed.
pub(super) fn shortened(mut text: String, most: usize) -> String {
    // No character is shorter than a byte.
    let cut = (text.len() > most).then(|| text.char_indices().nth(most)).flatten();
    if let Some((end, _)) = cut {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// A number as the notation takes it: positional where that is short, else with a power of ten.
pub(super) fn decimal(number: Decimal) -> String {
    if number.is_zero() || (-7..=7).contains(&number.first_place()) && (-9..=2).contains(&number.last_place()) {
        return number.to_string();
    }
    let places = number.first_place() - number.last_place();
    format!("{}e{}", number.shifted(-number.first_place()), places + number.last_place())
}

/// An exact amount: all of it where it ends soon, else three figures.
pub(super) fn exact(amount: Exact) -> String {
    match amount.decimal().filter(|d| d.figures() <= 6) {
        Some(number) => decimal(number.trimmed()),
        None => number(amount.to_f64()),
    }
}

/// A computed number to three figures.
pub(super) fn number(x: f64) -> String {
    to_figures(x, 3)
}

/// A computed number to so many figures.
pub(super) fn to_figures(x: f64, figures: u32) -> String {
    match Decimal::of_f64(x) {
        Some(number) => decimal(round::to_figures(number, figures, Rounding::Nearest).trimmed()),
        None => x.to_string(),
    }
}

/// One step of a decimal place, as a number: `0.01`.
pub(super) fn step(place: i32) -> String {
    decimal(Decimal::step(place))
}

/// A number and its unit; the unit of pure numbers is not written.
pub(super) fn with_unit(number: &str, unit: &Unit) -> String {
    match spelling(&unit.shown) {
        unit if unit.is_empty() => number.to_string(),
        unit => format!("{number} {unit}"),
    }
}

/// A unit as the notation takes it: `m/s^2`, `J/(kg*K)`; empty of a pure number.
pub(super) fn spelling(unit: &Spelling) -> String {
    let write = |factors: &[(String, i32)]| {
        let each = factors.iter().map(|(symbol, power)| match power {
            1 => symbol.clone(),
            n => format!("{symbol}^{n}"),
        });
        each.collect::<Vec<_>>().join("*")
    };
    let over = if unit.over.is_empty() && !unit.under.is_empty() { "1".into() } else { write(&unit.over) };
    match unit.under.len() {
        0 => over,
        1 => format!("{over}/{}", write(&unit.under)),
        _ => format!("{over}/({})", write(&unit.under)),
    }
}

/// Something of a dimension: `a quantity in m/s`, `a pure number`.
pub(super) fn quantity_in(dimension: Dimension) -> String {
    if dimension.is_none() { measured_in(dimension) } else { format!("a quantity {}", measured_in(dimension)) }
}

/// The same of something in a unit.
pub(super) fn quantity_in_unit(unit: &Unit) -> String {
    if unit.dimension.is_none() { measured_in_unit(unit) } else { format!("a quantity {}", measured_in_unit(unit)) }
}

/// What something in a unit is: `in cm/s`, `a pure number`.
pub(super) fn measured_in_unit(unit: &Unit) -> String {
    match spelling(&unit.shown) {
        _ if unit.dimension.is_none() => measured_in(unit.dimension),
        typed => format!("in {typed}"),
    }
}

/// What something of a dimension is: `in m/s`, `a pure number`.
pub(super) fn measured_in(dimension: Dimension) -> String {
    if dimension.is_none() {
        return "a pure number".into();
    }
    let base = dimension.to_string();
    match spelling(&Unit::coherent(dimension).shown) {
        named if named.is_empty() || named == base => format!("in {base}"),
        named => format!("in {named}"),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn all_of(words: &[String]) -> String {
    joined(words, "and")
}

/// `a`, `a or b`, `a, b or c`.
pub(super) fn one_of(words: &[String]) -> String {
    joined(words, "or")
}

fn joined(words: &[String], last: &str) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_the_notation_takes_them() {
        let say = |text: &str| decimal(Decimal::read(text).unwrap());
        for (typed, said) in [
            ("14.30", "14.30"),
            ("0.0025", "0.0025"),
            ("1.602e-19", "1.602e-19"),
            ("9.11e-31", "9.11e-31"),
            ("1.50e3", "1500"),
            ("4e9", "4e9"),
            ("-3.00e12", "-3.00e12"),
        ] {
            assert_eq!(say(typed), said, "{typed}");
            assert_eq!(Decimal::read(said), Decimal::read(typed));
        }
        assert_eq!([step(-2), step(0), step(3), step(-31)], ["0.01", "1", "1e3", "1e-31"]);
        assert_eq!(number(0.041_666_666), "0.0417");
        assert_eq!(exact(Exact::new(1, 4, 0)), "0.25");
        assert_eq!(exact(Exact::new(1, 3, 0)), "0.333");
    }

    #[test]
    fn a_quote_is_one_short_line() {
        assert_eq!(quoted("12.4\n > cm"), "`12.4 > cm`");
        assert_eq!(quoted(&"9".repeat(1_000)).chars().count(), LONGEST_QUOTE + 3);
    }

    #[test]
    fn units_have_one_slash_and_lists_read_aloud() {
        let unit = Spelling { over: vec![("J".into(), 1)], under: vec![("kg".into(), 1), ("K".into(), 2)] };
        assert_eq!(spelling(&unit), "J/(kg*K^2)");
        assert_eq!(spelling(&Spelling { over: vec![], under: vec![("s".into(), 1)] }), "1/s");
        let words: Vec<String> = ["a", "b", "c"].map(String::from).into();
        assert_eq!([all_of(&words), one_of(&words[..2])], ["a, b and c", "a or b"]);
    }
}
