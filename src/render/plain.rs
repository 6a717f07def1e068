//! Mathematics as Unicode text.

use super::figure;
use super::piece::{Math, Piece, Sign};
use crate::parse::ast::{Function, Symbol};
use crate::quantity::unit::Spelling;

/// Which blanks are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Blanks {
    /// Those that keep a number and its unit on one line.
    Fixed,
    /// U+0020 alone, for other programs.
    Simple,
}

/// NARROW NO-BREAK SPACE, between a number and its unit.
const THIN: char = '\u{202F}';
/// NO-BREAK SPACE, about a sign that belongs to a number.
const HARD: char = '\u{A0}';

/// `math` on one line.
pub(super) fn write(math: &Math, blanks: Blanks) -> String {
    let mut writer = Writer { out: String::new(), blanks };
    writer.math(math);
    writer.out
}

impl Piece<'_> {
    /// As text without any mark-up.
    pub(super) fn bare(&self) -> String {
        match self {
            Self::Text(text) => text.clone().into_owned(),
            Self::Math(math) => write(math, Blanks::Fixed),
            Self::Picture(_) => String::new(),
        }
    }

    /// The same with no blanks but U+0020.
    pub(super) fn simple(&self) -> String {
        match self {
            Self::Math(math) => write(math, Blanks::Simple),
            other => other.bare(),
        }
    }
}

/// A symbol: a subscript of digits is written with subscript digits, another one keeps its `_`.
pub(super) fn symbol(symbol: &Symbol) -> String {
    let primes = "′".repeat(symbol.primes());
    match symbol.subscript() {
        None => format!("{}{primes}", symbol.base()),
        Some(sub) if sub.bytes().all(|b| b.is_ascii_digit()) => {
            format!("{}{primes}{}", symbol.base(), sub.chars().map(subscript).collect::<String>())
        }
        Some(sub) => format!("{}{primes}_{sub}", symbol.base()),
    }
}

/// `m/s²`, `J/(kg·K)`.
pub(super) fn unit(unit: &Spelling) -> String {
    let over = if unit.over.is_empty() { "1".to_owned() } else { product(&unit.over) };
    match unit.under.len() {
        0 => over,
        1 => format!("{over}/{}", product(&unit.under)),
        _ => format!("{over}/({})", product(&unit.under)),
    }
}

/// Does a unit follow its number without a blank? Of the degree, minute and second of arc alone
/// (SI Brochure, 9th edition, 5.4.3).
pub(super) fn clings(unit: &Spelling) -> bool {
    unit.under.is_empty() && matches!(unit.over.as_slice(), [(symbol, 1)] if matches!(symbol.as_str(), "°" | "′" | "″"))
}

fn product(factors: &[(String, i32)]) -> String {
    let written = factors.iter().map(|(symbol, exponent)| match exponent {
        1 => symbol.clone(),
        n => format!("{symbol}{}", superscript(&n.to_string()).unwrap_or_default()),
    });
    written.collect::<Vec<_>>().join("·")
}

struct Writer {
    out: String,
    blanks: Blanks,
}

impl Writer {
    fn math(&mut self, math: &Math<'_>) {
        match math {
            Math::Row(parts) => self.row(parts),
            Math::Digits(number, sign) => figure::digits(*number, *sign, &mut self.out),
            Math::Word(text) => self.out.push_str(text),
            Math::Symbol(name) => self.out.push_str(&symbol(name)),
            Math::Pi => self.out.push('π'),
            Math::Sign(sign) => self.sign(*sign),
            Math::Unit(spelling) => self.unit(spelling),
            Math::BareUnit(spelling) => self.out.push_str(&unit(spelling)),
            Math::Fraction(above, below) => self.fraction(above, below),
            Math::Raised(base, exponent) => self.raised(base, exponent),
            Math::Root(2, inner) => self.root('√', inner),
            Math::Root(_, inner) => self.root('∛', inner),
            Math::Bracket(inner) => self.between("(", inner, ")"),
            Math::Bars(inner) => self.between("|", inner, "|"),
            Math::Call(function, arguments) => self.call(*function, arguments),
        }
    }

    /// A fraction behind a product's sign gets brackets: `a · (b / c)`.
    fn row(&mut self, parts: &[Math]) {
        let mut behind_product = false;
        for part in parts {
            match part {
                Math::Fraction(..) if behind_product => self.between("(", part, ")"),
                _ => self.math(part),
            }
            behind_product = matches!(part, Math::Sign(Sign::Dot));
        }
    }

    fn sign(&mut self, sign: Sign) {
        let (text, blank) = match sign {
            Sign::Equals => ("=", ' '),
            Sign::Plus => ("+", ' '),
            Sign::Minus => ("−", ' '),
            Sign::Dot => ("·", ' '),
            Sign::Over => ("/", ' '),
            Sign::PlusMinus => ("±", self.blank(HARD)),
            Sign::Cross => ("×", self.blank(HARD)),
            Sign::Negative => return self.out.push('−'),
            Sign::Slash => return self.out.push('/'),
            Sign::Comma => return self.out.push_str(", "),
        };
        if !self.out.is_empty() {
            self.out.push(blank);
        }
        self.out.push_str(text);
        self.out.push(blank);
    }

    fn unit(&mut self, spelling: &Spelling) {
        if !self.out.is_empty() && !clings(spelling) {
            self.out.push(self.blank(THIN));
        }
        self.out.push_str(&unit(spelling));
    }

    fn fraction(&mut self, above: &Math, below: &Math) {
        self.side(above, |math| rank(math) < Rank::Product);
        self.sign(Sign::Over);
        self.side(below, |math| rank(math) <= Rank::Product);
    }

    fn side(&mut self, side: &Math, needs_brackets: fn(&Math) -> bool) {
        if needs_brackets(side) { self.between("(", side, ")") } else { self.math(side) }
    }

    fn raised(&mut self, base: &Math, exponent: &Math) {
        self.math(base);
        let text = write(exponent, Blanks::Simple);
        match superscript(&text) {
            Some(raised) => self.out.push_str(&raised),
            None if matches!(exponent, Math::Digits(..) | Math::Symbol(_) | Math::Bracket(_)) => {
                self.out.push('^');
                self.out.push_str(&text);
            }
            None => {
                self.out.push_str("^(");
                self.out.push_str(&text);
                self.out.push(')');
            }
        }
    }

    fn root(&mut self, sign: char, inner: &Math) {
        self.out.push(sign);
        match inner {
            Math::Digits(..) | Math::Symbol(_) | Math::Pi => self.math(inner),
            _ => self.between("(", inner, ")"),
        }
    }

    fn call(&mut self, function: Function, arguments: &[Math]) {
        self.out.push_str(function_name(function).0);
        if let (_, Some(base)) = function_name(function) {
            self.out.extend(base.chars().map(subscript));
        }
        self.out.push('(');
        for (n, argument) in arguments.iter().enumerate() {
            if n > 0 {
                self.sign(Sign::Comma);
            }
            self.math(argument);
        }
        self.out.push(')');
    }

    fn between(&mut self, open: &str, inner: &Math, close: &str) {
        self.out.push_str(open);
        self.math(inner);
        self.out.push_str(close);
    }

    const fn blank(&self, fixed: char) -> char {
        match self.blanks {
            Blanks::Fixed => fixed,
            Blanks::Simple => ' ',
        }
    }
}

/// How tightly the parts of a tree hold together on one line.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Sum,
    Product,
    Whole,
}

fn rank(math: &Math) -> Rank {
    let Math::Row(parts) = math else {
        return if matches!(math, Math::Fraction(..)) { Rank::Product } else { Rank::Whole };
    };
    let has = |signs: &[Sign]| parts.iter().any(|part| matches!(part, Math::Sign(sign) if signs.contains(sign)));
    let compound = |unit: &Spelling| unit.over.len() + unit.under.len() > 1;
    if has(&[Sign::Plus, Sign::Minus, Sign::PlusMinus, Sign::Negative]) {
        Rank::Sum
    } else if has(&[Sign::Dot, Sign::Cross, Sign::Over, Sign::Slash])
        || parts
            .iter()
            .any(|part| matches!(part, Math::Unit(unit) if compound(unit)) || matches!(part, Math::Fraction(..)))
    {
        Rank::Product
    } else {
        Rank::Whole
    }
}

/// The name that a function has in print (ISO 80000-2:2019, from memory), and the base of a logarithm.
pub(super) const fn function_name(function: Function) -> (&'static str, Option<&'static str>) {
    match function {
        Function::Asin => ("arcsin", None),
        Function::Acos => ("arccos", None),
        Function::Atan => ("arctan", None),
        Function::Log10 => ("log", Some("10")),
        other => (other.word(), None),
    }
}

/// `text` in superscript characters, where it is a whole number.
pub(super) fn superscript(text: &str) -> Option<String> {
    let raised = |c| match c {
        '-' | '−' => Some('⁻'),
        '0'..='9' => "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().nth(usize::try_from(c.to_digit(10)?).ok()?),
        _ => None,
    };
    text.chars().map(raised).collect()
}

fn subscript(digit: char) -> char {
    let at = digit.to_digit(10).and_then(|d| usize::try_from(d).ok());
    at.and_then(|n| "₀₁₂₃₄₅₆₇₈₉".chars().nth(n)).unwrap_or(digit)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(over: &[(&str, i32)], under: &[(&str, i32)]) -> String {
        let own = |factors: &[(&str, i32)]| factors.iter().map(|&(s, n)| (s.to_owned(), n)).collect();
        unit(&Spelling { over: own(over), under: own(under) })
    }

    #[test]
    fn units_have_raised_exponents_and_one_slash() {
        assert_eq!(shown(&[("m", 1)], &[("s", 2)]), "m/s²");
        assert_eq!(shown(&[("J", 1)], &[("kg", 1), ("K", 1)]), "J/(kg·K)");
        assert_eq!(shown(&[], &[("s", 1)]), "1/s");
        assert_eq!(shown(&[("s", -1)], &[]), "s⁻¹");
        assert_eq!(shown(&[("kg", 1), ("m", 12)], &[]), "kg·m¹²");
    }

    #[test]
    fn symbols_keep_a_subscript_that_has_no_characters() {
        let shown = |canonical| symbol(&Symbol::new(canonical));
        assert_eq!([shown("L_0"), shown("t_fall"), shown("v′_12"), shown("θ")], ["L₀", "t_fall", "v′₁₂", "θ"]);
    }
}
