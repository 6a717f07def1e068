//! Unified diffs, as POSIX.1-2017 has them under `diff -u`, with GNU's line for a file that does not end its last
//! line. The edits say where two texts differ, so nothing is searched for: the cost grows linearly with the text.

use std::fmt::Write;
use std::ops::Range;

use anstyle::{AnsiColor, Style};

use crate::check::fix::Change;

/// Lines of context about a change.
const CONTEXT: usize = 3;

/// How the parts of a diff look where colours are shown.
struct Look {
    header: Style,
    hunk: Style,
    taken: Style,
    put: Style,
}

const PLAIN: Look = Look { header: Style::new(), hunk: Style::new(), taken: Style::new(), put: Style::new() };

const COLOURED: Look = Look {
    header: Style::new().bold(),
    hunk: AnsiColor::Cyan.on_default(),
    taken: AnsiColor::Red.on_default(),
    put: AnsiColor::Green.on_default(),
};

/// From `old` to `new`, which differ at these places and nowhere else. What is not coloured can be applied by
/// `patch -p0`: the bytes of the lines are those of the texts.
pub(in crate::face) fn unified(path: &str, old: &str, new: &str, changes: &[Change], coloured: bool) -> String {
    let look = if coloured { COLOURED } else { PLAIN };
    let (old, new) = (Lines::new(old), Lines::new(new));
    let blocks = blocks(changes, &old, &new);
    let (mut out, name) = (String::new(), name(path));
    styled(&mut out, &look.header, &format!("--- {name}\n"));
    styled(&mut out, &look.header, &format!("+++ {name}\n"));
    let mut rest = &blocks[..];
    while !rest.is_empty() {
        let near = |pair: &[Block]| pair[1].old.start - pair[0].old.end <= 2 * CONTEXT;
        let count = 1 + rest.windows(2).take_while(|pair| near(pair)).count();
        let (hunk, others) = rest.split_at(count);
        put_hunk(&mut out, &look, hunk, &old, &new);
        rest = others;
    }
    out
}

/// Lines as `patch` knows them: ended by `\n` and nothing else.
struct Lines<'s> {
    lines: Vec<&'s str>,
    /// Where each of them starts, and where one more would start behind the last line's end.
    starts: Vec<usize>,
}

impl<'s> Lines<'s> {
    fn new(text: &'s str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Self { lines: text.split_inclusive('\n').collect(), starts: std::iter::once(0).chain(ends).collect() }
    }

    /// The numbers of the lines, from 0, that hold a place.
    fn holding(&self, start: usize, end: usize) -> Range<usize> {
        self.number_of(start)..self.number_of(end) + 1
    }

    fn number_of(&self, offset: usize) -> usize {
        self.starts.partition_point(|&start| start <= offset) - 1
    }

    /// Those of a range that are there: behind the last line's end there is none.
    fn get(&self, range: &Range<usize>) -> &[&'s str] {
        let end = range.end.min(self.lines.len());
        self.lines.get(range.start.min(end)..end).unwrap_or_default()
    }
}

/// Lines that are taken out, and those that are put in their place.
struct Block {
    old: Range<usize>,
    new: Range<usize>,
}

fn blocks(changes: &[Change], old: &Lines<'_>, new: &Lines<'_>) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    for change in changes {
        let block = Block {
            old: old.holding(change.old.start, change.old.end),
            new: new.holding(change.new.start, change.new.end),
        };
        match blocks.last_mut() {
            // Changes that share a line, or whose lines touch, are one.
            Some(last) if last.old.end >= block.old.start || last.new.end >= block.new.start => {
                last.old.end = block.old.end;
                last.new.end = block.new.end;
            }
            _ => blocks.push(block),
        }
    }
    blocks.into_iter().map(|block| block.trimmed(old, new)).filter(|block| !block.is_empty()).collect()
}

impl Block {
    /// Without lines at its ends that are the same.
    fn trimmed(self, old: &Lines<'_>, new: &Lines<'_>) -> Self {
        let (taken, put) = (old.get(&self.old), new.get(&self.new));
        let before = taken.iter().zip(put).take_while(|(a, b)| a == b).count();
        let (taken, put) = (&taken[before..], &put[before..]);
        let after = taken.iter().rev().zip(put.iter().rev()).take_while(|(a, b)| a == b).count();
        let (start_old, start_new) = (self.old.start + before, self.new.start + before);
        Self { old: start_old..start_old + taken.len() - after, new: start_new..start_new + put.len() - after }
    }

    fn is_empty(&self) -> bool {
        self.old.is_empty() && self.new.is_empty()
    }
}

fn put_hunk(out: &mut String, look: &Look, blocks: &[Block], old: &Lines<'_>, new: &Lines<'_>) {
    let (Some(first), Some(last)) = (blocks.first(), blocks.last()) else { return };
    let before = first.old.start.min(CONTEXT);
    let after = (old.lines.len() - last.old.end).min(CONTEXT);
    let whole_old = first.old.start - before..last.old.end + after;
    let whole_new = first.new.start - before..last.new.end + after;
    styled(out, &look.hunk, &format!("@@ -{} +{} @@\n", lines_of(&whole_old), lines_of(&whole_new)));
    let mut from = whole_old.start;
    for block in blocks {
        put(out, &Style::new(), ' ', old.get(&(from..block.old.start)));
        put(out, &look.taken, '-', old.get(&block.old));
        put(out, &look.put, '+', new.get(&block.new));
        from = block.old.end;
    }
    put(out, &Style::new(), ' ', old.get(&(from..whole_old.end)));
}

/// `9,7`: the first line, counted from 1, and how many; a lone line needs no count, and no lines stand behind the one
/// before them.
fn lines_of(range: &Range<usize>) -> String {
    match range.len() {
        0 => format!("{},0", range.start),
        1 => format!("{}", range.start + 1),
        count => format!("{},{count}", range.start + 1),
    }
}

fn put(out: &mut String, style: &Style, mark: char, lines: &[&str]) {
    for line in lines {
        styled(out, style, &format!("{mark}{line}"));
        if !line.ends_with('\n') {
            out.push_str("\n\\ No newline at end of file\n");
        }
    }
}

/// A text of at most one line; its line's end stays outside of the colour.
fn styled(out: &mut String, style: &Style, text: &str) {
    let line = text.strip_suffix('\n').unwrap_or(text);
    // Writing into a string cannot fail.
    let _ = write!(out, "{style}{line}{style:#}");
    out.push_str(&text[line.len()..]);
}

/// A path as it stands in a header: a blank in it needs a tab behind it, which `patch` reads as the name's end;
/// characters that would break the line are written as in C, within quotes.
fn name(path: &str) -> String {
    let path = if cfg!(windows) { path.replace('\\', "/") } else { path.to_owned() };
    if path.contains(|c: char| c.is_control() || matches!(c, '"' | '\\')) {
        let escaped = |c: char| match c {
            '"' | '\\' => format!("\\{c}"),
            c if c.is_control() => c.to_string().bytes().map(|byte| format!("\\{byte:03o}")).collect(),
            c => c.to_string(),
        };
        return format!("\"{}\"", path.chars().map(escaped).collect::<String>());
    }
    if path.contains(' ') { path + "\t" } else { path }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::span::Span;
    use proptest::prelude::*;

    fn change(old: (usize, usize), new: (usize, usize)) -> Change {
        Change { old: Span::new(old.0, old.1), new: Span::new(new.0, new.1) }
    }

    fn diff(old: &str, new: &str, changes: &[Change]) -> String {
        unified("report.md", old, new, changes, false).replace("--- report.md\n+++ report.md\n", "")
    }

    /// What `patch` does: the new text from the old one and the hunks.
    fn patched(old: &str, diff: &str) -> String {
        let source: Vec<&str> = old.split_inclusive('\n').collect();
        let (mut text, mut from) = (String::new(), 0);
        let mut lines = diff.split_inclusive('\n').skip(2).peekable();
        while let Some(line) = lines.next() {
            let without_end = lines.peek().is_some_and(|next| next.starts_with('\\'));
            let body = if without_end { line[1..].strip_suffix('\n').unwrap() } else { &line[1..] };
            match line.as_bytes()[0] {
                b'@' => {
                    let (start, count) = ends(line.split(['-', ' ']).nth(2).unwrap());
                    let start = if count == 0 { start } else { start - 1 };
                    text.extend(source[from..start].iter().copied());
                    from = start;
                }
                b'+' => text += body,
                b'-' | b' ' => {
                    assert_eq!(source[from], body, "{diff}");
                    from += 1;
                    text += if line.starts_with(' ') { body } else { "" };
                }
                b'\\' => {}
                _ => panic!("{line:?} in {diff}"),
            }
        }
        text.extend(source[from..].iter().copied());
        text
    }

    fn ends(range: &str) -> (usize, usize) {
        let (start, count) = range.split_once(',').unwrap_or((range, "1"));
        (start.parse().unwrap(), count.parse().unwrap())
    }

    #[test]
    fn a_hunk_shows_three_lines_about_a_change() {
        let old = "1\n2\n3\n4\n5\n6\n7\n8\n9\n";
        let new = old.replace('5', "five");
        let expected = "@@ -2,7 +2,7 @@\n 2\n 3\n 4\n-5\n+five\n 6\n 7\n 8\n";
        assert_eq!(diff(old, &new, &[change((8, 9), (8, 12))]), expected);
        let first = "@@ -1,4 +1,4 @@\n-1\n+one\n 2\n 3\n 4\n";
        assert_eq!(diff(old, &old.replace('1', "one"), &[change((0, 1), (0, 3))]), first);
    }

    #[test]
    fn changes_near_each_other_share_a_hunk_and_distant_ones_do_not() {
        let old: String = (10..30).map(|n| format!("{n}\n")).collect();
        let both = |second: &str| {
            let at = old.find(second).unwrap();
            let new = old.replace("12", "AA").replace(second, "BB");
            let diff = diff(&old, &new, &[change((6, 8), (6, 8)), change((at, at + 2), (at, at + 2))]);
            diff.matches("@@ -").count()
        };
        assert_eq!([both("13"), both("19"), both("20")], [1, 1, 2]);
    }

    #[test]
    fn a_last_line_without_its_end_says_so() {
        let note = "\\ No newline at end of file\n";
        assert_eq!(
            diff("a\nb", "a\nc", &[change((2, 3), (2, 3))]),
            format!("@@ -1,2 +1,2 @@\n a\n-b\n{note}+c\n{note}")
        );
        assert_eq!(diff("a\nb", "c\nb", &[change((0, 1), (0, 1))]), format!("@@ -1,2 +1,2 @@\n-a\n+c\n b\n{note}"));
        assert_eq!(diff("a\n", "a", &[change((1, 2), (1, 1))]), format!("@@ -1 +1 @@\n-a\n+a\n{note}"));
        assert_eq!(diff("", "a\n", &[change((0, 0), (0, 2))]), "@@ -0,0 +1 @@\n+a\n");
        assert_eq!(diff("a\n", "", &[change((0, 2), (0, 0))]), "@@ -1 +0,0 @@\n-a\n");
    }

    #[test]
    fn lines_keep_their_carriage_returns() {
        assert_eq!(diff("a\r\nb\r\n", "a\r\nc\r\n", &[change((3, 4), (3, 4))]), "@@ -1,2 +1,2 @@\n a\r\n-b\r\n+c\r\n");
    }

    #[test]
    fn a_name_is_one_that_patch_reads() {
        assert_eq!(name("a/b.md"), "a/b.md");
        assert_eq!(name("my report.md"), "my report.md\t");
        assert_eq!(name("a\n\"b\".md"), "\"a\\012\\\"b\\\".md\"");
    }

    #[test]
    fn colours_stand_about_what_they_colour() {
        let coloured = unified("a.md", "a\r\n", "b\r\n", &[change((0, 1), (0, 1))], true);
        assert!(coloured.contains("\u{1b}[31m-a\r\u{1b}[0m\n\u{1b}[32m+b\r\u{1b}[0m\n"), "{coloured:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

        /// Whatever is changed: the hunks make the new text of the old one.
        #[test]
        fn a_diff_makes_the_new_text_of_the_old(
            pieces in prop::collection::vec(("[ab\n\r]{1,9}", "[ab\n]{0,4}", "[ab\n]{0,4}"), 0..8),
            tail in "[ab\n]{0,9}",
        ) {
            let (mut old, mut new, mut changes) = (String::new(), String::new(), Vec::new());
            for (same, taken, put) in pieces {
                (old, new) = (old + &same, new + &same);
                changes.push(change((old.len(), old.len() + taken.len()), (new.len(), new.len() + put.len())));
                (old, new) = (old + &taken, new + &put);
            }
            (old, new) = (old + &tail, new + &tail);
            let diff = unified("report.md", &old, &new, &changes, false);
            prop_assert_eq!(patched(&old, &diff), new, "{}", diff);
        }
    }
}
