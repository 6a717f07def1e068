//! Correlations, as the list `correlations` of the front matter holds them.

use super::ast::Correlation;
use super::clause::opt_reason;
use super::number;
use super::recover::{Out, Part, expected};
use super::token::{self, keyword, skip};

/// `correlated a b 0.8 "same scale"`.
pub(super) fn correlation<'s>(part: &Part, i: &'s str) -> Out<'s, Correlation> {
    let Some(after) = keyword(i, "correlated") else { return expected(i, &["`correlated`"]) };
    let (after, first) = symbol(part, skip(after))?;
    let (after, second) = symbol(part, skip(after))?;
    let at = skip(after);
    if !number::signed_begins(at) {
        return expected(at, &["a correlation coefficient from −1 to 1"]);
    }
    let (after, coefficient) = number::recorded(part, at)?;
    let (rest, reason) = opt_reason(part, after)?;
    match skip(rest) {
        "" => Ok(("", Correlation { symbols: [first, second], coefficient, reason })),
        more => expected(more, &["a reason in quotes"]),
    }
}

fn symbol<'s>(part: &Part, i: &'s str) -> Out<'s, super::Spanned<super::ast::Symbol>> {
    match token::symbol(part, i) {
        Err(nom::Err::Error(_)) => expected(i, &["the symbol of a reading"]),
        read => read,
    }
}

#[cfg(test)]
mod tests {
    use crate::parse;

    #[test]
    fn a_correlation_is_two_symbols_a_coefficient_and_a_reason() {
        let read = |text: &str| {
            let read = parse::correlation(text).ok()?;
            let [a, b] = read.symbols.map(|symbol| symbol.value.to_string());
            Some((a, b, read.coefficient.value.decimal.to_f64(), read.reason.map(|reason| reason.value)))
        };
        let whole =
            |a: &str, b: &str, r, reason: Option<&str>| Some((a.into(), b.into(), r, reason.map(str::to_owned)));
        assert_eq!(read(r#"correlated a b 0.8 "same scale""#), whole("a", "b", 0.8, Some("same scale")));
        assert_eq!(read("correlated V_1  phi −0.36"), whole("V_1", "φ", -0.36, None));
        assert_eq!(read("correlated a b 1.5 „Skala“"), whole("a", "b", 1.5, Some("Skala")));
        for wrong in
            ["", "a b 0.8", "correlated a 0.8", "correlated a b", "correlated a b 0.8 same", "correlated a sin 1"]
        {
            assert_eq!(read(wrong), None, "{wrong}");
        }
    }
}
