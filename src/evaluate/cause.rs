//! What a variable of the propagation stands for.

use std::collections::hash_map::Entry;

use super::line::Asked;
use super::propagate::{Contribution, Node};
use super::sheet::{Origin, Quantity, QuantityId, Sheet, Source};
use super::tied::Tie;
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
    /// The scatter of points about a line: upright, across, and whether it has to pass through the origin.
    Fit(&'s Quantity, &'s Quantity, bool),
}

impl Of<'_> {
    /// Whose it is, in the notation's own words: `L_0`, `F against x`.
    pub fn words(&self) -> String {
        match self {
            Self::Quantity(quantity) | Self::Row(quantity, _) => quantity.symbol.to_string(),
            Self::Scatter(of) | Self::Tied(of, _) => {
                of.iter().map(|quantity| quantity.symbol.as_str()).collect::<Vec<_>>().join(", ")
            }
            Self::Fit(y, x, false) => format!("{} against {}", y.symbol, x.symbol),
            Self::Fit(y, x, true) => format!("{} against {} through 0", y.symbol, x.symbol),
        }
    }
}

/// Pure numbers, to be pointed at.
static ONE: Unit = Unit::ONE;

/// What is remembered of a variable.
#[derive(Clone, Debug)]
pub(super) enum Key {
    /// The place of a source in its quantity's list, and of the variable in its parts.
    Source { quantity: QuantityId, source: usize, part: usize },
    /// The place of a source in its column's list, none of an uncertainty that the row states itself; the row, the
    /// amount there in the column's unit.
    Row { column: QuantityId, source: Option<usize>, row: usize, amount: f64 },
    /// A scatter with its amount, in the unit of the first, and its degrees of freedom.
    Scatter { of: Vec<QuantityId>, amount: f64, dof: f64 },
    /// All errors that a reading has alone, which are tied to those of others.
    Tied { quantity: QuantityId },
    /// The scatter about a line; its amount is one standard deviation.
    Fit { line: Asked, dof: f64 },
}

impl Sheet {
    /// What a contribution stands for: one variable, or several that are correlated.
    pub fn cause_of(&self, contribution: &Contribution) -> Option<Cause<'_>> {
        let single = contribution.members.count_ones() < 2;
        if single || matches!(self.causes.get(&contribution.source), Some(Key::Fit { .. })) {
            return self.cause(contribution.source);
        }
        let members = self.propagation.members(contribution);
        let dof = members.iter().map(|&node| self.propagation.dof_of_source(node)).fold(f64::INFINITY, f64::min);
        let scatters = members.iter().any(|node| matches!(self.causes.get(node), Some(Key::Scatter { .. })));
        let ids: Vec<QuantityId> = members.iter().filter_map(|node| self.tied_quantity(*node)).collect();
        let of = Of::Tied(ids.iter().filter_map(|&id| self.quantities.get(id)).collect(), self.ties.among(&ids));
        let kind = if scatters { &Kind::Repeat } else { &Kind::Plain };
        Some(Cause { kind, ..scatter(of, 1.0, &ONE, dof) })
    }

    fn tied_quantity(&self, node: Node) -> Option<QuantityId> {
        match self.causes.get(&node)? {
            Key::Tied { quantity } => Some(*quantity),
            Key::Scatter { of, .. } => of.first().copied(),
            _ => None,
        }
    }

    /// What a variable of the propagation stands for.
    pub fn cause(&self, node: Node) -> Option<Cause<'_>> {
        let found = |id: QuantityId| self.quantities.get(id);
        match self.causes.get(&node)? {
            Key::Source { quantity, source, part } => {
                let quantity = found(*quantity)?;
                let source = quantity.sources.get(*source)?;
                let part = source.parts.get(*part)?;
                let (shared, relative) = (part.shared, part.relative);
                Some(Cause { shared, relative, ..stated(Of::Quantity(quantity), source, part.amount, &part.unit) })
            }
            Key::Row { column, source, row, amount } => {
                let column = found(*column)?;
                let (of, unit) = (Of::Row(column, *row), &column.unit);
                match source {
                    Some(source) => Some(stated(of, column.sources.get(*source)?, *amount, unit)),
                    None => {
                        let dof = self.propagation.dof_of_source(node);
                        Some(Cause { kind: &Kind::Plain, ..scatter(of, *amount, unit, dof) })
                    }
                }
            }
            Key::Scatter { of, amount, dof } => {
                let of: Vec<_> = of.iter().filter_map(|&id| found(id)).collect();
                let unit = &of.first()?.unit;
                Some(scatter(Of::Scatter(of), *amount, unit, *dof))
            }
            // Alone it is found as the sources that it stands for.
            Key::Tied { quantity } => {
                let (of, dof) = (Of::Quantity(found(*quantity)?), self.propagation.dof_of_source(node));
                Some(Cause { kind: &Kind::Plain, ..scatter(of, 1.0, &ONE, dof) })
            }
            Key::Fit { line: (y, x, through_origin), dof } => {
                Some(scatter(Of::Fit(found(*y)?, found(*x)?, *through_origin), 1.0, &ONE, *dof))
            }
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
                let key = Key::Source { quantity, source, part };
                let known = sheet.causes.entry(variable.node);
                match known {
                    Entry::Occupied(mut row) if column && matches!(row.get(), Key::Row { .. }) => {
                        row.insert(key);
                    }
                    known => {
                        known.or_insert(key);
                    }
                }
            }
        }
    }
}
