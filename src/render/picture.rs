//! Small pictures in running text and in cells: two intervals on one scale, a share as a bar. They say nothing that
//! the words beside them do not; formats without pictures leave them out.

use super::markup::escaped;

/// A picture that stands in a line of text.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Picture {
    /// Two values with their uncertainties, the first above the second.
    Intervals {
        /// Value and uncertainty of each, in one unit.
        values: [(f64, f64); 2],
        /// What is seen, for those who cannot see it.
        label: String,
    },
    /// A part of the whole, 0 to 1.
    Share(f64),
}

/// The units of the drawing: a line of text is some 14 high.
const WIDTH: f64 = 96.0;
const HEIGHT: f64 = 16.0;
/// What is left free at either side, for the marks.
const MARGIN: f64 = 5.0;

/// As SVG in a line of HTML. Everything has the colour of the text, so that it is seen on dark screens and in print.
pub(super) fn html(picture: &Picture) -> String {
    match picture {
        Picture::Intervals { values, label } => intervals(values, label),
        Picture::Share(share) => bar(*share),
    }
}

fn intervals(values: &[(f64, f64); 2], label: &str) -> String {
    let ends = values.map(|(value, uncertainty)| (value - uncertainty, value + uncertainty));
    let low = ends[0].0.min(ends[1].0);
    let reach = ends[0].1.max(ends[1].1) - low;
    let across = |x: f64| {
        // Two exact values that are equal have no scale: they stand in the middle.
        let part = if reach > 0.0 && reach.is_finite() { (x - low) / reach } else { 0.5 };
        MARGIN + part * (WIDTH - 2.0 * MARGIN)
    };
    let mut out = format!(
        "<svg class=\"agreement\" role=\"img\" aria-label=\"{}\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"6em\" height=\"1em\" \
         fill=\"currentColor\" stroke=\"currentColor\" stroke-width=\"1.5\">",
        escaped(label)
    );
    for ((value, _), ((from, to), height)) in values.iter().zip(ends.into_iter().zip([4.5, 11.5])) {
        let (from, middle, to) = (place(across(from)), place(across(*value)), place(across(to)));
        let (top, bottom, height) = (place(height - 2.5), place(height + 2.5), place(height));
        out.push_str(&format!(
            "<path fill=\"none\" d=\"M{from} {top}V{bottom}M{from} {height}H{to}M{to} {top}V{bottom}\"/>\
             <circle cx=\"{middle}\" cy=\"{height}\" r=\"2\" stroke=\"none\"/>"
        ));
    }
    out.push_str("</svg> ");
    out
}

/// A share as a bar in a frame; the number beside it says the same.
fn bar(share: f64) -> String {
    let length = place(share.clamp(0.0, 1.0) * WIDTH);
    format!(
        "<svg class=\"share\" aria-hidden=\"true\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"6em\" height=\"1em\">\
         <path fill=\"currentColor\" opacity=\"0.65\" d=\"M0 3H{length}V13H0z\"/>\
         <path fill=\"none\" stroke=\"currentColor\" opacity=\"0.65\" d=\"M0.5 3.5H{}V12.5H0.5z\"/></svg> ",
        WIDTH - 0.5
    )
}

/// A coordinate to a tenth, of which no eye sees more.
fn place(x: f64) -> String {
    use crate::quantity::{Decimal, Rounding, round};
    let tenths = Decimal::of_f64(x).map(|x| round::to_place(x, -1, Rounding::Nearest).trimmed());
    tenths.unwrap_or(Decimal::ZERO).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_intervals_lie_on_one_scale() {
        let label = "9.7 ± 0.2 & 9.8".to_owned();
        let svg = html(&Picture::Intervals { values: [(9.7, 0.2), (9.8, 0.0)], label });
        assert!(svg.contains("aria-label=\"9.7 ± 0.2 &amp; 9.8\""), "{svg}");
        // From 9.5 to 9.9: 9.8 stands at three quarters of 86, and 9.7 in the middle.
        assert!(
            svg.contains("M5 2V7M5 4.5H91M91 2V7") && svg.contains("cx=\"48\"") && svg.contains("cx=\"69.5\""),
            "{svg}"
        );
    }

    #[test]
    fn what_has_no_scale_stands_in_the_middle() {
        for values in [[(1.0, 0.0); 2], [(f64::MAX, 0.0), (-f64::MAX, 0.0)]] {
            let svg = html(&Picture::Intervals { values, label: String::new() });
            assert_eq!(svg.matches("cx=\"48\"").count(), 2, "{svg}");
        }
    }

    #[test]
    fn a_share_is_as_long_as_it_is_large() {
        assert!(html(&Picture::Share(0.25)).contains("M0 3H24V13"));
        assert!(html(&Picture::Share(2.0)).contains("M0 3H96V13"));
    }
}
