//! Which known word a mistyped one was most likely meant to be.

/// The candidate nearest to `word`, where one is near enough to be worth naming; of equally near ones
/// the first. Swapped neighbours count as one slip, as do two letters that differ only in case.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let typed: Vec<char> = word.chars().take(LONGEST + 1).collect();
    if typed.len() > LONGEST {
        return None;
    }
    // A third of the letters may be wrong, but never all of them.
    let most = (typed.len() / 3).max(1);
    let near = candidates.into_iter().filter(|&candidate| candidate != word).filter_map(|candidate| {
        let known: Vec<char> = candidate.chars().take(LONGEST + 1).collect();
        if known.len().abs_diff(typed.len()) > most || known.len() > LONGEST {
            return None;
        }
        let slips = slips(&typed, &known);
        (slips <= most && slips < typed.len().max(known.len())).then_some((slips, candidate))
    });
    near.min_by_key(|&(slips, _)| slips).map(|(_, candidate)| candidate)
}

/// Longer words are not compared: nobody mistypes them by a letter or two and wonders.
const LONGEST: usize = 64;

/// Restricted Damerau–Levenshtein distance, row by row.
pub(super) fn slips(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, &x) in a.iter().enumerate() {
        let mut next = vec![i + 1; b.len() + 1];
        for (j, &y) in b.iter().enumerate() {
            let swapped = i > 0 && j > 0 && x == b[j - 1] && a[i - 1] == y;
            let straight = row[j] + usize::from(x != y);
            let one_more = 1 + row[j + 1].min(next[j]);
            let turned = if swapped { before[j - 1] + 1 } else { usize::MAX };
            next[j + 1] = straight.min(one_more).min(turned);
        }
        before = std::mem::replace(&mut row, next);
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_finger_are_seen_through() {
        let kinds = ["reading", "definition", "instrument", "reaction"];
        assert_eq!(nearest("raeding", kinds), Some("reading"));
        assert_eq!(nearest("definiton", kinds), Some("definition"));
        assert_eq!(nearest("instument", kinds), Some("instrument"));
        assert_eq!(nearest("temperature", kinds), None);
        assert_eq!(nearest("L_1", ["L_0", "M"]), Some("L_0"));
        assert_eq!(nearest("x", ["y"]), None);
        assert_eq!(nearest("Kg", ["kg", "g"]), Some("kg"));
        assert_eq!(nearest("", ["a"]), None);
    }

    #[test]
    fn words_of_the_notation_are_seen_through() {
        let known = ["in", "as", "against", "graph", "sin", "sinh", "sqrt", "mean"];
        for (word, wanted) in [
            ("againts", Some("against")),
            ("agianst", Some("against")),
            ("grahp", Some("graph")),
            ("sine", Some("sin")),
            ("meen", Some("mean")),
            ("x", None),
            ("pressure", None),
        ] {
            assert_eq!(nearest(word, known), wanted, "{word}");
        }
    }
}
