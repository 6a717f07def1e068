//! What is said of a graph: its title, its description, the caption, the table of its data.

use std::borrow::Cow;

use super::View;
use super::figure::Figure;
use super::number;
use super::words::{self, Word};
use crate::course::Combine;
use crate::evaluate::sheet::{Column, Origin};
use crate::evaluate::sheet::{Drawn, Graph, Mark};
use crate::evaluate::{Quantity, QuantityId};
use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Dimension, Rounding, Unit, round};
use crate::render::column;
use crate::render::piece::{self, Group, Math, Piece, Row, Table};
use crate::render::unit;

/// Rows of the table of data; the report's own table has all of them.
const MOST_ROWS: usize = 1000;
/// Figures of a number that is only described.
const FIGURES: u32 = 3;

/// All that is said of a graph.
pub(super) struct Said<'r> {
    pub(super) title: String,
    pub(super) heading: Option<String>,
    pub(super) description: String,
    pub(super) caption: Vec<Piece<'r>>,
    pub(super) data: Table<'r>,
}

/// Says it; so many of the points are drawn.
pub(super) fn said<'r>(view: View<'r>, graph: &Graph, drawn: usize) -> Option<Said<'r>> {
    let teller = Teller { view, graph, y: column_of(view, graph.y)?, x: column_of(view, graph.x)? };
    let own = graph.title.as_deref().map(str::trim).filter(|title| !title.is_empty());
    let title = own.map_or_else(|| bare(&teller.of_columns()), str::to_owned);
    let heading = own.map(|title| format!("{}.", title.trim_end_matches('.')));
    let sentences = [teller.lines(), teller.remarks(drawn)].concat();
    let mut described = vec![teller.points()];
    described.extend(teller.lines());
    let (description, caption) = (bare(&joined(described)), joined(sentences));
    Some(Said { title, heading, description, caption, data: teller.data() })
}

/// Sentences, each with its full stop.
fn joined(sentences: Vec<Vec<Piece<'_>>>) -> Vec<Piece<'_>> {
    let mut all = Vec::new();
    for (n, sentence) in sentences.into_iter().enumerate() {
        all.extend((n > 0).then(|| Piece::text(" ")));
        all.extend(sentence);
        all.push(Piece::text("."));
    }
    all
}

fn bare(pieces: &[Piece<'_>]) -> String {
    pieces.iter().map(Piece::bare).collect()
}

fn column_of<'r>(view: View<'r>, id: QuantityId) -> Option<(&'r Quantity, &'r Column)> {
    let quantity = view.sheet.quantities.get(id)?;
    match &quantity.origin {
        Origin::Column(column) => Some((quantity, column)),
        _ => None,
    }
}

struct Teller<'r, 'g> {
    view: View<'r>,
    graph: &'g Graph,
    y: (&'r Quantity, &'r Column),
    x: (&'r Quantity, &'r Column),
}

impl<'r> Teller<'r, '_> {
    fn filled<const N: usize>(&self, word: Word, parts: [(&str, Vec<Piece<'r>>); N]) -> Vec<Piece<'r>> {
        word.filled(self.view.course, parts)
    }

    /// `Load F against extension x`
    fn of_columns(&self) -> Vec<Piece<'r>> {
        let called = |quantity: &'r Quantity| {
            let name = quantity.name.as_ref().map(|name| Piece::text(format!("{name} ")));
            name.into_iter().chain([symbol(quantity)]).collect()
        };
        self.filled(words::GRAPH, [("y", called(self.y.0)), ("x", called(self.x.0))])
    }

    /// How many points there are, and from where to where they reach.
    fn points(&self) -> Vec<Piece<'r>> {
        let [low_x, high_x] = self.ends(self.x.0, |mark| mark.x);
        let [low_y, high_y] = self.ends(self.y.0, |mark| mark.y);
        let parts = [
            ("count", vec![Piece::text(self.graph.points.len().to_string())]),
            ("y", vec![symbol(self.y.0)]),
            ("x", vec![symbol(self.x.0)]),
            ("low-y", low_y),
            ("high-y", high_y),
            ("low-x", low_x),
            ("high-x", high_x),
        ];
        self.filled(words::GRAPH_POINTS, parts)
    }

    fn ends(&self, quantity: &'r Quantity, of: fn(&Mark) -> f64) -> [Vec<Piece<'r>>; 2] {
        let values = || self.graph.points.iter().map(of);
        let ends = [values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max)];
        ends.map(|end| {
            let figure = Decimal::of_f64(end).map(|end| Figure::exact(end, Rounding::Nearest));
            figure.map(|figure| self.math(figure, &quantity.unit.shown)).into_iter().collect()
        })
    }

    fn math<'u>(&self, figure: Figure, unit: impl Into<Cow<'u, Spelling>>) -> Piece<'u> {
        Piece::Math(figure.math(unit, self.view.course.decimal))
    }

    /// The fitted line in numbers, and the extreme ones.
    fn lines(&self) -> Vec<Vec<Piece<'r>>> {
        let fitted = self.graph.line.as_ref().and_then(|drawn| self.line(drawn));
        fitted.into_iter().chain(self.extremes()).collect()
    }

    fn line(&self, drawn: &Drawn) -> Option<Vec<Piece<'r>>> {
        let options = drawn.fitted.line.options;
        let (unit, factor) = self.slope_unit()?;
        let slope = self.figure(drawn.line.slope * factor, drawn.slope_uncertainty * factor, Cow::Owned(unit))?;
        let intercept = self.figure(drawn.line.intercept, drawn.intercept_uncertainty, &self.y.0.unit.shown)?;
        let word = if options.through_origin { words::GRAPH_LINE_ORIGIN } else { words::GRAPH_LINE };
        let method = vec![words::method(options.method).piece(self.view.course)];
        Some(self.filled(word, [("method", method), ("slope", vec![slope]), ("intercept", vec![intercept])]))
    }

    fn extremes(&self) -> Option<Vec<Piece<'r>>> {
        let (unit, factor) = self.slope_unit()?;
        let slope =
            |slope: f64| Some(vec![self.math(Figure::rough(slope * factor, FIGURES)?, Cow::Owned(unit.clone()))]);
        let [a, b] = self.graph.extremes?.map(|line| line.slope);
        let parts = [("steepest", slope(a.max(b))?), ("flattest", slope(a.min(b))?)];
        Some(self.filled(words::GRAPH_EXTREMES, parts))
    }

    fn figure<'u>(&self, value: f64, uncertainty: f64, unit: impl Into<Cow<'u, Spelling>>) -> Option<Piece<'u>> {
        Some(self.math(Figure::computed(value, uncertainty, self.view.course)?, unit))
    }

    /// The unit that slopes are said in, and what a slope in the columns' units is in it: the quotient of theirs
    /// where that reads well, else the coherent SI unit.
    fn slope_unit(&self) -> Option<(Spelling, f64)> {
        let (of_y, of_x) = (&self.y.0.unit, &self.x.0.unit);
        let single = |unit: &Unit| unit.shown.under.is_empty() && unit.shown.over.len() <= 1 && unit.zero.is_none();
        let apart = of_x.shown.over.iter().all(|factor| !of_y.shown.over.iter().any(|other| other.0 == factor.0));
        if single(of_y) && single(of_x) && apart {
            return Some((Spelling { over: of_y.shown.over.clone(), under: of_x.shown.over.clone() }, 1.0));
        }
        let dimension: Dimension = of_y.dimension.over(of_x.dimension)?;
        Some((Unit::coherent(dimension).shown, of_y.factor() / of_x.factor()))
    }

    /// What the bars are, and which points are not to be seen.
    fn remarks(&self, drawn: usize) -> Vec<Vec<Piece<'r>>> {
        let (points, course) = (&self.graph.points, self.view.course);
        let bars = points.iter().any(|mark| mark.ux > 0.0 || mark.uy > 0.0);
        let total = match course.combine {
            Combine::Sum => words::BARS_SUM,
            Combine::Quadrature => words::BARS_QUADRATURE,
            Combine::Standard => words::BARS_STANDARD,
        };
        let count = |count: usize| vec![Piece::text(count.to_string())];
        let bars = bars.then(|| vec![total.piece(course)]);
        let off = self.graph.off;
        let off = (off > 0).then(|| self.filled(words::GRAPH_OFF, [("count", count(off))]));
        let parts = [("drawn", count(drawn)), ("count", count(points.len()))];
        let thinned = (drawn < points.len()).then(|| self.filled(words::GRAPH_THINNED, parts));
        [bars, off, thinned].into_iter().flatten().collect()
    }

    /// The points in numbers, as the report records them or as it works them out.
    fn data(&self) -> Table<'r> {
        let points = &self.graph.points;
        let heading = |quantity: &Quantity| Cow::Owned(Piece::Math(column::over_unit(quantity)).bare());
        let columns = [words::GRAPH_ROW.of(self.view.course).into(), heading(self.x.0), heading(self.y.0)];
        let columns = columns.into_iter().zip([false, true, true]);
        let mut rows: Vec<Row<'_>> = points.iter().take(MOST_ROWS).map(|mark| self.row(mark)).collect();
        if let Some(more) = points.len().checked_sub(MOST_ROWS).filter(|&more| more > 0) {
            let count = vec![Piece::text(more.to_string())];
            let more = self.filled(words::MORE_VALUES, [("count", count)]);
            rows.push(Row { cells: vec![more, Vec::new(), Vec::new()], total: false });
        }
        Table {
            caption: words::GRAPH_DATA.of(self.view.course).into(),
            columns: columns.map(|(heading, numeric)| piece::Column { heading, numeric }).collect(),
            groups: vec![Group { title: Vec::new(), rows: Box::new(rows.into_iter()) }],
        }
    }

    fn row(&self, mark: &Mark) -> Row<'r> {
        let cells =
            vec![vec![Piece::text((mark.row + 1).to_string())], self.cell(self.x, mark), self.cell(self.y, mark)];
        Row { cells, total: false }
    }

    /// A value with its uncertainty, without the unit, which the heading has.
    fn cell(&self, (quantity, column): (&Quantity, &Column), mark: &Mark) -> Vec<Piece<'r>> {
        let row = column.rows.get(mark.row);
        let typed = row.and_then(|row| row.typed).filter(|_| !column.result);
        let figure = row.and_then(|row| row.measure).and_then(|measure| match typed {
            Some(typed) => {
                let amount = Decimal::of_f64(number::spread(measure.uncertainty, &quantity.unit))?;
                let amount = round::to_figures(amount, 12, Rounding::Nearest);
                Some(number::typed(typed, number::total_at(self.view, amount, typed.decimal.last_place())))
            }
            None => number::of_measure(self.view, quantity, measure, &quantity.unit),
        });
        figure.map(|figure| Piece::text(self.math(figure, unit::NONE).bare())).into_iter().collect()
    }
}

fn symbol(quantity: &Quantity) -> Piece<'static> {
    Piece::Math(Math::Symbol(quantity.symbol.clone()))
}
