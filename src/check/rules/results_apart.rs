//! `results-apart`: a weighted mean of results that do not agree with one another.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::coverage;
use crate::evaluate::propagate::Node;
use crate::evaluate::sheet::Origin;
use crate::evaluate::statistics::WeightedMean;
use crate::evaluate::{Quantity, Sheet};
use crate::parse::ast::{Formula, Function, Item, Step};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "results-apart",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a weighted mean of results that lie further apart than their uncertainties let chance put them once in a hundred \
               times (χ² test).",
        why: "The uncertainty of a weighted mean follows from the uncertainties of the results alone, however far apart they lie. Where they \
              contradict one another, an error is at work that none of them tells of, and a mean only hides it.",
        wrong: "We found ~{g_1 = 9.74 m/s^2; ± 0.02 m/s^2 \"pendulum\"} and ~{g_2 = 9.95 m/s^2; ± 0.03 m/s^2 \"falling ball\"}, together \
                ~{g = wmean(g_1, g_2)}.\n",
        right: "We found ~{g_1 = 9.74 m/s^2; ± 0.08 m/s^2 \"pendulum\"} and ~{g_2 = 9.85 m/s^2; ± 0.06 m/s^2 \"falling ball\"}, together \
                ~{g = wmean(g_1, g_2)}.\n",
        edit: None,
        source: "R. T. Birge, Phys. Rev. 40 (1932) 207 (the ratio √(χ²/ν)), from memory; the hundredth is common practice, no source",
    },
    check,
};

/// The chance of a false alarm.
const LEVEL: f64 = 0.01;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if desk.context.sheet.weighted_means.is_empty() {
        return;
    }
    for (_, quantity) in desk.sound() {
        let Some(span) = desk.item(quantity.item).and_then(call) else { continue };
        let Some((row, mean)) = furthest(desk.context.sheet, quantity) else { continue };
        let ratio = mean.birge_ratio().map(|ratio| say::to_figures(ratio, 2)).unwrap_or_default();
        let row = row.map_or(String::new(), |row| format!(" in row {}", row + 1));
        let message = format!(
            "the results{row} lie further apart than their uncertainties allow: they scatter {ratio} times as much (Birge ratio)"
        );
        let help = "look for an error that one of the methods has and its uncertainty does not tell of, and say in the text that they \
                    disagree; until then neither the mean nor its uncertainty can be relied upon";
        found.push(RULE.at(span, message, help));
    }
}

/// Where a weighted mean is asked for.
fn call(item: &Item) -> Option<Span> {
    let formula: &Formula = match item {
        Item::Result(derived) => &derived.formula,
        Item::Column(column) => column.formula.as_ref()?,
        _ => return None,
    };
    formula.steps.iter().find(|step| matches!(step.value, Step::Call(Function::Wmean, _))).map(|step| step.span)
}

/// Of the means in a quantity, or in the rows of a column, the one whose results chance explains least, where it does
/// not; with its row.
fn furthest<'s>(sheet: &'s Sheet, quantity: &Quantity) -> Option<(Option<usize>, &'s WeightedMean)> {
    let nodes: Vec<(Option<usize>, Node)> = match &quantity.origin {
        Origin::Column(column) => {
            let rows = column.rows.iter().enumerate();
            rows.filter_map(|(row, held)| Some((Some(row), held.measure?.node))).collect()
        }
        _ => quantity.measure.map(|measure| (None, measure.node)).into_iter().collect(),
    };
    let means = nodes.into_iter().flat_map(|(row, node)| sheet.weighted_in(node).map(move |mean| (row, &mean.mean)));
    let judged = means.filter(|(_, mean)| mean.dof > 0);
    let judged = judged.map(|(row, mean)| (coverage::chi_squared_tail(mean.chi_squared, mean.dof), row, mean));
    let least = judged.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(p, ..)| *p < LEVEL);
    least.map(|(_, row, mean)| (row, mean))
}
