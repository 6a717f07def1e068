//! Mathematics as MathML Core. What comes from an author is escaped, so that neither HTML nor
//! Markdown reads any of it.

use std::fmt::Write;

use super::figure;
use super::piece::{Math, Sign};
use super::plain::{clings, function_name};
use crate::parse::ast::{Function, Symbol};
use crate::quantity::unit::Spelling;

/// A whole `<math>` element. Fractions are set as large as in a line of their own: a report is read for
/// its numbers, and small ones on paper cannot be.
pub(super) fn write(math: &Math<'_>, out: &mut String) {
    out.push_str(if math.has_fraction() { "<math displaystyle=\"true\">" } else { "<math>" });
    within(math, out);
    out.push_str("</math>");
}

/// What stands alone in an element that lays out its contents as a row (MathML Core, 2.3.1 and 3.3.3, from memory).
fn within(math: &Math, out: &mut String) {
    match math {
        Math::Row(parts) => parts.iter().for_each(|part| put(part, out)),
        other => put(other, out),
    }
}

fn put(math: &Math, out: &mut String) {
    match math {
        Math::Row(parts) => row(parts, out),
        Math::Digits(number, sign) => wrap(MN, out, |out| figure::digits(*number, *sign, out)),
        Math::Word(word) => element(MTEXT, &word.replace(' ', "\u{A0}"), out),
        Math::Symbol(name) => symbol(name, out),
        Math::Pi => element(MI, "π", out),
        Math::Sign(sign) => self::sign(*sign, out),
        Math::Unit(spelling) => unit(spelling, out),
        Math::BareUnit(spelling) => bare_unit(spelling, out),
        Math::Fraction(above, below) => pair(MFRAC, above, below, out),
        Math::Raised(base, exponent) => pair(MSUP, base, exponent, out),
        Math::Root(2, inner) => wrap(MSQRT, out, |out| within(inner, out)),
        Math::Root(degree, inner) => wrap(MROOT, out, |out| {
            single(inner, out);
            element(MN, &degree.to_string(), out);
        }),
        Math::Bracket(inner) => fenced("(", inner, ")", out),
        Math::Bars(inner) => fenced("|", inner, "|", out),
        Math::Call(function, arguments) => call(*function, arguments, out),
    }
}

/// A row of one needs no element of its own.
fn row(parts: &[Math], out: &mut String) {
    match parts {
        [one] => put(one, out),
        parts => wrap(MROW, out, |out| parts.iter().for_each(|part| put(part, out))),
    }
}

/// One element, whatever `math` consists of.
fn single(math: &Math, out: &mut String) {
    match math {
        Math::Row(_) | Math::Fraction(..) | Math::Raised(..) | Math::Root(..) | Math::Digits(..) | Math::Symbol(_) => {
            put(math, out);
        }
        other => wrap(MROW, out, |out| put(other, out)),
    }
}

/// An element's tags.
type Tags = (&'static str, &'static str);

const MN: Tags = ("<mn>", "</mn>");
const MI: Tags = ("<mi>", "</mi>");
const MI_UPRIGHT: Tags = ("<mi mathvariant=\"normal\">", "</mi>");
const MTEXT: Tags = ("<mtext>", "</mtext>");
const MROW: Tags = ("<mrow>", "</mrow>");
const MFRAC: Tags = ("<mfrac>", "</mfrac>");
const MSUP: Tags = ("<msup>", "</msup>");
const MSUB: Tags = ("<msub>", "</msub>");
const MSUBSUP: Tags = ("<msubsup>", "</msubsup>");
const MSQRT: Tags = ("<msqrt>", "</msqrt>");
const MROOT: Tags = ("<mroot>", "</mroot>");

fn pair(tags: Tags, first: &Math<'_>, second: &Math<'_>, out: &mut String) {
    wrap(tags, out, |out| {
        single(first, out);
        single(second, out);
    });
}

fn wrap((open, close): Tags, out: &mut String, inner: impl FnOnce(&mut String)) {
    out.push_str(open);
    inner(out);
    out.push_str(close);
}

fn element(tags: Tags, text: &str, out: &mut String) {
    wrap(tags, out, |out| escape(text, out));
}

/// An upright name; one letter alone would be set in italics.
fn upright(text: &str, out: &mut String) {
    let is_letter = text.chars().nth(1).is_none();
    element(if is_letter { MI_UPRIGHT } else { MI }, text, out);
}

fn operator(text: &str, attributes: &str, out: &mut String) {
    out.push_str("<mo");
    out.push_str(attributes);
    out.push('>');
    escape(text, out);
    out.push_str("</mo>");
}

const CLOSE: &str = " lspace=\"0\" rspace=\"0\"";

fn sign(sign: Sign, out: &mut String) {
    match sign {
        Sign::Equals => operator("=", "", out),
        Sign::Plus => operator("+", "", out),
        Sign::Minus => operator("−", "", out),
        Sign::Negative => operator("−", " form=\"prefix\"", out),
        Sign::PlusMinus => operator("±", "", out),
        Sign::Dot => operator("⋅", "", out),
        Sign::Cross => operator("×", "", out),
        Sign::Slash => operator("/", CLOSE, out),
        Sign::Over => operator("/", "", out),
        Sign::Comma => operator(",", "", out),
    }
}

fn fenced(open: &str, inner: &Math, close: &str, out: &mut String) {
    wrap(MROW, out, |out| {
        operator(open, "", out);
        put(inner, out);
        operator(close, "", out);
    });
}

fn call(function: Function, arguments: &[Math], out: &mut String) {
    wrap(MROW, out, |out| {
        match function_name(function) {
            (name, None) => upright(name, out),
            (name, Some(base)) => wrap(MSUB, out, |out| {
                upright(name, out);
                element(MN, base, out);
            }),
        }
        // U+2061 FUNCTION APPLICATION, for those who listen.
        operator("\u{2061}", "", out);
        wrap(MROW, out, |out| {
            operator("(", "", out);
            for (n, argument) in arguments.iter().enumerate() {
                if n > 0 {
                    sign(Sign::Comma, out);
                }
                put(argument, out);
            }
            operator(")", "", out);
        });
    });
}

fn unit(spelling: &Spelling, out: &mut String) {
    if !clings(spelling) {
        out.push_str("<mspace width=\"0.167em\"/>");
    }
    bare_unit(spelling, out);
}

fn bare_unit(spelling: &Spelling, out: &mut String) {
    if spelling.over.len() == 1 && spelling.under.is_empty() {
        return factors(&spelling.over, out);
    }
    wrap(MROW, out, |out| {
        if spelling.over.is_empty() {
            element(MN, "1", out);
        }
        factors(&spelling.over, out);
        let bracketed = spelling.under.len() > 1;
        if !spelling.under.is_empty() {
            operator("/", CLOSE, out);
        }
        if bracketed {
            operator("(", " stretchy=\"false\"", out);
        }
        factors(&spelling.under, out);
        if bracketed {
            operator(")", " stretchy=\"false\"", out);
        }
    });
}

fn factors(factors: &[(String, i32)], out: &mut String) {
    for (n, (symbol, exponent)) in factors.iter().enumerate() {
        if n > 0 {
            operator("⋅", CLOSE, out);
        }
        match exponent {
            1 => upright(symbol, out),
            exponent => wrap(MSUP, out, |out| {
                upright(symbol, out);
                whole(*exponent, out);
            }),
        }
    }
}

fn whole(number: i32, out: &mut String) {
    if number < 0 {
        wrap(MROW, out, |out| {
            sign(Sign::Negative, out);
            element(MN, &number.unsigned_abs().to_string(), out);
        });
    } else {
        element(MN, &number.to_string(), out);
    }
}

fn symbol(symbol: &Symbol, out: &mut String) {
    let prime = (symbol.primes() > 0).then(|| "′".repeat(symbol.primes()));
    match (symbol.subscript(), prime) {
        (None, None) => base(symbol, out),
        (Some(sub), None) => wrap(MSUB, out, |out| {
            base(symbol, out);
            subscript(sub, out);
        }),
        (None, Some(prime)) => wrap(MSUP, out, |out| {
            base(symbol, out);
            operator(&prime, "", out);
        }),
        (Some(sub), Some(prime)) => wrap(MSUBSUP, out, |out| {
            base(symbol, out);
            subscript(sub, out);
            operator(&prime, "", out);
        }),
    }
}

/// `ΔT` is two letters, each in italics; several Latin letters are one name.
fn base(symbol: &Symbol, out: &mut String) {
    let letters = symbol.base();
    if letters.is_ascii() || letters.chars().count() == 1 {
        return element(MI, letters, out);
    }
    wrap(MROW, out, |out| letters.chars().for_each(|letter| element(MI, letter.encode_utf8(&mut [0; 4]), out)));
}

fn subscript(sub: &str, out: &mut String) {
    element(if sub.bytes().all(|b| b.is_ascii_digit()) { MN } else { MI }, sub, out);
}

/// Character references for all that HTML or, where a fragment stands in Markdown, Markdown reads.
fn escape(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some(at) = rest.bytes().position(is_read) {
        let (before, sign, after) = (rest.get(..at), rest.as_bytes().get(at), rest.get(at + 1..));
        out.push_str(before.unwrap_or(""));
        match sign {
            Some(b'<') => out.push_str("&lt;"),
            Some(b'>') => out.push_str("&gt;"),
            Some(b'&') => out.push_str("&amp;"),
            // Writing to a string never fails.
            sign => _ = write!(out, "&#{};", sign.unwrap_or(&b' ')),
        }
        rest = after.unwrap_or("");
    }
    out.push_str(rest);
}

const fn is_read(byte: u8) -> bool {
    matches!(byte, b'!'..=b'$' | b'&' | b'\'' | b'*' | b'<' | b'>' | b'['..=b']' | b'_' | b'`' | b'{'..=b'~')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::figure::number;
    use crate::{course::DecimalSign, quantity::Decimal};

    #[test]
    fn a_number_with_its_unit() {
        let mut parts = number(Decimal::read("-9.7").unwrap(), DecimalSign::Comma);
        let unit = Spelling { over: vec![("m".into(), 1)], under: vec![("s".into(), 2)] };
        parts.push(Math::Unit((&unit).into()));
        let mut out = String::new();
        write(&Math::Row(parts), &mut out);
        assert_eq!(
            out,
            "<math><mo form=\"prefix\">−</mo><mn>9,7</mn><mspace width=\"0.167em\"/><mrow>\
             <mi mathvariant=\"normal\">m</mi><mo lspace=\"0\" rspace=\"0\">/</mo>\
             <msup><mi mathvariant=\"normal\">s</mi><mn>2</mn></msup></mrow></math>"
        );
    }

    #[test]
    fn nothing_in_a_tree_is_read_as_mark_up() {
        let mut out = String::new();
        put(&Math::Word("<b>*a*|_x_ ~{q} & \"".into()), &mut out);
        assert_eq!(
            out,
            "<mtext>&lt;b&gt;&#42;a&#42;&#124;&#95;x&#95;\u{A0}&#126;&#123;q&#125;\u{A0}&amp;\u{A0}&#34;</mtext>"
        );
    }
}
