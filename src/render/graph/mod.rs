//! Graphs as pictures: what stands in them, what is said beneath, the data behind them.

mod axis;
mod clip;
mod draw;
mod layout;
mod say;
mod svg;
mod text;
mod thinning;
mod ticks;

use axis::Extent;
use layout::{Content, Entry, Name, Side};

use super::View;
use super::figure;
use super::piece::{Piece, Table};
use super::words;
use super::{number, plain};
use crate::evaluate::sheet::Graph;
use crate::evaluate::{Quantity, QuantityId};

/// The look of a picture that stands in a file of its own, on a ground of its own.
const STYLE: &str = include_str!("file.css");

/// Residuals smaller than this part of the values are what the arithmetic of doubles left.
const NOISE: f64 = 1e-12;

/// A graph, ready to be put into a report.
pub(super) struct Shown<'r> {
    /// Which of the report's graphs it is, from 1.
    pub(super) number: usize,
    /// Its title, its author's or one made of its columns.
    pub(super) title: String,
    /// What is to be seen, for those who do not see it.
    pub(super) description: String,
    /// Its author's title, to stand beneath.
    pub(super) heading: Option<String>,
    /// What stands behind that.
    pub(super) caption: Vec<Piece<'r>>,
    /// The points in numbers.
    pub(super) data: Table<'r>,
    picture: draw::Picture,
}

/// Where a picture goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ground<'g> {
    /// Into a page of HTML, whose colours and type it takes; there its texts' names begin so, followed by its number.
    Page {
        /// As nothing else on the page is called.
        ids: &'g str,
    },
    /// Into a file of its own.
    File,
}

/// A graph; `None` where its columns have gone.
pub(super) fn shown<'r>(view: View<'r>, graph: &Graph, number: usize) -> Option<Shown<'r>> {
    let picture = draw::picture(graph, &content(view, graph)?);
    let said = say::said(view, graph, picture.drawn)?;
    let say::Said { title, heading, description, caption, data } = said;
    Some(Shown { number, title, heading, description, caption, data, picture })
}

impl Shown<'_> {
    /// The picture.
    pub(super) fn svg(&self, ground: Ground<'_>) -> String {
        let ids = match ground {
            Ground::Page { ids } => ids,
            Ground::File => "graph.",
        };
        let id = |part: &str| format!("{ids}{}.{part}", self.number);
        let (title, description) = (svg::escaped(&self.title), svg::escaped(&self.description));
        let (width, height) = (svg::number(layout::WIDTH), svg::number(self.picture.height));
        let (space, before) = match ground {
            Ground::Page { .. } => ("", String::new()),
            Ground::File => (
                " xmlns=\"http://www.w3.org/2000/svg\"",
                format!(
                    "<style>\n{STYLE}</style>\n<rect class=\"graph-paper\" fill=\"#fdfdfb\" width=\"{width}\" height=\"{height}\"/>\n"
                ),
            ),
        };
        format!(
            "<svg{space} class=\"graph\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" role=\"img\" \
             aria-labelledby=\"{title_id} {description_id}\">\n<title id=\"{title_id}\">{title}</title>\n\
             <desc id=\"{description_id}\">{description}</desc>\n{before}{elements}</svg>\n",
            title_id = id("title"),
            description_id = id("description"),
            elements = self.picture.elements,
        )
    }
}

/// What the picture has to hold.
fn content(view: View<'_>, graph: &Graph) -> Option<Content> {
    let quantity = |id: QuantityId| view.sheet.quantities.get(id);
    let (of_y, of_x) = (quantity(graph.y)?, quantity(graph.x)?);
    let side = |quantity: &Quantity, extent, logarithmic| Side { extent, logarithmic, name: name(quantity) };
    let reach = graph.points.iter().filter_map(|mark| Some(mark.residual?.abs() + mark.uy)).fold(0.0, f64::max);
    let size = graph.points.iter().map(|mark| mark.y.abs()).fold(0.0, f64::max);
    let residuals = graph.residuals.then(|| {
        let of_y = name(of_y);
        let words = words::RESIDUAL.of(view.course).to_owned();
        (if reach > NOISE * size { reach } else { 0.0 }, Name { words, symbol: Vec::new(), unit: of_y.unit })
    });
    Some(Content {
        x: side(of_x, across(graph), graph.log_x),
        y: side(of_y, upright(graph), graph.log_y),
        residuals,
        legend: legend(view, graph),
        decimal: view.course.decimal,
    })
}

/// The values that the axis across has to show.
fn across(graph: &Graph) -> Extent {
    let bars = graph.points.iter().fold(Extent::NONE, |extent, mark| extent.with_bar(mark.x, mark.ux, graph.log_x));
    graph.samples.iter().fold(bars, |extent, &x| extent.with(x))
}

/// The values that the axis upright has to show: all bars, and the fitted line where it does not lead far away.
fn upright(graph: &Graph) -> Extent {
    let bars = graph.points.iter().fold(Extent::NONE, |extent, mark| extent.with_bar(mark.y, mark.uy, graph.log_y));
    let Some(drawn) = &graph.line else { return bars };
    let ends = [graph.samples.first(), graph.samples.last()].into_iter().flatten().map(|&x| drawn.line.at(x));
    ends.filter(|&y| bars.is_near(y, graph.log_y)).fold(bars, Extent::with)
}

fn name(quantity: &Quantity) -> Name {
    let unit = (!quantity.unit.is_one()).then(|| plain::unit(&figure::behind_number((&quantity.unit.shown).into())));
    Name {
        words: quantity.name.as_deref().unwrap_or_default().to_owned(),
        symbol: text::symbol(&quantity.symbol),
        unit,
    }
}

/// What has to be told apart: a line alone is not.
fn legend(view: View<'_>, graph: &Graph) -> Vec<(Entry, String)> {
    let banded = graph.line.as_ref().is_some_and(|drawn| draw::has_band(&drawn.band));
    let line = match (banded, graph.extremes.is_some()) {
        (true, _) => Some(words::LEGEND_BAND),
        (false, true) => Some(words::LEGEND_LINE),
        (false, false) => None,
    };
    let line = line.filter(|_| graph.line.is_some()).map(|word| (Entry::Line, word));
    let extremes = graph.extremes.is_some().then_some((Entry::Extremes, words::LEGEND_EXTREMES));
    line.into_iter().chain(extremes).map(|(entry, word)| (entry, word.of(view.course).to_owned())).collect()
}
