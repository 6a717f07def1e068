//! Lines through the same points: what moves the one moves the other.
//!
//! A slope and the slope through the origin, or two slopes of one column against two others, follow from the same errors.
//! What ties them is as well known as the lines themselves: an error in y of row i moves each by a derivative of
//! its own, and by `scatter` the errors of all rows are of one size. Two lines are tied by the errors in every
//! column that both take to be wrong: by `scatter` and `weighted` that in y, by `both-errors` those in both. Of lines
//! that take different columns to be wrong (y against x by `scatter`, and x against y), nothing is known in common; nor
//! of those midway between extremes, whose limits add like any others.

use crate::evaluate::evaluator::Evaluator;
use crate::evaluate::fault::FaultKind;
use crate::evaluate::fit::Directions;
use crate::evaluate::sheet::{Asked, Fitted, QuantityId};
use crate::evaluate::statistics::Sum;

/// Why a line is given up when the steps for its kind are used up: with a part of its uncertainty left out it would look like any other.
pub(super) const TOO_MUCH: FaultKind = FaultKind::NotComputed { what: "line" };

/// How many lines may be tied by the errors of one column: each of them is held against all others.
const MOST: usize = 100;

/// Ties a line to those before it that its points' errors move as well.
pub(super) fn tie(asked: Asked, fitted: &Fitted, evaluator: &mut Evaluator<'_>) -> Result<(), FaultKind> {
    let (Some(variables), Some(own)) = (fitted.variables, Errors::of(asked, fitted)) else { return Ok(()) };
    let mut others: Vec<Asked> = Vec::new();
    for column in own.columns() {
        let takers = evaluator.takers.entry(column).or_default();
        if takers.len() >= MOST {
            return Err(FaultKind::NotComputed { what: "tied" });
        }
        others.extend(&*takers);
        takers.push(asked);
    }
    others.sort_unstable();
    others.dedup();
    for other in others {
        let Some(earlier) = evaluator.lines.get(&other) else { continue };
        let steps = fitted.points.len() + earlier.points.len();
        evaluator.line_steps = evaluator.line_steps.checked_sub(steps).ok_or(TOO_MUCH)?;
        if let (Some(before), Some(errors)) = (earlier.variables, Errors::of(other, earlier)) {
            for (variable, with) in variables.into_iter().zip(own.correlations(&errors)) {
                before.into_iter().zip(with).for_each(|(other, r)| evaluator.propagation.tie(other, variable, r));
            }
        }
    }
    Ok(())
}

/// The errors that move a line, by the columns that they are in.
struct Errors<'f> {
    asked: Asked,
    rows: &'f [usize],
    directions: Directions,
}

impl<'f> Errors<'f> {
    fn of(asked: Asked, fitted: &'f Fitted) -> Option<Self> {
        let directions = fitted.line.directions(&fitted.points)?;
        Some(Self { asked, rows: &fitted.rows, directions })
    }

    /// The columns, each with the parts of both variables in the errors of its rows.
    fn parts(&self) -> impl Iterator<Item = (QuantityId, &[Vec<f64>; 2])> {
        let (y, x, _) = self.asked;
        let Directions { by_y, by_x } = &self.directions;
        [(y, by_y), (x, by_x)].into_iter().filter(|(_, [first, _])| !first.is_empty())
    }

    fn columns(&self) -> Vec<QuantityId> {
        let mut columns: Vec<_> = self.parts().map(|(column, _)| column).collect();
        columns.dedup();
        columns
    }

    /// The correlations of both variables with those of another line.
    fn correlations(&self, other: &Errors<'_>) -> [[f64; 2]; 2] {
        let mut sums = [[Sum::default(); 2]; 2];
        for (column, own) in self.parts() {
            for (_, others) in other.parts().filter(|(same, _)| *same == column) {
                for (sums, own) in sums.iter_mut().zip(own) {
                    sums.iter_mut().zip(others).for_each(|(sum, others)| self.add(sum, own, (other.rows, others)));
                }
            }
        }
        sums.map(|of| of.map(Sum::value))
    }

    /// Row by row; a row may be missing in either.
    fn add(&self, sum: &mut Sum, own: &[f64], (rows, others): (&[usize], &[f64])) {
        let mut others = rows.iter().zip(others).peekable();
        for (row, own) in self.rows.iter().zip(own) {
            while others.next_if(|(other, _)| *other < row).is_some() {}
            if let Some((_, other)) = others.next_if(|(other, _)| *other == row) {
                sum.add(own * other);
            }
        }
    }
}
