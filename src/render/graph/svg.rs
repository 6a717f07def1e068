//! Scalable Vector Graphics: numbers, paths and text, as SVG 1.1 writes them and HTML takes them in.

use super::layout::{Anchor, Placed};
use super::text::{Kind, SIZE, SUBSCRIPT};
use crate::quantity::Decimal;

/// How far a subscript stands below its line.
const LOWER: f64 = 3.0;

/// A coordinate: two decimals at most, the same on every machine; never `-0`, never far from the picture.
pub(super) fn number(at: f64) -> String {
    let mut out = String::new();
    put(at, &mut out);
    out
}

fn put(at: f64, out: &mut String) {
    const FAR: f64 = 99_999.0;
    let near = Decimal::of_f64_to(at.clamp(-FAR, FAR), 2).unwrap_or(Decimal::ZERO);
    near.trimmed().write_to(out);
}

/// The data of a path.
#[derive(Clone, Debug, Default)]
pub(super) struct Path(String);

impl Path {
    /// Begins a line.
    pub(super) fn from(&mut self, x: f64, y: f64) -> &mut Self {
        self.step('M', x);
        self.step(' ', y)
    }

    /// Draws on to a point.
    pub(super) fn to(&mut self, x: f64, y: f64) -> &mut Self {
        self.step('L', x);
        self.step(' ', y)
    }

    /// Draws on across.
    pub(super) fn across_to(&mut self, x: f64) -> &mut Self {
        self.step('H', x)
    }

    /// Draws on upright.
    pub(super) fn upright_to(&mut self, y: f64) -> &mut Self {
        self.step('V', y)
    }

    fn step(&mut self, sign: char, at: f64) -> &mut Self {
        self.0.push(sign);
        put(at, &mut self.0);
        self
    }

    /// A point: a line of no length, whose round ends make a dot.
    pub(super) fn dot(&mut self, x: f64, y: f64) -> &mut Self {
        self.from(x, y);
        self.0.push_str("h0");
        self
    }

    /// Back to where it began.
    pub(super) fn close(&mut self) -> &mut Self {
        self.0.push('Z');
        self
    }

    /// A line through points.
    pub(super) fn through(&mut self, points: &[(f64, f64)]) -> &mut Self {
        for (n, &(x, y)) in points.iter().enumerate() {
            if n == 0 {
                self.from(x, y)
            } else {
                self.to(x, y)
            };
        }
        self
    }

    /// The element; nothing of an empty path.
    pub(super) fn element(&self, attributes: &str) -> String {
        if self.0.is_empty() { String::new() } else { format!("<path {attributes} d=\"{}\"/>\n", self.0) }
    }
}

/// A text in its place.
pub(super) fn text(placed: &Placed) -> String {
    let anchor = match placed.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let mut out = format!("<text x=\"{}\" y=\"{}\"{anchor}>", number(placed.at), number(placed.foot));
    let mut lowered = false;
    for run in &placed.runs {
        let lower = run.kind == Kind::Subscript;
        let shift = match (lowered, lower) {
            (false, true) => format!(" dy=\"{}\"", number(LOWER)),
            (true, false) => format!(" dy=\"{}\"", number(-LOWER)),
            _ => String::new(),
        };
        let set = match run.kind {
            Kind::Upright => String::new(),
            Kind::Italic => " font-style=\"italic\"".into(),
            Kind::Subscript => format!(" font-size=\"{}\"", number(SUBSCRIPT)),
        };
        out.push_str(&match shift.len() + set.len() {
            0 => escaped(&run.text),
            _ => format!("<tspan{shift}{set}>{}</tspan>", escaped(&run.text)),
        });
        lowered = lower;
    }
    out.push_str("</text>\n");
    out
}

/// All texts, in the type of the page.
pub(super) fn texts(texts: &[Placed]) -> String {
    let all: String = texts.iter().map(text).collect();
    format!("<g class=\"graph-text\" fill=\"currentColor\" font-size=\"{}\">\n{all}</g>\n", number(SIZE))
}

/// Text for an element or for an attribute in double quotes. Characters that XML 1.0 (fifth edition, 2.2) has no
/// place for become U+FFFD.
pub(super) fn escaped(text: &str) -> String {
    let held = |c: char| match c {
        '\t' | '\n' | '\r' => ' ',
        '\0'..='\u{1F}' | '\u{FFFE}' | '\u{FFFF}' => '\u{FFFD}',
        c => c,
    };
    crate::render::markup::escaped(&text.chars().map(held).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::graph::text::Run;

    #[test]
    fn numbers_are_short_and_always_numbers() {
        let all = [1.0, 1.5, 1.255, -0.001, 0.0, -3.456, f64::NAN, f64::INFINITY, -1e300].map(number);
        assert_eq!(all, ["1", "1.5", "1.25", "0", "0", "-3.46", "0", "99999", "-99999"]);
    }

    #[test]
    fn subscripts_are_lowered_and_lines_come_back_up() {
        let runs = vec![
            Run { text: "x".into(), kind: Kind::Italic },
            Run { text: "0".into(), kind: Kind::Subscript },
            Run::upright(" / <m>\u{1}"),
        ];
        let placed = Placed { runs, at: 1.0, foot: 2.0, anchor: Anchor::End };
        assert_eq!(
            text(&placed),
            "<text x=\"1\" y=\"2\" text-anchor=\"end\"><tspan font-style=\"italic\">x</tspan>\
             <tspan dy=\"3\" font-size=\"9.5\">0</tspan><tspan dy=\"-3\"> / &lt;m&gt;\u{FFFD}</tspan></text>\n"
        );
    }
}
