//! Mathematics as LaTeX, without the dollars about it. Only commands that web renderers know.

use super::figure;
use super::piece::{Math, Sign};
use super::plain::{clings, function_name};
use crate::course::DecimalSign;
use crate::parse::ast::{Function, Symbol};
use crate::quantity::unit::Spelling;

/// `math` for a place between dollars.
pub(super) fn write(math: &Math) -> String {
    let mut out = String::new();
    put(math, &mut out);
    out
}

fn put(math: &Math, out: &mut String) {
    match math {
        Math::Row(parts) => parts.iter().for_each(|part| put(part, out)),
        // Braces about a decimal comma, or TeX sets a blank behind it.
        Math::Digits(number, DecimalSign::Comma) => out.push_str(&number.to_string().replace('.', "{,}")),
        Math::Digits(number, sign) => figure::digits(*number, *sign, out),
        Math::Word(word) => wrap(out, "\\text{", &text(word), "}"),
        Math::Symbol(name) => out.push_str(&symbol(name)),
        Math::Pi => out.push_str("\\pi "),
        Math::Sign(sign) => out.push_str(self::sign(*sign)),
        Math::Unit(spelling) => unit(spelling, out),
        Math::BareUnit(spelling) => bare_unit(spelling, out),
        Math::Fraction(above, below) => {
            between("\\frac{", above, "}{", out);
            put(below, out);
            out.push('}');
        }
        Math::Raised(base, exponent) => {
            between("{", base, "}^{", out);
            put(exponent, out);
            out.push('}');
        }
        Math::Root(2, inner) => between("\\sqrt{", inner, "}", out),
        Math::Root(degree, inner) => between(&format!("\\sqrt[{degree}]{{"), inner, "}", out),
        Math::Bracket(inner) if inner.has_fraction() => between("\\left(", inner, "\\right)", out),
        Math::Bracket(inner) => between("(", inner, ")", out),
        Math::Bars(inner) => between("\\left\\lvert ", inner, "\\right\\rvert ", out),
        Math::Call(function, arguments) => call(*function, arguments, out),
    }
}

fn between(open: &str, inner: &Math, close: &str, out: &mut String) {
    out.push_str(open);
    put(inner, out);
    out.push_str(close);
}

fn wrap(out: &mut String, open: &str, inner: &str, close: &str) {
    out.push_str(open);
    out.push_str(inner);
    out.push_str(close);
}

const fn sign(sign: Sign) -> &'static str {
    match sign {
        Sign::Equals => " = ",
        Sign::Plus => " + ",
        Sign::Minus => " - ",
        Sign::Negative => "-",
        Sign::PlusMinus => " \\pm ",
        Sign::Dot => " \\cdot ",
        Sign::Cross => " \\times ",
        Sign::Slash | Sign::Over => "/",
        Sign::Comma => ", ",
    }
}

fn call(function: Function, arguments: &[Math], out: &mut String) {
    let (name, base) = function_name(function);
    match name {
        "sin" | "cos" | "tan" | "arcsin" | "arccos" | "arctan" | "sinh" | "cosh" | "tanh" | "exp" | "ln" | "log" => {
            wrap(out, "\\", name, "");
        }
        _ => wrap(out, "\\operatorname{", name, "}"),
    }
    if let Some(base) = base {
        wrap(out, "_{", base, "}");
    }
    let high = arguments.iter().any(Math::has_fraction);
    out.push_str(if high { "\\left(" } else { "(" });
    for (n, argument) in arguments.iter().enumerate() {
        out.push_str(if n > 0 { ", " } else { "" });
        put(argument, out);
    }
    out.push_str(if high { "\\right)" } else { ")" });
}

fn unit(spelling: &Spelling, out: &mut String) {
    if !out.is_empty() && !clings(spelling) {
        out.push_str("\\,");
    }
    bare_unit(spelling, out);
}

fn bare_unit(spelling: &Spelling, out: &mut String) {
    if spelling.over.is_empty() {
        out.push('1');
    } else {
        factors(&spelling.over, out);
    }
    match spelling.under.len() {
        0 => {}
        1 => {
            out.push('/');
            factors(&spelling.under, out);
        }
        _ => {
            out.push_str("/(");
            factors(&spelling.under, out);
            out.push(')');
        }
    }
}

fn factors(factors: &[(String, i32)], out: &mut String) {
    for (n, (symbol, exponent)) in factors.iter().enumerate() {
        out.push_str(if n > 0 { " \\cdot " } else { "" });
        unit_symbol(symbol, out);
        if *exponent != 1 {
            wrap(out, "^{", &exponent.to_string(), "}");
        }
    }
}

/// Upright; the characters that the math fonts of TeX lack have commands.
fn unit_symbol(symbol: &str, out: &mut String) {
    match symbol {
        "%" => return out.push_str("\\%"),
        "°" => return out.push_str("^{\\circ}"),
        "′" => return out.push('\''),
        "″" => return out.push_str("''"),
        _ => {}
    }
    let rest = symbol.strip_prefix('°').inspect(|_| out.push_str("{}^{\\circ}")).unwrap_or(symbol);
    out.push_str("\\mathrm{");
    for c in rest.chars() {
        match c {
            'µ' | 'μ' => out.push_str("\\mu "),
            'Ω' | '\u{2126}' => out.push_str("\\Omega "),
            'Å' | '\u{212B}' => out.push_str("\\text{Å}"),
            '%' => out.push_str("\\%"),
            '‰' => out.push_str("\\text{‰}"),
            '_' => out.push_str("\\_"),
            c => out.push(c),
        }
    }
    out.push('}');
}

fn symbol(symbol: &Symbol) -> String {
    let mut out = letters(symbol.base());
    out.push_str(&"'".repeat(symbol.primes()));
    if let Some(sub) = symbol.subscript() {
        // A descriptive subscript is upright (ISO 80000-2:2019, from memory).
        let upright = sub.chars().count() > 1 && sub.is_ascii();
        out.push_str(&if upright { format!("_{{\\mathrm{{{sub}}}}}") } else { format!("_{{{}}}", letters(sub)) });
    }
    out
}

/// Letters in italics; several Latin ones are one name and set close.
fn letters(base: &str) -> String {
    if base.is_ascii() {
        return if base.len() > 1 { format!("\\mathit{{{base}}}") } else { base.to_owned() };
    }
    base.chars().map(letter).collect::<String>().trim_end().to_owned()
}

fn letter(c: char) -> String {
    match GREEK.iter().find(|(greek, _)| *greek == c) {
        Some((_, command)) => format!("\\{command} "),
        None if c.is_ascii() => c.to_string(),
        None => format!("\\text{{{c}}}"),
    }
}

/// The Greek letters that differ from Latin ones, with their commands. The others have none in TeX.
const GREEK: [(char, &str); 36] = [
    ('α', "alpha"),
    ('β', "beta"),
    ('γ', "gamma"),
    ('δ', "delta"),
    ('ε', "varepsilon"),
    ('ζ', "zeta"),
    ('η', "eta"),
    ('θ', "theta"),
    ('ι', "iota"),
    ('κ', "kappa"),
    ('λ', "lambda"),
    ('μ', "mu"),
    ('ν', "nu"),
    ('ξ', "xi"),
    ('π', "pi"),
    ('ρ', "rho"),
    ('ς', "varsigma"),
    ('σ', "sigma"),
    ('τ', "tau"),
    ('υ', "upsilon"),
    ('φ', "varphi"),
    ('χ', "chi"),
    ('ψ', "psi"),
    ('ω', "omega"),
    ('ϑ', "vartheta"),
    ('Γ', "Gamma"),
    ('Δ', "Delta"),
    ('Θ', "Theta"),
    ('Λ', "Lambda"),
    ('Ξ', "Xi"),
    ('Π', "Pi"),
    ('Σ', "Sigma"),
    ('Υ', "Upsilon"),
    ('Φ', "Phi"),
    ('Ψ', "Psi"),
    ('Ω', "Omega"),
];

/// Words for `\text{…}`: what TeX would read is escaped. `~{` must not arise, since a rendered report
/// is read again.
fn text(words: &str) -> String {
    let mut out = String::new();
    for c in words.chars() {
        match c {
            '\\' => out.push_str("\\textbackslash{}"),
            '~' => out.push_str("\\textasciitilde{}"),
            '^' => out.push_str("\\textasciicircum{}"),
            '#' | '$' | '%' | '&' | '_' | '{' | '}' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_and_units() {
        let symbol = |canonical| symbol(&Symbol::new(canonical));
        assert_eq!(symbol("L_0"), "L_{0}");
        assert_eq!(symbol("ΔT"), "\\Delta T");
        assert_eq!(symbol("v′_fall"), "v'_{\\mathrm{fall}}");
        assert_eq!(symbol("ρ_w"), "\\rho_{w}");
        let unit_of = |over: &[(&str, i32)], under: &[(&str, i32)]| {
            let own = |factors: &[(&str, i32)]| factors.iter().map(|&(s, n)| (s.to_owned(), n)).collect();
            let mut out = "1".to_owned();
            unit(&Spelling { over: own(over), under: own(under) }, &mut out);
            out
        };
        assert_eq!(unit_of(&[("m", 1)], &[("s", 2)]), "1\\,\\mathrm{m}/\\mathrm{s}^{2}");
        assert_eq!(unit_of(&[("°C", 1)], &[]), "1\\,{}^{\\circ}\\mathrm{C}");
        assert_eq!(unit_of(&[("°", 1)], &[]), "1^{\\circ}");
        assert_eq!(unit_of(&[("%", 1)], &[]), "1\\,\\%");
    }

    #[test]
    fn no_words_are_read_by_tex() {
        assert_eq!(text("50 % ~{x} \\o"), "50 \\% \\textasciitilde{}\\{x\\} \\textbackslash{}o");
    }
}
