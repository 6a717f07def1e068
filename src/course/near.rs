//! The known word that is nearest to a mistyped one.

/// Longer words are compared with nothing: no one mistypes sixty characters by a letter or two.
const LONGEST: usize = 60;

/// The candidate that takes the fewest slips of the keyboard from `word`: a letter too many, one too few, a wrong
/// one, two neighbours exchanged. `None` where more than a third of its letters would be wrong. The first of equals.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let typed = letters(word);
    if typed.len() > LONGEST {
        return None;
    }
    let most = (typed.len() / 3).max(1);
    let slips = |candidate: &&str| {
        let known = letters(candidate);
        (known.len().abs_diff(typed.len()) <= most).then(|| distance(&typed, &known)).filter(|&slips| slips <= most)
    };
    candidates.into_iter().filter_map(|c| Some((slips(&c)?, c))).min_by_key(|&(slips, _)| slips).map(|(_, c)| c)
}

/// Capitals and the two dashes of names count as no difference.
fn letters(word: &str) -> Vec<char> {
    word.chars().flat_map(char::to_lowercase).map(|c| if c == '_' { '-' } else { c }).collect()
}

/// The optimal string alignment distance, by rows.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = Vec::with_capacity(b.len() + 1);
        row.push(i + 1);
        for (j, y) in b.iter().enumerate() {
            let replaced = last[j] + usize::from(x != y);
            let mut least = replaced.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && *x == b[j - 1] && a[i - 1] == *y {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_the_keyboard_are_counted() {
        let count = |a: &str, b: &str| distance(&letters(a), &letters(b));
        assert_eq!(count("combine", "combin"), 1);
        assert_eq!(count("divison", "division"), 1);
        assert_eq!(count("raed-to", "read_to"), 1);
        assert_eq!(count("", "abc"), 3);
        assert_eq!(count("Sum", "sum"), 0);
    }

    #[test]
    fn only_what_is_near_is_offered() {
        let known = ["combine", "digits", "round"];
        assert_eq!(nearest("digit", known), Some("digits"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("x", ["y"]), Some("y"));
        assert_eq!(nearest(&"a".repeat(100), known), None);
    }
}
