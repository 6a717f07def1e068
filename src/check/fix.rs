//! Edits into the source: those that are certain, all that do not overlap at once.

use super::{Certainty, Edit, Finding};

/// The source with every change made that is certain; `None` where there is none. Of findings whose
/// changes overlap the first is taken: what is left shows when the result is checked again.
pub fn fixed(source: &str, findings: &[Finding]) -> Option<String> {
    let certain = findings.iter().filter(|finding| is_certain(finding));
    with(source, certain)
}

/// Would [`fixed`] make the changes of that finding?
pub fn is_certain(finding: &Finding) -> bool {
    !finding.edits.is_empty() && finding.edits.iter().all(|edit| edit.certainty == Certainty::Certain)
}

/// The source with all changes of these findings made, certain or not; of overlapping ones the first.
pub fn with<'f>(source: &str, findings: impl IntoIterator<Item = &'f Finding>) -> Option<String> {
    let mut edits: Vec<&[Edit]> = findings.into_iter().map(|finding| &finding.edits[..]).collect();
    edits.sort_by_key(|edits| edits.first().map_or(usize::MAX, |edit| edit.span.start));
    let mut taken: Vec<&Edit> = Vec::new();
    let mut end = None;
    for edits in edits {
        // A finding's changes are one change: all of them are made, or none.
        let free = edits.iter().all(|edit| end.is_none_or(|end| edit.span.start > end));
        if free && !edits.is_empty() {
            end = edits.iter().map(|edit| edit.span.end).max().max(end);
            taken.extend(edits);
        }
    }
    taken.sort_by_key(|edit| edit.span.start);
    (!taken.is_empty()).then(|| spliced(source, &taken))
}

fn spliced(source: &str, edits: &[&Edit]) -> String {
    let mut text = String::with_capacity(source.len() + 16 * edits.len());
    let mut from = 0;
    for edit in edits {
        text.push_str(source.get(from..edit.span.start).unwrap_or(""));
        text.push_str(&edit.text);
        from = edit.span.end;
    }
    text.push_str(source.get(from..).unwrap_or(""));
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Severity;
    use crate::span::Span;

    fn finding(edits: &[(usize, usize, &str, Certainty)]) -> Finding {
        let edit = |&(start, end, text, certainty): &(usize, usize, &str, Certainty)| Edit {
            span: Span::new(start, end),
            text: text.into(),
            certainty,
        };
        Finding {
            rule: "r",
            severity: Severity::Error,
            message: String::new(),
            help: String::new(),
            span: Span::default(),
            related: vec![],
            edits: edits.iter().map(edit).collect(),
        }
    }

    #[test]
    fn certain_changes_are_made_and_overlapping_ones_wait() {
        use Certainty::{Certain, Suggestion};
        let findings = [
            finding(&[(0, 1, "A", Certain), (4, 4, "!", Certain)]),
            finding(&[(3, 5, "overlaps", Certain)]),
            finding(&[(6, 7, "guess", Suggestion)]),
            finding(&[]),
            finding(&[(8, 9, "", Certain)]),
        ];
        assert_eq!(fixed("abcdefghijk", &findings).as_deref(), Some("Abcd!efghjk"));
        assert_eq!(fixed("abcdefghijk", &findings[2..4]), None);
    }
}
