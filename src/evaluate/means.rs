//! The means of columns of one table: what was read in one row belongs together, so that their scatter is correlated as
//! the rows are (JCGM 100:2008, 5.2.3, equation 17).

use super::evaluator::Evaluator;
use super::fault::FaultKind;
use super::propagate::{MOST_TIED, Node};
use super::sheet::Column;
use super::statistics::Sum;
use crate::course::Combine;

/// Ties the scatter of a column's mean to that of the means of other columns of its table, where uncertainties are
/// combined as `standard` ones.
pub(super) fn tie(node: Node, column: &Column, mean: f64, evaluator: &mut Evaluator<'_>) -> Result<(), FaultKind> {
    if evaluator.course.combine != Combine::Standard {
        return Ok(());
    }
    let Some(apart) = apart(column, mean) else { return Ok(()) };
    let means = evaluator.tables.entry(column.table).or_default();
    if means.len() >= MOST_TIED {
        return Err(FaultKind::NotComputed { what: "mean" });
    }
    for (other, theirs) in &*means {
        evaluator.propagation.tie(*other, node, along(&apart, theirs).clamp(-1.0, 1.0));
    }
    means.push((node, apart));
    Ok(())
}

/// `None` where all rows are alike.
fn apart(column: &Column, mean: f64) -> Option<Vec<f64>> {
    let apart = |row: &super::sheet::Row| row.measure.map_or(0.0, |measure| measure.value - mean);
    let apart: Vec<f64> = column.rows.iter().map(apart).collect();
    let size = apart.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
    let scaled: Vec<f64> = apart.iter().map(|x| x / size).collect();
    let length = libm::sqrt(along(&scaled, &scaled));
    (size > 0.0 && length.is_finite()).then(|| scaled.iter().map(|x| x / length).collect())
}

fn along(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).collect::<Sum>().value()
}
