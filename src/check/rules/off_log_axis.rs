//! `off-log-axis`: a value of zero or less on a logarithmic axis.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "off-log-axis",
    group: "formulas",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at `log x` or `log y` of a graph where some values of that axis are zero or less; their points are left out of \
               the picture.",
        why: "Zero and negative numbers have no logarithm. Who sees the picture alone would not know that readings are missing from it.",
        wrong: "| ~{n [1]; exact \"counted\"} | ~{T \"excess\" [K]; ± 0.5 K \"probe\"} |\n|---|---|\n| 1 | 20.0 |\n| 2 | 6.5 |\n| 3 | 0.0 |\n\n\
                ~{graph T against n; log y}\n",
        right: "| ~{n [1]; exact \"counted\"} | ~{T \"excess\" [K]; ± 0.5 K \"probe\"} |\n|---|---|\n| 1 | 20.0 |\n| 2 | 6.5 |\n| 3 | 0.0 |\n\n\
                ~{graph T against n}\n",
        edit: None,
        source: "log 0 is not defined: ISO 80000-2:2019, item 2-13.4 (from memory)",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::OffLogAxis { symbol, points, row } = &fault.kind else { continue };
        let row = row + 1;
        let (values, them) = match points {
            1 => (format!("the value of `{symbol}` in row {row} has"), "its point is"),
            _ => (format!("{points} values of `{symbol}`, the first in row {row}, have"), "their points are"),
        };
        let message = format!("{values} no place on a logarithmic axis, so {them} left out of the graph");
        let help = "take the option out, or say beneath the graph which readings are not in it";
        found.push(RULE.at(fault.span, message, help));
    }
}
