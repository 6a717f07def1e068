//! `units-differ`: two quantities of different kinds where they have to be of the same.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::typed::{self, Typed};
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::{Doing, Fault, FaultKind};
use crate::quantity::{Dimension, Unit};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "units-differ",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a sum, a difference, a comparison, an uncertainty or an `in` whose two sides are not measured in \
               units of the same kind.",
        why: "A length and a time can be neither added nor compared: where their units meet, the formula is wrong.",
        wrong: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge of the track\"} in \
                ~{t = 1.32 s; reaction 0.20 s \"by hand\"}, at ~{v = s + t}.\n",
        right: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge of the track\"} in \
                ~{t = 1.32 s; reaction 0.20 s \"by hand\"}, at ~{v = s / t}.\n",
        edit: None,
        source: "ISO 80000-1:2009, 4.3: only quantities of the same kind are added or compared",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // An item may have as many such faults as it has clauses.
    let mut last: Option<(usize, Typed)> = None;
    for fault in desk.faults() {
        let FaultKind::UnitsDiffer { doing, left, right } = fault.kind else { continue };
        if let Some(finding) = of_doubted(desk, fault, doing) {
            // Each clause of such a reading draws the same fault: it is the value's unit that is wrong, once.
            if found.last().is_none_or(|last| last.span != finding.span) {
                found.push(finding);
            }
            continue;
        }
        let amount = doing == Doing::Amount;
        let typed = typed::of_value_and_amount(desk, fault).is_some();
        if !typed && (super::unit_on_one_side::speaks_of(&fault.kind) || desk.rests_on_bare(fault.item))
            || desk.unit_unknown(fault.item)
            || amount && desk.misspelt(fault.item)
        {
            continue;
        }
        let (left, right) = match desk.item(fault.item) {
            Some(item) => {
                let known = last.take().filter(|(number, _)| *number == fault.item);
                let (_, typed) = last.insert(known.unwrap_or_else(|| (fault.item, Typed::of(desk, item))));
                let joined = typed::sides(desk, item, fault.span).unwrap_or_default();
                sides(typed, fault.span, joined, [left, right])
            }
            None => (Side::of(left), Side::of(right)),
        };
        let (message, help) = match doing {
            Doing::Amount => of_amount(desk, fault).unwrap_or_else(|| worded(doing, &left, &right)),
            Doing::ShowingIn => of_unit(desk.text(fault.span), &right),
            _ => worded(doing, &left, &right),
        };
        found.push(RULE.at(fault.span, message, help));
    }
}

/// An uncertainty in a unit that contradicts the doubtful one of its value: `21.5 C` and `0.5 degC`.
fn of_doubted(desk: &Desk<'_>, fault: &Fault, doing: Doing) -> Option<Finding> {
    let item = desk.item(fault.item).filter(|_| doing == Doing::Amount && !desk.misspelt(fault.item))?;
    let (span, says, right) = super::doubtful_unit::doubted(item)?;
    let typed = say::quoted(desk.text(span));
    let message = format!("{typed} {says}, and its uncertainty is in another unit");
    let help = format!("write `{right}` for {typed} if that is what you mean");
    Some(RULE.at(span, message, help).beside(fault.span, "the uncertainty").suggest(span, right))
}

/// An uncertainty and its value in their units as they were typed.
fn of_amount(desk: &Desk<'_>, fault: &Fault) -> Option<(String, String)> {
    let [own, other] = typed::of_value_and_amount(desk, fault)?.map(|span| say::quoted(desk.text(span)));
    let message =
        format!("this uncertainty is in {other}, but its value is in {own}, and one cannot be turned into the other");
    Some((message, format!("write the uncertainty in {own}, or in a unit of the same kind")))
}

/// A unit behind `in`, as it was typed, that does not fit the result.
fn of_unit(typed: &str, result: &Side) -> (String, String) {
    let message = format!("{} is no unit of this result, which is {}", say::quoted(typed), result.is);
    let help = "write a unit of the result's own kind behind `in`, or look for a missing factor in the formula";
    (message, help.into())
}

/// What does not meet, in the author's own units where the item has any of the kind. `joined`: the units of what an
/// operator at that place joins.
fn sides(typed: &Typed, span: Span, joined: [Option<Unit>; 2], dimensions: [Dimension; 2]) -> (Side, Side) {
    let side = |dimension: Dimension, joined: Option<Unit>| {
        let joined = joined.filter(|unit| unit.dimension == dimension);
        let unit = joined.as_ref().or_else(|| typed.unit(span, dimension));
        unit.map_or_else(|| Side::of(dimension), Side::typed)
    };
    let ([left, right], [of_left, of_right]) = (dimensions, joined);
    (side(left, of_left), side(right, of_right))
}

/// One of the two: `a quantity in cm`, and that it is `in cm`.
struct Side {
    named: String,
    is: String,
}

impl Side {
    fn of(dimension: Dimension) -> Self {
        Self { named: say::quantity_in(dimension), is: say::measured_in(dimension) }
    }

    fn typed(unit: &Unit) -> Self {
        Self { named: say::quantity_in_unit(unit), is: say::measured_in_unit(unit) }
    }
}

fn worded(doing: Doing, left: &Side, right: &Side) -> (String, String) {
    let (a, b) = (&left.named, &right.named);
    let (is_left, is_right) = (&left.is, &right.is);
    let (message, help) = match doing {
        Doing::Adding => (
            format!("{a} is added to {b}, and the sum of the two is neither"),
            "look for a missing factor or a wrong sign: both sides of `+` need units of the same kind",
        ),
        Doing::Subtracting => (
            format!("{b} is taken from {a}, and the difference of the two is neither"),
            "look for a missing factor or a wrong sign: both sides of `-` need units of the same kind",
        ),
        Doing::ShowingIn => (
            format!("the unit behind `in` is for {a}, but the result is {is_right}"),
            "write a unit of the result's own kind behind `in`, or look for a missing factor in the formula",
        ),
        Doing::Amount => (
            format!("this uncertainty is {is_right}, but its value is {is_left}"),
            "write the uncertainty in a unit of the same kind as the value's",
        ),
        Doing::Stated => (
            format!("the stated figure is {is_right}, but what was computed is {is_left}"),
            "correct the stated unit, or look for a missing factor in the formula",
        ),
        Doing::Comparing => {
            (format!("{a} is compared with {b}, and neither can be the larger"), "compare quantities of the same kind")
        }
        Doing::Arguments => (
            format!("one of these is {is_left}, another {is_right}, but they have to be alike"),
            "give the function quantities of the same kind",
        ),
    };
    (message, help.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pure_number_is_called_one() {
        let (length, number) = (Side::of(Dimension::new([1, 0, 0, 0, 0, 0, 0])), Side::of(Dimension::NONE));
        assert_eq!(
            worded(Doing::Adding, &length, &number).0,
            "a quantity in m is added to a pure number, and the sum of the two is neither"
        );
        assert_eq!(
            worded(Doing::ShowingIn, &number, &length).0,
            "the unit behind `in` is for a pure number, but the result is in m"
        );
    }
}
