//! Where everything stands: panels, axes, and every piece of text, none of which touches another.

use super::axis::{Axis, Extent};
use super::text::{self, Run};
use super::ticks::Label;
use crate::course::DecimalSign;
use crate::render::figure;

/// How wide a picture is.
pub(super) const WIDTH: f64 = 420.0;
/// How high the panel of the points is.
const HEIGHT: f64 = 236.0;
/// How high the panel of residuals is.
const RESIDUALS: f64 = 92.0;
/// Text keeps this far from the edge.
const EDGE: f64 = 2.0;
/// From an axis to the numbers beside it.
const BESIDE: f64 = 9.0;
/// From an axis to the foot of the numbers beneath it.
const BENEATH: f64 = 21.0;
/// From the foot of a title to the panel beneath it.
const TITLE: f64 = 14.0;
/// Room between two numbers side by side.
const BETWEEN: f64 = 9.0;
/// Lines of a title.
const MOST_LINES: usize = 2;
/// The most labels of an axis across, upright, and of residuals.
const MOST: [u8; 3] = [7, 6, 5];
/// How long the sample of a line is in the legend, and how far its words stand from it.
pub(super) const SAMPLE: f64 = 30.0;
const BEHIND_SAMPLE: f64 = 7.0;

/// What a picture has to hold.
#[derive(Clone, Debug)]
pub(super) struct Content {
    pub(super) x: Side,
    pub(super) y: Side,
    /// How far residuals with their bars reach, and what they are called.
    pub(super) residuals: Option<(f64, Name)>,
    pub(super) legend: Vec<(Entry, String)>,
    pub(super) decimal: DecimalSign,
}

/// One axis of it.
#[derive(Clone, Debug)]
pub(super) struct Side {
    pub(super) extent: Extent,
    pub(super) logarithmic: bool,
    pub(super) name: Name,
}

/// What an axis is called: `extension x / cm`.
#[derive(Clone, Debug, Default)]
pub(super) struct Name {
    /// The author's words.
    pub(super) words: String,
    /// The symbol.
    pub(super) symbol: Vec<Run>,
    /// The unit; none of a pure number.
    pub(super) unit: Option<String>,
}

/// A line of the legend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Entry {
    /// The fitted line and its band.
    Line,
    /// The extreme lines.
    Extremes,
}

/// Where everything stands.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) height: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) x: Axis,
    pub(super) main: Panel,
    pub(super) residuals: Option<Panel>,
    pub(super) texts: Vec<Placed>,
    /// Where the samples of the legend begin, and on which height.
    pub(super) legend: Vec<(Entry, f64, f64)>,
}

/// A panel and its axis upright.
#[derive(Clone, Debug)]
pub(super) struct Panel {
    pub(super) top: f64,
    pub(super) bottom: f64,
    pub(super) axis: Axis,
}

impl Panel {
    /// On which height a value stands.
    pub(super) fn height(&self, value: f64) -> Option<f64> {
        self.axis.share(value).map(|share| self.at(share))
    }

    /// On which height a part of the axis is.
    pub(super) fn at(&self, share: f64) -> f64 {
        self.bottom - share * (self.bottom - self.top)
    }
}

/// A text with its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    pub(super) runs: Vec<Run>,
    pub(super) at: f64,
    /// Where its letters stand.
    pub(super) foot: f64,
    pub(super) anchor: Anchor,
}

/// Which part of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Placed {
    /// The place that it takes at most: left, right.
    pub(super) fn reach(&self) -> (f64, f64) {
        let width = text::line_width(&self.runs);
        match self.anchor {
            Anchor::Start => (self.at, self.at + width),
            Anchor::Middle => (self.at - width / 2.0, self.at + width / 2.0),
            Anchor::End => (self.at - width, self.at),
        }
    }
}

impl Layout {
    pub(super) fn of(content: &Content) -> Self {
        let upright = content.y.axis(MOST[1]);
        let beneath = content.residuals.as_ref().map(|(reach, name)| (Axis::about_zero(*reach, MOST[2]), name));
        let beside = widest(&upright, content.decimal)
            .max(beneath.as_ref().map_or(0.0, |(axis, _)| widest(axis, content.decimal)));
        let across = Across::of(content, EDGE + beside + BESIDE);
        let mut texts = Vec::new();
        let title = content.y.name.lines(upright.power, WIDTH - 2.0 * EDGE);
        let foot = lines(title, EDGE, text::ABOVE + EDGE, Anchor::Start, &mut texts);
        let main = Panel { top: foot + TITLE, bottom: foot + TITLE + HEIGHT, axis: upright };
        numbers_beside(&main, across.left, content.decimal, &mut texts);
        let residuals = beneath.map(|(axis, name)| {
            let title = name.lines(axis.power, WIDTH - 2.0 * EDGE);
            let foot = lines(title, EDGE, main.bottom + TITLE + text::ABOVE, Anchor::Start, &mut texts);
            let panel = Panel { top: foot + TITLE, bottom: foot + TITLE + RESIDUALS, axis };
            numbers_beside(&panel, across.left, content.decimal, &mut texts);
            panel
        });
        let bottom = residuals.as_ref().map_or(main.bottom, |panel| panel.bottom);
        texts.extend(across.labels(bottom + BENEATH));
        let title = content.x.name.lines(across.axis.power, across.right - EDGE);
        let foot = lines(title, across.right, bottom + BENEATH + text::LINE + 2.0, Anchor::End, &mut texts);
        let (legend, foot) = legend(content, across.left, foot, &mut texts);
        let Across { axis: x, left, right, .. } = across;
        Self { height: foot + text::BELOW + EDGE, left, right, x, main, residuals, texts, legend }
    }

    /// Where a value stands from the left.
    pub(super) fn across(&self, value: f64) -> Option<f64> {
        self.x.share(value).map(|share| self.across_at(share))
    }

    /// Where a part of the axis across is.
    pub(super) fn across_at(&self, share: f64) -> f64 {
        self.left + share * (self.right - self.left)
    }
}

impl Side {
    fn axis(&self, most: u8) -> Axis {
        match self.logarithmic {
            true => Axis::logarithmic(self.extent, most),
            false => Axis::linear(self.extent, most),
        }
    }
}

impl Name {
    /// `extension x / cm`, with a power of ten `x / 10⁻⁶ m`: numbers on an axis are quotients of a quantity and its
    /// unit (ISO 80000-1:2009, 7.1.4, from memory).
    fn lines(&self, power: i32, room: f64) -> Vec<Vec<Run>> {
        let power = (power != 0).then(|| text::power_of_ten(power));
        let compound = |unit: &str| unit.contains(['/', '·']);
        let divisor = match (power, &self.unit) {
            (None, None) => None,
            (Some(power), None) => Some(power),
            (None, Some(unit)) if compound(unit) => Some(format!("({unit})")),
            (None, Some(unit)) => Some(unit.clone()),
            (Some(power), Some(unit)) => Some(format!("({power}\u{A0}{unit})")),
        };
        let mut behind = self.symbol.clone();
        behind.extend(
            divisor
                .map(|divisor| Run::upright(format!("{}/ {divisor}", if self.symbol.is_empty() { "" } else { " " }))),
        );
        text::wrapped(&self.words, &behind, room, MOST_LINES)
    }
}

/// Lines of text beneath each other, the first on `foot`; where the last one stands.
fn lines(lines: Vec<Vec<Run>>, at: f64, foot: f64, anchor: Anchor, texts: &mut Vec<Placed>) -> f64 {
    let mut last = foot;
    for (runs, n) in lines.into_iter().zip(0_u8..) {
        last = foot + f64::from(n) * text::LINE;
        texts.push(Placed { runs, at, foot: last, anchor });
    }
    last
}

/// The numbers left of a panel.
fn numbers_beside(panel: &Panel, left: f64, sign: DecimalSign, texts: &mut Vec<Placed>) {
    let mut last = f64::INFINITY;
    for tick in &panel.axis.scale.ticks {
        let foot = panel.at(panel.axis.share_of_mark(tick.at)) + (text::ABOVE - text::BELOW) / 2.0 + 1.0;
        if foot + text::ABOVE + text::BELOW <= last {
            texts.push(Placed { runs: written(tick.label, sign), at: left - BESIDE, foot, anchor: Anchor::End });
            last = foot;
        }
    }
}

fn widest(axis: &Axis, sign: DecimalSign) -> f64 {
    let widths = axis.scale.ticks.iter().map(|tick| text::line_width(&written(tick.label, sign)));
    widths.fold(0.0, f64::max)
}

/// A label as a course writes numbers.
pub(super) fn written(label: Label, sign: DecimalSign) -> Vec<Run> {
    let text = match label {
        Label::Power(power) => text::power_of_ten(power),
        Label::Number(number) => {
            let mut text = if number.is_negative() { "−".to_owned() } else { String::new() };
            figure::digits(number.abs(), sign, &mut text);
            text
        }
    };
    vec![Run::upright(text)]
}

/// The axis across, between its margins.
struct Across {
    axis: Axis,
    left: f64,
    right: f64,
    sign: DecimalSign,
}

impl Across {
    /// With as many labels as have room.
    fn of(content: &Content, beside: f64) -> Self {
        let with = |most: u8| {
            let axis = content.x.axis(most);
            let half = widest(&axis, content.decimal) / 2.0;
            let left = beside.max(half + EDGE);
            Self { axis, left, right: WIDTH - (half + EDGE).max(14.0), sign: content.decimal }
        };
        let fits = |across: &Self| across.kept().count() == across.axis.scale.ticks.len();
        (2..=MOST[0]).rev().map(with).find(fits).unwrap_or_else(|| with(2))
    }

    /// The labels that do not come too near to those before them.
    fn kept(&self) -> impl Iterator<Item = Placed> {
        let mut last = f64::NEG_INFINITY;
        let place = |share: f64| self.left + share * (self.right - self.left);
        let placed = self.axis.scale.ticks.iter().map(move |tick| Placed {
            runs: written(tick.label, self.sign),
            at: place(self.axis.share_of_mark(tick.at)),
            foot: 0.0,
            anchor: Anchor::Middle,
        });
        placed.filter(move |label| {
            let (from, to) = label.reach();
            let kept = from >= last + BETWEEN;
            last = if kept { to } else { last };
            kept
        })
    }

    fn labels(&self, foot: f64) -> Vec<Placed> {
        self.kept().map(|label| Placed { foot, ..label }).collect()
    }
}

/// The legend beneath it all, its entries side by side where they have room; where its last line stands.
fn legend(content: &Content, left: f64, above: f64, texts: &mut Vec<Placed>) -> (Vec<(Entry, f64, f64)>, f64) {
    let mut samples = Vec::new();
    let (mut at, mut foot) = (left, above);
    for (n, (entry, words)) in content.legend.iter().enumerate() {
        let room = WIDTH - EDGE - left - SAMPLE - BEHIND_SAMPLE;
        let runs = text::wrapped(words, &[], room, 1).into_iter().next().unwrap_or_default();
        let width = SAMPLE + BEHIND_SAMPLE + text::line_width(&runs);
        if n == 0 || at + width > WIDTH - EDGE {
            (at, foot) = (left, foot + text::LINE + if n == 0 { 6.0 } else { 0.0 });
        }
        samples.push((*entry, at, foot - 4.5));
        texts.push(Placed { runs, at: at + SAMPLE + BEHIND_SAMPLE, foot, anchor: Anchor::Start });
        at += width + 2.0 * BETWEEN;
    }
    (samples, foot)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::parse::ast::Symbol;

    fn name() -> impl Strategy<Value = Name> {
        (
            "[a-zA-Zäöü ]{0,120}",
            "[a-zθ]{1,3}",
            proptest::option::of("[a-z0-9]{1,8}"),
            proptest::option::of("[a-zµ/·()²]{1,12}"),
        )
            .prop_map(|(words, base, sub, unit)| {
                let symbol = sub.map_or_else(|| base.clone(), |sub| format!("{base}_{sub}"));
                Name { words, symbol: text::symbol(&Symbol::new(&symbol)), unit }
            })
    }

    fn side() -> impl Strategy<Value = Side> {
        let numbers = (-9.99..9.99_f64, -9.0..9.0_f64, -300..300_i32, 0..14_i32, any::<bool>(), name());
        numbers.prop_map(|(from, by, tens, finer, logarithmic, name)| {
            let ten = |power: i32| libm::pow(10.0, f64::from(power));
            let (low, high) = (from * ten(tens), (from + by * ten(-finer)) * ten(tens));
            let [low, high] = [low, high].map(|end| if logarithmic { end.abs().max(ten(tens - 9)) } else { end });
            Side { extent: Extent::NONE.with(low).with(high), logarithmic, name }
        })
    }

    fn content() -> impl Strategy<Value = Content> {
        let residuals = proptest::option::of((0.0..9.0, -200..200_i32, name()));
        let legend = proptest::option::of("[a-zA-Z ]{1,80}");
        (side(), side(), residuals, legend, any::<bool>()).prop_map(|(x, y, residuals, legend, comma)| Content {
            x,
            y,
            residuals: residuals.map(|(reach, tens, name)| (reach * libm::pow(10.0, f64::from(tens)), name)),
            legend: legend.into_iter().flat_map(|w| [(Entry::Line, w.clone()), (Entry::Extremes, w)]).collect(),
            decimal: if comma { DecimalSign::Comma } else { DecimalSign::Point },
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

        /// No text touches another one or leaves the picture, whatever the numbers and names are.
        #[test]
        fn texts_never_overlap(content in content()) {
            let layout = Layout::of(&content);
            let frames: Vec<_> = layout.texts.iter().map(|text| {
                let (left, right) = text.reach();
                (left, right, text.foot - text::ABOVE, text.foot + text::BELOW)
            }).collect();
            for (n, a) in frames.iter().enumerate() {
                prop_assert!(a.0 >= -1e-9 && a.1 <= WIDTH + 1e-9, "leaves: {:?}", layout.texts[n]);
                prop_assert!(a.2 >= 0.0 && a.3 <= layout.height, "leaves: {:?}", layout.texts[n]);
                for (m, b) in frames.iter().enumerate().skip(n + 1) {
                    let apart = a.1 <= b.0 || b.1 <= a.0 || a.3 <= b.2 || b.3 <= a.2;
                    prop_assert!(apart, "{:?} and {:?}", layout.texts[n], layout.texts[m]);
                }
            }
            prop_assert!(layout.left + 120.0 < layout.right && layout.height < 700.0, "{layout:?}");
            prop_assert!(layout.x.scale.ticks.len() >= 2);
        }
    }
}
