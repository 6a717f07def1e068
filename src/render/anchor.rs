//! Anchors of a page's headings, no two alike.

use std::collections::{HashMap, HashSet};

use pulldown_cmark::{Event, Parser, Tag};

/// The names that a page's anchors have.
#[derive(Debug)]
pub(super) struct Anchors<'r> {
    /// Those that a report's author chose, and those of its footnotes, once they are known, and those given to headings.
    taken: HashSet<String>,
    /// How often a heading asked for each name.
    asked: HashMap<String, usize>,
    /// What in the report could be a name that its author chose. They are read where a heading asks for one of them,
    /// which is seldom, and costs as much as reading the report.
    suspects: HashSet<&'r str>,
    /// The report, until its author's names are read.
    unread: Option<&'r str>,
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

impl<'r> Anchors<'r> {
    /// Of a report: the names that its author chose stay as they are, wherever they stand.
    pub(super) fn of(markdown: &'r str) -> Self {
        let signs = memchr::memchr2_iter(b'#', b'^', markdown.as_bytes());
        let names = signs.filter_map(|at| markdown.get(at + 1..)?.split(|c| !is_kept(c)).next());
        let suspects = names.filter(|name| !name.is_empty()).collect();
        Self { taken: HashSet::new(), asked: HashMap::new(), suspects, unread: Some(markdown) }
    }

    /// Beginnings of which the author has none with a number behind: those that are expected, or longer ones.
    pub(super) fn ours(&mut self) -> Ours {
        let like_ours = |name: &&str| *name == "graph" || is_ours(name);
        if self.suspects.iter().any(like_ours) {
            self.taken.extend(self.unread.take().into_iter().flat_map(chosen));
        }
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
        loop {
            *asked += 1;
            let name =
                if *asked == 1 && !is_ours(&wanted) { wanted.clone() } else { format!("{wanted}-{}", (*asked).max(2)) };
            if self.suspects.contains(name.as_str()) {
                self.taken.extend(self.unread.take().into_iter().flat_map(chosen));
            }
            if self.taken.insert(name.clone()) {
                return name;
            }
        }
    }
}

/// Are tables or notes called that?
fn is_ours(name: &str) -> bool {
    ["rationale-", "unsettled-"].iter().any(|ours| name.starts_with(ours))
}

/// The names of headings that have one, and of footnotes.
fn chosen(markdown: &str) -> impl Iterator<Item = String> {
    Parser::new_ext(markdown, crate::locate::options()).filter_map(|event| match event {
        Event::Start(Tag::Heading { id: Some(name), .. } | Tag::FootnoteDefinition(name)) => Some(name.into_string()),
        _ => None,
    })
}

/// What of a heading is in its name, which holds nothing else but hyphens.
fn is_kept(c: char) -> bool {
    c.is_alphanumeric() || c == '-' || c == '_'
}

/// Letters and digits in lower case, hyphens for blanks.
fn slug(text: &str) -> String {
    let words =
        text.split_whitespace().map(|word| word.chars().filter(|&c| is_kept(c)).collect::<String>().to_lowercase());
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
