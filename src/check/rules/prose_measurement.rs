//! `prose-measurement`: a measurement in the text that is no item.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::pairs;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::{Against, Comparison, Item};

pub(super) static RULE: Rule = Rule {
    name: "prose-measurement",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a number, a `±` and another number in running text, outside an item, and at a decimal number with its doubt in \
               brackets and a unit, as in 80.6(2) g. A value from elsewhere that a comparison \
               of the report takes in is spared.",
        why: "Nothing checks such a figure, no formula can use it, and where the report changes it stays behind.",
        wrong: "The pot is 14.3 ± 0.1 cm high.\n\nIts wall is ~{d = 4.2 mm; reading 0.1 mm \"uneven\"} thick.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n\n\
                Its wall is ~{d = 4.2 mm; reading 0.1 mm \"uneven\"} thick.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

const MESSAGE: &str = "this measurement stands in the text and in no item, so nothing checks it and nothing can use it";

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let bracketed = pairs::may_hold_bracketed(&desk.context.document.masked);
    if !bracketed && !desk.holds("±") {
        return;
    }
    let masked = &desk.context.document.masked;
    let elsewhere = from_elsewhere(desk);
    for &words in &desk.prose().words {
        let pairs = pairs::around(words, words.of(masked), "±");
        for pair in pairs.filter(|pair| !elsewhere.contains(&pair.close())) {
            let help = format!(
                "make it an item, as in `~{{h = {} \"why\"}}`, or mention the quantity that it repeats",
                pair.as_estimate()
            );
            found.push(RULE.at(pair.span, MESSAGE, help));
        }
        for (span, text) in pairs::bracketed(words, words.of(masked)).filter(|_| bracketed) {
            let help =
                format!("make it an item, as in `~{{h = {text} \"why\"}}`, or mention the quantity that it repeats");
            found.push(RULE.at(span, MESSAGE, help));
        }
    }
}

/// The values that comparisons take from elsewhere: the text may well name them too.
fn from_elsewhere(desk: &Desk<'_>) -> HashSet<String> {
    let estimates = desk.items().filter_map(|(_, item)| match item {
        Item::Comparison(Comparison { right: Against::Estimate { estimate, .. }, .. }) => Some(estimate.span),
        _ => None,
    });
    let pairs = estimates.flat_map(|estimate| pairs::around(estimate, desk.text(estimate), "±"));
    pairs.map(|pair| pair.close()).collect()
}
