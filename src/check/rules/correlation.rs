//! `correlation`: two readings that cannot be tied as the list `correlations` says.

use crate::check::desk::Desk;
use crate::check::expectation::nth_of;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::QuantityId;
use crate::evaluate::sheet::Origin;
use crate::evaluate::sheet::WhyNot;

pub(super) static RULE: Rule = Rule {
    name: "correlation",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at an entry of `correlations` in the report's front matter that names no reading, or whose coefficient cannot hold \
               together with the others and with what the readings owe to one instrument.",
        why: "A correlation that is not kept changes no figure, while its author believes that it does.",
        wrong: "---\nmeniscus:\n  combine: standard\n  correlations:\n    - correlated a c 0.8 \"same scale\"\n---\n\n\
                The lens stands at ~{a = 12.40 cm; reading 0.05 cm \"edge of the mount\"}, the screen at \
                ~{b = 38.10 cm; reading 0.05 cm \"front side\"}: ~{d = b - a in cm}.\n",
        right: "---\nmeniscus:\n  combine: standard\n  correlations:\n    - correlated a b 0.8 \"same scale\"\n---\n\n\
                The lens stands at ~{a = 12.40 cm; reading 0.05 cm \"edge of the mount\"}, the screen at \
                ~{b = 38.10 cm; reading 0.05 cm \"front side\"}: ~{d = b - a in cm}.\n",
        edit: None,
        source: "JCGM 100:2008, 5.2.2 and F.1.2: correlated input quantities",
    },
    check,
};

/// As many are told one by one: each costs one more reading of the front matter.
const MOST: usize = 20;

/// As many readings of a group are named.
const MOST_NAMED: usize = 6;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if desk.context.sheet.ties.untied.is_empty() {
        return;
    }
    let in_report = nth_of(desk, "correlations", 0).is_some();
    let told = desk.context.sheet.ties.untied.iter().filter(|untied| {
        // A course may tie readings that not each of its reports has.
        in_report || !matches!(untied.why, WhyNot::UnknownSymbol { .. })
    });
    for untied in told.clone().take(MOST) {
        let Some((message, help)) = worded(desk, &untied.why) else { continue };
        let place = nth_of(desk, "correlations", untied.index);
        found.push(RULE.at(place.unwrap_or_else(|| desk.start()), message, help));
    }
    let untold = told.count().saturating_sub(MOST);
    if let (1.., Some(last)) = (untold, found.last_mut().filter(|last| last.rule == RULE.name)) {
        last.help = format!("{}; {untold} more like these are not listed", last.help);
    }
}

fn worded(desk: &Desk<'_>, why: &WhyNot) -> Option<(String, String)> {
    let symbol = |id: QuantityId| desk.context.sheet.quantities.get(id).map(|quantity| quantity.symbol.to_string());
    Some(match why {
        // Its own item could not be read, which is said there.
        WhyNot::UnknownSymbol { symbol, .. } if desk.begun(symbol) => return None,
        WhyNot::UnknownSymbol { symbol, nearest } => {
            let help = match nearest {
                Some(near) => format!("write `{near}`, or record `{symbol}` in an item"),
                None => format!("record `{symbol}` in an item, or take this out"),
            };
            (format!("`{symbol}` is not defined in this report, so nothing is tied to it"), help)
        }
        WhyNot::NoReading { quantity } => no_reading(desk, *quantity)?,
        WhyNot::Exact { quantity } => {
            let symbol = symbol(*quantity)?;
            let message = format!("`{symbol}` has no uncertainty, so nothing of it can be tied");
            (message, format!("give `{symbol}` its sources of uncertainty, or take this out"))
        }
        WhyNot::OutOfReach { low, high } => {
            let message = "what the two readings owe to the same instrument ties them already, and no correlation as stated is left";
            let help = if high - low < 5e-3 {
                format!("take this out: their correlation is {} as it is", coefficient(*low))
            } else {
                format!("write a coefficient from {} to {}, or take this out", coefficient(*low), coefficient(*high))
            };
            (message.into(), help)
        }
        WhyNot::Impossible { group, missing } => impossible(desk, group, missing.as_ref())?,
        WhyNot::TooMany { most } => (
            format!("more than {most} readings are tied to one another here, which is more than can be worked out"),
            "tie those whose errors have the same cause, and take the others out".into(),
        ),
    })
}

fn no_reading(desk: &Desk<'_>, id: QuantityId) -> Option<(String, String)> {
    let quantity = desk.context.sheet.quantities.get(id)?;
    let symbol = quantity.symbol.as_str();
    Some(match &quantity.origin {
        Origin::Column(column) if !column.result => (
            format!("`{symbol}` is a column, and a correlation ties single readings"),
            "take this out: with `repeat` in their headings, the means of columns are correlated as their rows are"
                .into(),
        ),
        Origin::Constant(_) => (
            format!("`{symbol}` is a constant of nature, and a correlation ties readings"),
            "take this out: constants are taken as independent".into(),
        ),
        _ => (
            format!("`{symbol}` is worked out, and a correlation ties readings"),
            "tie the readings that it is worked out of: what results share is counted anyway".into(),
        ),
    })
}

fn impossible(
    desk: &Desk<'_>,
    group: &[QuantityId],
    missing: Option<&([QuantityId; 2], [f64; 2])>,
) -> Option<(String, String)> {
    let symbol = |id: &QuantityId| Some(format!("`{}`", desk.context.sheet.quantities.get(*id)?.symbol));
    let named: Vec<String> = group.iter().take(MOST_NAMED).filter_map(symbol).collect();
    let more = if group.len() > MOST_NAMED { " and more" } else { "" };
    let message = format!("the correlations of {}{more} cannot all hold together", named.join(", "));
    let help = match missing {
        Some(([a, b], [low, high])) => format!(
            "what ties both to the third ties {} and {} too: state that as well, from {} to {}",
            symbol(a)?,
            symbol(b)?,
            coefficient(*low),
            coefficient(*high)
        ),
        None => "make the coefficients smaller; a pair that is not listed counts as independent".into(),
    };
    Some((message, help))
}

fn coefficient(r: f64) -> String {
    let rounded = crate::quantity::Decimal::of_f64(r)
        .map(|r| crate::quantity::round::to_place(r, -3, crate::quantity::Rounding::Nearest).trimmed());
    rounded.map_or_else(|| say::number(r), say::decimal)
}
