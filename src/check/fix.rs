//! Edits into the source: those that are certain, all that do not overlap at once, round after round until there
//! are none.

use super::{Certainty, Edit, Finding};
use crate::span::{self, Span};

/// The most rounds: a report in which every change makes room for one more would take as many, and no report that
/// a person wrote has needed ten.
pub const MOST_ROUNDS: usize = 64;

/// A source with all certain changes made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settled {
    /// The text, which has no certain changes left.
    pub text: String,
    /// Findings whose changes were made, in all rounds.
    pub made: usize,
    /// Where it differs from the source, in order; no two of them touch.
    pub changes: Vec<Change>,
}

/// A place where two texts differ. Outside such places they are the same, byte for byte.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// What stood there.
    pub old: Span,
    /// What stands there afterwards.
    pub new: Span,
}

/// A source whose changes never come to an end: of two rules each undoes what the other does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsettled {
    /// The rules that still want a change after [`MOST_ROUNDS`], in the order of their places.
    pub rules: Vec<&'static str>,
}

/// Makes the certain changes of `findings`, those of `source`, then those that `check` finds in the result, and so
/// on until there are none; `None` where there is nothing to change.
pub fn settle(
    source: &str,
    findings: Vec<Finding>,
    mut check: impl FnMut(&str) -> Vec<Finding>,
) -> Result<Option<Settled>, Unsettled> {
    let mut findings = findings;
    let mut settled = Settled { text: source.to_owned(), made: 0, changes: Vec::new() };
    for _ in 0..MOST_ROUNDS {
        let chosen = Chosen::of(findings.iter().filter(|finding| is_certain(finding)));
        if chosen.edits.is_empty() {
            return Ok((settled.text != source).then_some(settled));
        }
        settled.made += chosen.findings;
        settled.changes = composed(&settled.changes, &chosen.edits);
        settled.text = spliced(&settled.text, &chosen.edits);
        findings = check(&settled.text);
    }
    let mut rules: Vec<_> = findings.iter().filter(|finding| is_certain(finding)).map(|f| f.rule).collect();
    rules.dedup();
    if rules.is_empty() { Ok((settled.text != source).then_some(settled)) } else { Err(Unsettled { rules }) }
}

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
    let chosen = Chosen::of(findings);
    (!chosen.edits.is_empty()).then(|| spliced(source, &chosen.edits))
}

/// Changes that can be made at once.
struct Chosen<'f> {
    /// In the order of their places; no two of them touch, but for those of one finding.
    edits: Vec<&'f Edit>,
    /// How many findings they belong to.
    findings: usize,
}

impl<'f> Chosen<'f> {
    fn of(findings: impl IntoIterator<Item = &'f Finding>) -> Self {
        let mut groups: Vec<Vec<&Edit>> = findings.into_iter().map(|finding| in_order(&finding.edits)).collect();
        groups.retain(|edits| !edits.is_empty() && edits.is_sorted_by(|a, b| a.span.end <= b.span.start));
        groups.sort_by_key(|edits| edits.first().map(|edit| edit.span.start));
        let mut chosen = Self { edits: Vec::new(), findings: 0 };
        let mut end = None;
        for edits in groups {
            // A finding's changes are one change: all of them are made, or none.
            if edits.first().is_some_and(|first| end.is_none_or(|end| first.span.start > end)) {
                end = edits.last().map(|edit| edit.span.end);
                chosen.edits.extend(edits);
                chosen.findings += 1;
            }
        }
        chosen
    }
}

fn in_order(edits: &[Edit]) -> Vec<&Edit> {
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    edits
}

fn spliced(source: &str, edits: &[&Edit]) -> String {
    span::spliced(source, edits.iter().map(|edit| (edit.span, edit.text.as_str())))
}

/// Something that lies in a text between an older and a newer one, and how long it is in each of them.
struct Piece {
    place: Span,
    old: usize,
    new: usize,
}

/// Changes from an old text to one, and edits of that: the changes from the old text to what they make.
fn composed(changes: &[Change], edits: &[&Edit]) -> Vec<Change> {
    let made = changes.iter().map(|c| Piece { place: c.new, old: length(c.old), new: length(c.new) });
    let next = edits.iter().map(|e| Piece { place: e.span, old: length(e.span), new: e.text.len() });
    let mut pieces: Vec<Piece> = made.chain(next).collect();
    pieces.sort_by_key(|piece| (piece.place.start, piece.place.end));
    let mut composed = Vec::new();
    let mut rest = &pieces[..];
    // Where the last change ended in the old text, in the one between, and in the new one: what follows is as long in all.
    let (mut old, mut between, mut new) = (0, 0, 0);
    while let Some(first) = rest.first() {
        let (count, end) = touching(rest);
        let (cluster, others) = rest.split_at(count);
        let unchanged = first.place.start - between;
        let whole = end - first.place.start;
        let there: usize = cluster.iter().map(|piece| length(piece.place)).sum();
        let sum = |of: fn(&Piece) -> usize| whole + cluster.iter().map(of).sum::<usize>() - there;
        let (start_old, start_new) = (old + unchanged, new + unchanged);
        (old, between, new) = (start_old + sum(|piece| piece.old), end, start_new + sum(|piece| piece.new));
        composed.push(Change { old: Span::new(start_old, old), new: Span::new(start_new, new) });
        rest = others;
    }
    composed
}

/// How many of the first pieces touch one another, and where they end.
fn touching(pieces: &[Piece]) -> (usize, usize) {
    let mut end = pieces.first().map_or(0, |piece| piece.place.end);
    let mut count = 0;
    for piece in pieces {
        if piece.place.start > end {
            break;
        }
        end = end.max(piece.place.end);
        count += 1;
    }
    (count, end)
}

const fn length(span: Span) -> usize {
    span.end - span.start
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Severity;
    use proptest::prelude::*;

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

    /// Each word of the text that is one of these becomes the next: `a` needs three rounds.
    fn words(text: &str) -> Vec<Finding> {
        let next = |word| match word {
            "a" => Some("be"),
            "be" => Some("see"),
            "see" => Some("d"),
            _ => None,
        };
        let mut start = 0;
        let mut found = Vec::new();
        for word in text.split(' ') {
            let end = start + word.len();
            found.extend(next(word).map(|next| finding(&[(start, end, next, Certainty::Certain)])));
            start = end + 1;
        }
        found
    }

    #[test]
    fn rounds_go_on_until_nothing_is_left() {
        let settled = settle("x a y see", words("x a y see"), words).unwrap().unwrap();
        assert_eq!((settled.text.as_str(), settled.made), ("x d y d", 4));
        let changes = [(Span::new(2, 3), Span::new(2, 3)), (Span::new(6, 9), Span::new(6, 7))];
        assert_eq!(settled.changes, changes.map(|(old, new)| Change { old, new }));
        assert_eq!(settle("x y", words("x y"), words), Ok(None));
    }

    #[test]
    fn changes_that_undo_one_another_come_to_an_end() {
        let mut rounds = 0;
        let swap = |text: &str| {
            rounds += 1;
            let other = if text == "on" { "off" } else { "on" };
            vec![finding(&[(0, text.len(), other, Certainty::Certain)])]
        };
        let first = vec![finding(&[(0, 2, "off", Certainty::Certain)])];
        assert_eq!(settle("on", first, swap), Err(Unsettled { rules: vec!["r"] }));
        assert_eq!(rounds, MOST_ROUNDS);
    }

    #[test]
    fn a_finding_whose_changes_overlap_changes_nothing() {
        use Certainty::Certain;
        assert_eq!(fixed("abcdef", &[finding(&[(0, 3, "x", Certain), (2, 4, "y", Certain)])]), None);
        assert_eq!(fixed("abcdef", &[finding(&[(4, 5, "E", Certain), (0, 1, "A", Certain)])]).unwrap(), "AbcdEf");
    }

    proptest! {
        /// Whatever is edited in however many rounds: outside the changes both texts are the same.
        #[test]
        fn changes_tell_where_the_texts_differ(
            source in "[ab]{0,12}",
            rounds in prop::collection::vec(prop::collection::vec((0_usize..16, 0_usize..4, "[XY]{0,3}"), 1..4), 1..5),
        ) {
            let (mut text, mut changes) = (source.clone(), Vec::new());
            for round in rounds {
                let within = |&(start, length, ref new): &(usize, usize, String)| {
                    let start = start.min(text.len());
                    finding(&[(start, (start + length).min(text.len()), new, Certainty::Certain)])
                };
                let findings: Vec<Finding> = round.iter().map(within).collect();
                let chosen = Chosen::of(&findings);
                changes = composed(&changes, &chosen.edits);
                text = spliced(&text, &chosen.edits);
            }
            let mut again = String::new();
            let mut from = 0;
            for change in &changes {
                prop_assert!(change.old.start >= from);
                again += &source[from..change.old.start];
                prop_assert_eq!(again.len(), change.new.start);
                again += change.new.of(&text);
                from = change.old.end;
            }
            again += &source[from..];
            prop_assert_eq!(again, text);
        }
    }
}
