//! Anchors of a page's headings, no two alike.

use std::collections::{HashMap, HashSet};

use pulldown_cmark::{Event, Parser, Tag};

/// The names that a page's anchors have.
#[derive(Debug, Default)]
pub(super) struct Anchors {
    taken: HashSet<String>,
    /// How often a heading asked for each name.
    asked: HashMap<String, usize>,
}

/// What the names of the tool's own anchors begin with; a number follows.
#[derive(Debug)]
pub(super) struct Ours {
    /// Of the tables of rationale.
    pub(super) rationale: String,
    /// Of the notes on items that could not be read.
    pub(super) unsettled: String,
    /// Of the texts of graphs, each of which has its word behind the number.
    pub(super) graph: String,
}

impl Anchors {
    /// Those that a report's author chose, and those of its footnotes: wherever they stand, they stay as they are.
    pub(super) fn of(markdown: &str) -> Self {
        let mut anchors = Self::default();
        if !markdown.contains("{#") && !markdown.contains("[^") {
            return anchors;
        }
        for event in Parser::new_ext(markdown, crate::locate::options()) {
            if let Event::Start(Tag::Heading { id: Some(name), .. } | Tag::FootnoteDefinition(name)) = event {
                anchors.taken.insert(name.to_string());
            }
        }
        anchors
    }

    /// Beginnings of which the author has none with a number behind: those that are expected, or longer ones.
    pub(super) fn ours(&self) -> Ours {
        let numbered = |name: &str, stem: &str| {
            name.strip_prefix(stem).is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        };
        let free = |stem: &str, more: char| {
            let mut stem = stem.to_owned();
            while self.taken.iter().any(|name| numbered(name, &stem)) {
                stem.push(more);
            }
            stem
        };
        Ours { rationale: free("rationale-", '-'), unsettled: free("unsettled-", '-'), graph: free("graph.", '.') }
    }

    /// A name for a heading that has none.
    pub(super) fn name(&mut self, text: &str) -> String {
        let wanted = slug(text);
        let asked = self.asked.entry(wanted.clone()).or_insert(0);
        // Tables and notes are called that.
        let is_ours = ["rationale-", "unsettled-"].iter().any(|ours| wanted.starts_with(ours));
        loop {
            *asked += 1;
            let name = if *asked == 1 && !is_ours { wanted.clone() } else { format!("{wanted}-{}", (*asked).max(2)) };
            if self.taken.insert(name.clone()) {
                return name;
            }
        }
    }
}

/// Letters and digits in lower case, hyphens for blanks.
fn slug(text: &str) -> String {
    let kept = |c: char| c.is_alphanumeric() || c == '-' || c == '_';
    let words =
        text.split_whitespace().map(|word| word.chars().filter(|&c| kept(c)).collect::<String>().to_lowercase());
    let slug = words.filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
    if slug.is_empty() { "section".into() } else { slug }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slugs() {
        assert_eq!(slug("The density of  wax: 5 %?"), "the-density-of-wax-5");
        assert_eq!(slug("?!"), "section");
    }

    #[test]
    fn no_two_are_alike() {
        let mut anchors = Anchors::of("# A\n\n# B {#a}\n\nc[^n]\n\n[^n]: d\n");
        let names: Vec<_> = ["A", "A", "A-2", "n", "Rationale 1", "a"].iter().map(|text| anchors.name(text)).collect();
        assert_eq!(names, ["a-2", "a-3", "a-2-2", "n-2", "rationale-1-2", "a-4"]);
    }

    #[test]
    fn what_an_author_has_taken_is_not_ours() {
        let ours = |markdown: &str| {
            let Ours { rationale, unsettled, graph } = Anchors::of(markdown).ours();
            [rationale, unsettled, graph].map(|stem| format!("{stem}1"))
        };
        assert_eq!(ours("# A {#rationale-of-it}\n"), ["rationale-1", "unsettled-1", "graph.1"]);
        assert_eq!(ours("# A {#graph.1.title}\n"), ["rationale-1", "unsettled-1", "graph..1"]);
        let all = "# A {#rationale-7}\n\n# B {#rationale--1}\n\nc[^unsettled-2]\n\n[^unsettled-2]: d\n";
        assert_eq!(ours(all), ["rationale---1", "unsettled--1", "graph.1"]);
    }
}
