//! `expected-missing`: a quantity that the course wants and the report does not have.

use crate::check::desk::Desk;
use crate::check::expectation;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "expected-missing",
    group: "course",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a quantity that the course lists under `expected` as required and that no item of the report defines.",
        why: "It is what the experiment was for. Mostly it is there under another symbol, or a formula is not written yet.",
        wrong: "---\nmeniscus:\n  expected:\n    rho: {value: 0.96 ± 0.02 g/cm^3, required: true}\n---\n\n\
                The wax weighs ~{m = 48.3 g; instrument 0.2 g \"data sheet\"}.\n",
        right: "---\nmeniscus:\n  expected:\n    m: {value: 48.2 ± 0.5 g, required: true}\n---\n\n\
                The wax weighs ~{m = 48.3 g; instrument 0.2 g \"data sheet\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (key, symbol, _) in expectation::all(desk).filter(|(_, _, expected)| expected.required) {
        if desk.context.sheet.find(&symbol).is_some() || desk.begun(&symbol) {
            continue;
        }
        let message = format!("the course expects `{symbol}`, but no item of this report defines it");
        let help = format!(
            "define it where it is measured or worked out, as in `~{{{key} = …}}`; if it is there, give it this symbol"
        );
        found.push(RULE.at(expectation::place(desk, key), message, help));
    }
}
