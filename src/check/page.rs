//! The rules' manual pages as texts: Markdown for a book, plain text for where Markdown is not read.

use super::{GROUPS, Rule, rules};

/// The pages of all rules, by group: a page of a book.
pub fn book() -> String {
    let mut text = "# Rules\n\nWhat `meniscus check` points at. `meniscus explain RULE` prints the same on the terminal, and the front matter's \
                    key `rules` makes a rule louder, quieter or silent. An *error* cannot be computed or contradicts itself, a *warning* is what a \
                    marker would deduct for, an *advice* is worth a look.\n"
        .to_owned();
    for (group, about) in GROUPS {
        text += &format!("\n## {}\n", capitalised(about));
        for rule in rules().iter().filter(|rule| rule.group == group) {
            text += &format!("\n### {}\n\n{}", rule.name, markdown(rule));
        }
    }
    text
}

/// One rule's page in Markdown, without its heading.
pub fn markdown(rule: &Rule) -> String {
    let page = rule.page;
    let edit = page.edit.map_or(String::new(), |edit| format!("\n*`check --fix`*: {edit}\n"));
    format!(
        "*{}* · {}\n\n{}\n\n{}{}{edit}\n*Source*: {}.\n",
        rule.severity.word(),
        page.does,
        page.why,
        example("Wrong", page.wrong),
        example("Right", page.right),
        page.source
    )
}

fn example(what: &str, report: &str) -> String {
    match report.trim() {
        "" => String::new(),
        report => {
            let fence = fence(report);
            let gap = if what == "Wrong" { "\n" } else { "" };
            format!("{what}:\n\n{fence}text\n{report}\n{fence}\n{gap}")
        }
    }
}

/// Longer than every run of backticks in the text, so that none of them ends the block.
fn fence(text: &str) -> String {
    let longest = text.split(|c| c != '`').map(str::len).max().unwrap_or(0);
    "`".repeat(longest.max(2) + 1)
}

/// One rule's page in plain text: paragraphs, the examples as they are typed.
pub fn plain(rule: &Rule) -> String {
    let page = rule.page;
    let examples = [("Wrong", page.wrong), ("Right", page.right)].map(|(what, report)| match report.trim() {
        "" => String::new(),
        report => format!("{what}:\n{report}\n\n"),
    });
    let edit = page.edit.map_or(String::new(), |edit| format!("check --fix: {edit}\n\n"));
    format!("{}\n\n{}\n\n{}{edit}Source: {}.", page.does, page.why, examples.concat(), page.source)
}

/// The first sentence or clause of what a rule does, without a full stop.
pub fn brief(does: &str) -> &str {
    let end = [": ", "; ", ". "].iter().filter_map(|end| does.find(end)).min().unwrap_or(does.len());
    does.get(..end).unwrap_or(does).trim_end_matches('.')
}

/// The first letter as a sentence begins.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_not_ended_by_what_it_holds() {
        assert_eq!([fence("a"), fence("a ``b``"), fence("```\nx\n```")], ["```", "```", "````"]);
    }

    #[test]
    fn every_page_holds_all_that_its_rule_says() {
        for rule in rules() {
            for text in [markdown(rule), plain(rule)] {
                for part in [rule.page.does, rule.page.why, rule.page.wrong.trim(), rule.page.right.trim()] {
                    assert!(text.contains(part), "{}: {part:?} is missing in\n{text}", rule.name);
                }
                assert!(text.contains(rule.page.edit.unwrap_or("")) && text.contains(rule.page.source));
            }
        }
    }
}
