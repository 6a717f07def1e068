//! The picture itself: grid, band, bars, lines, points, axes, text, one above the other.

use super::clip::{self, At};
use super::layout::{Content, Entry, Layout, Panel, SAMPLE};
use super::svg::{self, Path, number};
use super::thinning::{self, Drawn, Spot};
use crate::evaluate::sheet::{Graph, Mark, Straight};

/// The line through the points: Okabe and Ito's blue; their vermilion is that of the extreme lines (M. Okabe,
/// K. Ito, Color Universal Design, 2008, from memory). Both stand out from light and from dark grounds. The lines
/// differ by their dashes as well, since not every reader sees the colours, nor every printer has them.
const LINE: &str = "#0072B2";
const EXTREME: &str = "#D55E00";

/// How long the marks of an axis are.
const TICK: f64 = 5.0;
const MINOR_TICK: f64 = 3.0;

/// How points are drawn.
#[derive(Clone, Copy)]
struct Hand {
    /// The width of a dot.
    dot: f64,
    /// Half the width of a bar's caps; 0 of none.
    cap: f64,
    /// How dark: where many lie on one another, what lies in between is to be seen.
    opacity: f64,
    /// Do lines lie over them? Among many points they would be lost.
    beneath: bool,
}

impl Hand {
    /// For so many points.
    const fn of(points: usize) -> Self {
        match points {
            0..=60 => Self { dot: 5.6, cap: 3.0, opacity: 1.0, beneath: false },
            61..=300 => Self { dot: 4.2, cap: 2.0, opacity: 1.0, beneath: true },
            _ => Self { dot: 2.6, cap: 0.0, opacity: 0.5, beneath: true },
        }
    }
}

/// A picture's elements, and how many of its points are drawn.
pub(super) struct Picture {
    pub(super) elements: String,
    pub(super) height: f64,
    pub(super) drawn: usize,
}

/// Draws a graph.
pub(super) fn picture(graph: &Graph, content: &Content) -> Picture {
    let layout = Layout::of(content);
    let artist = Artist { graph, layout: &layout };
    let mut elements = artist.grid();
    let drawn = artist.panel(&mut elements);
    artist.residuals(&mut elements);
    elements.push_str(&artist.axes());
    elements.push_str(&artist.legend());
    elements.push_str(&svg::texts(&layout.texts));
    Picture { elements, height: layout.height, drawn }
}

struct Artist<'g> {
    graph: &'g Graph,
    layout: &'g Layout,
}

impl Artist<'_> {
    fn panels(&self) -> impl Iterator<Item = &Panel> {
        [Some(&self.layout.main), self.layout.residuals.as_ref()].into_iter().flatten()
    }

    /// Faint lines through the labelled marks, as on squared paper.
    fn grid(&self) -> String {
        let Layout { left, right, x, .. } = self.layout;
        let mut path = Path::default();
        for panel in self.panels() {
            for tick in &panel.axis.scale.ticks {
                path.from(*left, panel.at(panel.axis.share_of_mark(tick.at))).across_to(*right);
            }
            for tick in &x.scale.ticks {
                path.from(self.layout.across_at(x.share_of_mark(tick.at)), panel.top).upright_to(panel.bottom);
            }
        }
        path.element(
            "class=\"graph-grid\" fill=\"none\" stroke=\"currentColor\" stroke-opacity=\"0.16\" stroke-width=\"0.8\"",
        )
    }

    /// Band, bars, lines and points; how many points are drawn.
    fn panel(&self, out: &mut String) -> usize {
        let main = &self.layout.main;
        let bars = self.graph.points.iter().map(|mark| self.spot(mark, main, mark.y)).collect::<Vec<_>>();
        let drawn = thinning::drawn(&spots(&bars));
        let hand = Hand::of(drawn.points.len());
        let points = dots(&bars, &drawn, hand);
        let (beneath, above) = if hand.beneath { (points, String::new()) } else { (String::new(), points) };
        let lines = self.lines();
        for layer in [self.band(), self.bars(&bars, &drawn, hand, true), beneath, lines, above] {
            out.push_str(&layer);
        }
        drawn.points.len()
    }

    fn lines(&self) -> String {
        let mut out = String::new();
        if let Some(extremes) = &self.graph.extremes {
            let mut path = Path::default();
            extremes.iter().for_each(|line| self.line(*line, &mut path));
            out.push_str(&path.element(&extreme_style()));
        }
        if let Some(drawn) = &self.graph.line {
            let mut path = Path::default();
            self.line(drawn.line, &mut path);
            out.push_str(&path.element(&line_style()));
        }
        out
    }

    /// Where a point and the ends of its bars stand.
    fn spot(&self, mark: &Mark, panel: &Panel, value: f64) -> Bars {
        let across = |x| self.layout.across(x);
        let (y, x) = (panel.height(value), across(mark.x));
        let (x, y) = (x.unwrap_or(self.layout.left), y.unwrap_or(panel.bottom));
        let left = across(mark.x - mark.ux).filter(|&left| left >= self.layout.left - 0.01);
        let bottom = panel.height(value - mark.uy).filter(|&bottom| bottom <= panel.bottom + 0.01);
        let spot = Spot {
            x,
            y,
            left: left.unwrap_or(self.layout.left),
            right: across(mark.x + mark.ux).unwrap_or(x),
            top: panel.height(value + mark.uy).unwrap_or(y),
            bottom: bottom.unwrap_or(panel.bottom),
        };
        Bars {
            spot,
            has_x: mark.ux > 0.0,
            has_y: mark.uy > 0.0,
            cut_left: left.is_none(),
            cut_bottom: bottom.is_none(),
        }
    }

    fn bars(&self, bars: &[Bars], drawn: &Drawn, hand: Hand, both: bool) -> String {
        let mut path = Path::default();
        for bar in drawn.bars.iter().filter_map(|&n| bars.get(n)) {
            bar.upright(hand, &mut path);
            if both {
                bar.across(hand, &mut path);
            }
        }
        path.element(&format!(
            "class=\"graph-bars\" fill=\"none\" stroke=\"currentColor\"{} stroke-width=\"0.9\"",
            hand.shade()
        ))
    }

    /// How well the line is known at each abscissa.
    fn band(&self) -> String {
        let Some(drawn) = self.graph.line.as_ref().filter(|drawn| has_band(&drawn.band)) else { return String::new() };
        let Panel { top, bottom, .. } = self.layout.main;
        let edge = |sign: f64| {
            let known = self.graph.samples.iter().zip(&drawn.band);
            known.filter_map(move |(&x, &u)| {
                let height = drawn.line.at(x) + sign * u;
                // Where there is no logarithm the band goes on to the bottom.
                let height = self.layout.main.height(height).unwrap_or(bottom + 1.0);
                Some((self.layout.across(x)?, height))
            })
        };
        let mut corners: Vec<At> = edge(1.0).collect();
        corners.extend(edge(-1.0).collect::<Vec<_>>().into_iter().rev());
        let mut path = Path::default();
        let inside = clip::area(&corners, top, bottom);
        if !inside.is_empty() {
            path.through(&inside).close();
        }
        path.element(&format!("class=\"graph-band\" fill=\"{LINE}\" fill-opacity=\"0.18\""))
    }

    /// A straight line: between its ends, or where an axis is logarithmic through all samples.
    fn line(&self, line: Straight, path: &mut Path) {
        let samples = &self.graph.samples;
        let straight = !self.graph.log_x && !self.graph.log_y;
        let ends = [samples.first(), samples.last()];
        let places = ends.into_iter().flatten().filter(|_| straight).chain(samples.iter().filter(|_| !straight));
        let at = |&x: &f64| {
            // Where there is no logarithm the line has left the picture.
            let height = self.layout.main.height(line.at(x)).unwrap_or(10.0 * self.layout.main.bottom);
            Some((self.layout.across(x)?, height))
        };
        let points: Vec<At> = places.filter_map(at).collect();
        let Panel { top, bottom, .. } = self.layout.main;
        clip::line(&points, top, bottom).iter().for_each(|part| {
            path.through(part);
        });
    }

    /// What the points miss the line by, each with its bar.
    fn residuals(&self, out: &mut String) {
        let Some(panel) = &self.layout.residuals else { return };
        let zero = panel.at(0.5);
        let line = Path::default().from(self.layout.left, zero).across_to(self.layout.right).element(&line_style());
        let marks = self.graph.points.iter().filter_map(|mark| Some((mark, mark.residual?)));
        let bars: Vec<Bars> = marks.map(|(mark, residual)| self.spot(mark, panel, residual)).collect();
        let drawn = thinning::drawn(&spots(&bars));
        let hand = Hand::of(drawn.points.len());
        let (bars, points) = (self.bars(&bars, &drawn, hand, false), dots(&bars, &drawn, hand));
        let layers = if hand.beneath { [bars, points, line] } else { [line, bars, points] };
        out.push_str(&layers.concat());
    }

    /// The axes and their marks, outward.
    fn axes(&self) -> String {
        let Layout { left, right, x, .. } = self.layout;
        let mut path = Path::default();
        for panel in self.panels() {
            path.from(*left, panel.top).upright_to(panel.bottom).across_to(*right);
            let scale = &panel.axis.scale;
            let mut mark = |at: f64, length: f64| {
                path.from(left - length, panel.at(panel.axis.share_of_mark(at))).across_to(*left);
            };
            scale.ticks.iter().for_each(|tick| mark(tick.at, TICK));
            scale.minor.iter().for_each(|&at| mark(at, MINOR_TICK));
            let mut mark = |at: f64, length: f64| {
                path.from(self.layout.across_at(x.share_of_mark(at)), panel.bottom).upright_to(panel.bottom + length);
            };
            x.scale.ticks.iter().for_each(|tick| mark(tick.at, TICK));
            x.scale.minor.iter().for_each(|&at| mark(at, MINOR_TICK));
        }
        path.element("class=\"graph-axis\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.1\"")
    }

    fn legend(&self) -> String {
        let banded = self.graph.line.as_ref().is_some_and(|drawn| has_band(&drawn.band));
        let sample = |&(entry, at, height): &(Entry, f64, f64)| {
            let mut path = Path::default();
            let line = path.from(at, height).across_to(at + SAMPLE);
            match entry {
                Entry::Extremes => line.element(&extreme_style()),
                Entry::Line if banded => format!(
                    "<rect class=\"graph-band\" fill=\"{LINE}\" fill-opacity=\"0.18\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"10\"/>\n{}",
                    number(at),
                    number(height - 5.0),
                    number(SAMPLE),
                    line.element(&line_style())
                ),
                Entry::Line => line.element(&line_style()),
            }
        };
        self.layout.legend.iter().map(sample).collect()
    }
}

/// Is the line's uncertainty known, and anywhere above zero?
pub(super) fn has_band(band: &[f64]) -> bool {
    band.iter().any(|&uncertainty| uncertainty > 0.0)
}

fn line_style() -> String {
    format!("class=\"graph-line\" fill=\"none\" stroke=\"{LINE}\" stroke-width=\"1.7\"")
}

fn extreme_style() -> String {
    format!("class=\"graph-extreme\" fill=\"none\" stroke=\"{EXTREME}\" stroke-width=\"1.5\" stroke-dasharray=\"7 4\"")
}

impl Hand {
    fn shade(self) -> String {
        if self.opacity < 1.0 { format!(" stroke-opacity=\"{}\"", number(self.opacity)) } else { String::new() }
    }

    /// The caps of a bar of that length; none where the dot hides it.
    fn cap(self, length: f64) -> f64 {
        if length > self.dot + 1.0 { self.cap } else { 0.0 }
    }
}

/// A point in the picture, and which of its bars there are.
struct Bars {
    spot: Spot,
    has_x: bool,
    has_y: bool,
    /// Does a bar reach values that a logarithmic axis has no place for, or does not show?
    cut_left: bool,
    cut_bottom: bool,
}

fn spots(bars: &[Bars]) -> Vec<Spot> {
    bars.iter().map(|bar| bar.spot).collect()
}

impl Bars {
    /// The bar of y; one that goes on past the axis' end has an arrow in place of a cap.
    fn upright(&self, hand: Hand, path: &mut Path) {
        let Spot { x, top, bottom, .. } = self.spot;
        let cap = hand.cap(bottom - top);
        if !self.has_y {
            return;
        }
        path.from(x, top).upright_to(bottom);
        if cap > 0.0 {
            path.from(x - cap, top).across_to(x + cap);
        }
        if self.cut_bottom {
            path.from(x - 3.0, bottom - 5.0).to(x, bottom).to(x + 3.0, bottom - 5.0);
        } else if cap > 0.0 {
            path.from(x - cap, bottom).across_to(x + cap);
        }
    }

    /// The bar of x likewise.
    fn across(&self, hand: Hand, path: &mut Path) {
        let Spot { y, left, right, .. } = self.spot;
        let cap = hand.cap(right - left);
        if !self.has_x {
            return;
        }
        path.from(left, y).across_to(right);
        if cap > 0.0 {
            path.from(right, y - cap).upright_to(y + cap);
        }
        if self.cut_left {
            path.from(left + 5.0, y - 3.0).to(left, y).to(left + 5.0, y + 3.0);
        } else if cap > 0.0 {
            path.from(left, y - cap).upright_to(y + cap);
        }
    }
}

/// Points as dots.
fn dots(bars: &[Bars], drawn: &Drawn, hand: Hand) -> String {
    let mut path = Path::default();
    for bar in drawn.points.iter().filter_map(|&n| bars.get(n)) {
        path.dot(bar.spot.x, bar.spot.y);
    }
    path.element(&format!(
        "class=\"graph-points\" fill=\"none\" stroke=\"currentColor\"{} stroke-linecap=\"round\" stroke-width=\"{}\"",
        hand.shade(),
        number(hand.dot)
    ))
}
