//! What a variable of the propagation stands for.

use super::propagate::{Contribution, Node};
use super::sheet::{Asked, Key, Origin, Quantity, QuantityId, Sheet, Source, Tie};
use super::units::ONE;
use crate::quantity::{Kind, Shape, Unit};

/// What a variable of the propagation stands for.
#[derive(Clone, Debug)]
pub struct Cause<'s> {
    /// Whose error it is.
    pub of: Of<'s>,
    /// What it comes from.
    pub kind: &'s Kind,
    /// The source as it was stated, where it was.
    pub source: Option<&'s Source>,
    /// Its amount, in `unit`.
    pub amount: f64,
    /// The unit of that amount: as a rule the quantity's, of a relative error that of pure numbers.
    pub unit: &'s Unit,
    /// What kind of limit the amount is.
    pub shape: Shape,
    /// Its degrees of freedom; `None` means infinitely many.
    pub dof: Option<f64>,
    /// Is it the same error in all readings taken with the instrument?
    pub shared: bool,
    /// Is it a share of the value?
    pub relative: bool,
}

/// Whose error a variable is.
#[derive(Clone, Debug)]
pub enum Of<'s> {
    /// A reading's; of one that several readings share, the first of them.
    Quantity(&'s Quantity),
    /// That of one row of a column, from 0.
    Row(&'s Quantity, usize),
    /// The scatter of several quantities taken as readings of one, or of the rows of a column.
    Scatter(Vec<&'s Quantity>),
    /// Those of several readings, or the scatter of several columns, which are correlated; with what was stated of the
    /// readings.
    Tied(Vec<&'s Quantity>, Vec<&'s Tie>),
    /// The scatter of points about a line, or about several lines through the same points.
    Fit(Vec<OfLine<'s>>),
}

/// Which line: upright, across, and whether it has to pass through the origin.
#[derive(Clone, Copy, Debug)]
pub struct OfLine<'s> {
    /// The column upright.
    pub y: &'s Quantity,
    /// The column across.
    pub x: &'s Quantity,
    /// Does it have to pass through the origin?
    pub through_origin: bool,
}

impl OfLine<'_> {
    fn words(&self) -> String {
        let through = if self.through_origin { " through 0" } else { "" };
        format!("{} against {}{through}", self.y.symbol, self.x.symbol)
    }
}

impl Of<'_> {
    /// Whose it is, in the notation's own words: `L_0`, `F against x`.
    pub fn words(&self) -> String {
        match self {
            Self::Quantity(quantity) | Self::Row(quantity, _) => quantity.symbol.to_string(),
            Self::Scatter(of) | Self::Tied(of, _) => {
                of.iter().map(|quantity| quantity.symbol.as_str()).collect::<Vec<_>>().join(", ")
            }
            Self::Fit(lines) => lines.iter().map(OfLine::words).collect::<Vec<_>>().join(", "),
        }
    }
}

impl Sheet {
    /// What a contribution stands for: a variable, or several that are correlated. Of these, the degrees of freedom are
    /// the fewest of any.
    pub fn cause_of(&self, contribution: &Contribution) -> Option<Cause<'_>> {
        let Contribution { source, members, .. } = contribution;
        if members.len() < 2 {
            return self.cause(*source);
        }
        let dof = members.iter().map(|&node| self.propagation.dof_of_source(node)).fold(f64::INFINITY, f64::min);
        let keys = || members.iter().filter_map(|&node| self.causes.get(node));
        let mut lines: Vec<Asked> = keys().filter_map(Key::line).collect();
        // Each has two variables.
        lines.dedup();
        if !lines.is_empty() {
            let of = Of::Fit(lines.into_iter().filter_map(|line| self.line(line)).collect());
            return Some(scatter(of, 1.0, &ONE, dof));
        }
        let ids: Vec<QuantityId> = keys().filter_map(Key::tied).collect();
        let of = Of::Tied(ids.iter().filter_map(|&id| self.quantities.get(id)).collect(), self.ties.among(&ids));
        let scatters = keys().any(|key| matches!(key, Key::Scatter { .. }));
        let kind = if scatters { &Kind::Repeat } else { &Kind::Plain };
        Some(Cause { kind, ..scatter(of, 1.0, &ONE, dof) })
    }

    fn line(&self, (y, x, through_origin): Asked) -> Option<OfLine<'_>> {
        let found = |id: QuantityId| self.quantities.get(id);
        Some(OfLine { y: found(y)?, x: found(x)?, through_origin })
    }

    /// What a variable of the propagation stands for.
    pub fn cause(&self, node: Node) -> Option<Cause<'_>> {
        let found = |id: QuantityId| self.quantities.get(id);
        let dof = self.propagation.dof_of_source(node);
        match self.causes.get(node)? {
            Key::Source { quantity, source, part } => {
                let quantity = found(*quantity)?;
                let source = quantity.sources.get(*source)?;
                let part = source.parts.get(*part)?;
                let (shared, relative) = (part.shared, part.relative);
                let unit = if relative { &ONE } else { &quantity.unit };
                Some(Cause { shared, relative, ..stated(Of::Quantity(quantity), source, part.amount, unit) })
            }
            Key::Row { column, source, row, amount } => {
                let column = found(*column)?;
                let (of, unit) = (Of::Row(column, *row), &column.unit);
                match source {
                    Some(source) => Some(stated(of, column.sources.get(*source)?, *amount, unit)),
                    None => Some(Cause { kind: &Kind::Plain, ..scatter(of, *amount, unit, dof) }),
                }
            }
            Key::Scatter { of, amount } => {
                let of: Vec<_> = of.iter().filter_map(|&id| found(id)).collect();
                let unit = &of.first()?.unit;
                Some(scatter(Of::Scatter(of), *amount, unit, dof))
            }
            // Alone it is found as the sources that it stands for.
            Key::Tied { quantity } => {
                Some(Cause { kind: &Kind::Plain, ..scatter(Of::Quantity(found(*quantity)?), 1.0, &ONE, dof) })
            }
            Key::Fit { line } => Some(scatter(Of::Fit(vec![self.line(*line)?]), 1.0, &ONE, dof)),
        }
    }
}

fn stated<'s>(of: Of<'s>, source: &'s Source, amount: f64, unit: &'s Unit) -> Cause<'s> {
    let Source { kind, shape, dof, .. } = source;
    Cause { of, kind, source: Some(source), amount, unit, shape: *shape, dof: *dof, shared: false, relative: false }
}

fn scatter<'s>(of: Of<'s>, amount: f64, unit: &'s Unit, dof: f64) -> Cause<'s> {
    let (kind, shape, dof) = (&Kind::Repeat, Shape::Normal, Some(dof).filter(|dof| dof.is_finite()));
    Cause { of, kind, source: None, amount, unit, shape, dof, shared: false, relative: false }
}

/// Of every variable of a reading, where it was first met.
pub(super) fn of_readings(sheet: &mut Sheet) {
    for (quantity, entry) in sheet.quantities.iter().enumerate() {
        // Those of a column that have parts are shared by all readings of an instrument.
        let column = matches!(entry.origin, Origin::Column(_));
        for (source, stated) in entry.sources.iter().enumerate() {
            for (part, variable) in stated.parts.iter().enumerate() {
                let known = sheet.causes.place(variable.node);
                if known.is_none() || column && matches!(known, Some(Key::Row { .. })) {
                    *known = Some(Key::Source { quantity, source, part });
                }
            }
        }
    }
}
