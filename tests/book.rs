//! Every example of the book is run, the wrong ones too. `contributing.md` of the book says how they are tagged.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use regex::Regex;
use support::{Block, Finding, blocks, findings, markdown, meniscus, page, root, with_plain_blanks};

/// What a block has to do.
enum Tag {
    Right,
    Continued,
    Wrong(String),
    Output,
}

#[test]
fn right_examples_are_right_and_wrong_ones_wrong() {
    let mut failures = Vec::new();
    let mut run = 0;
    for name in pages() {
        let mut example = String::new();
        for block in blocks(&page(&name)) {
            let Some(tag) = tag(&block) else { continue };
            let at = format!("{name}:{}", block.line);
            match tag {
                Tag::Right => example.clone_from(&block.text),
                Tag::Continued => example = format!("{example}\n{}", block.text),
                Tag::Wrong(_) | Tag::Output => {}
            }
            failures.extend(judge(&tag, &block, &example).map(|why| format!("{at}: {why}")));
            run += 1;
        }
    }
    assert!(failures.is_empty(), "examples of the book:\n{}", failures.join("\n"));
    assert!(run > 30, "only {run} examples were found");
}

/// What is the matter with a block, if anything; `example` is the right text up to here.
fn judge(tag: &Tag, block: &Block, example: &str) -> Option<String> {
    match tag {
        Tag::Right | Tag::Continued => {
            let loud: Vec<Finding> = findings(example).into_iter().filter(|f| f.severity != "advice").collect();
            (!loud.is_empty()).then(|| format!("should be right, but: {loud:?}"))
        }
        Tag::Wrong(rule) => {
            let found = findings(&block.text);
            let others = found.iter().any(|f| f.rule != *rule && f.severity != "advice");
            let drawn = found.iter().any(|f| f.rule == *rule);
            (!drawn || others).then(|| format!("should draw {rule} and nothing else, but: {found:?}"))
        }
        Tag::Output => {
            let rendered = with_plain_blanks(&markdown(example));
            let missing: Vec<&str> = block.text.lines().filter(|line| !rendered.contains(line)).collect();
            (!missing.is_empty()).then(|| format!("{missing:?} is not in the output:\n{rendered}"))
        }
    }
}

fn tag(block: &Block) -> Option<Tag> {
    match block.info.as_str() {
        "meniscus" => Some(Tag::Right),
        "meniscus,continued" => Some(Tag::Continued),
        "output" => Some(Tag::Output),
        info => info.strip_prefix("meniscus,wrong=").map(|rule| Tag::Wrong(rule.to_owned())),
    }
}

/// An example that is tagged otherwise would not be run.
#[test]
fn every_tag_is_known() {
    for name in pages() {
        for block in blocks(&page(&name)) {
            let known = tag(&block).is_some() || matches!(block.info.as_str(), "yaml" | "json" | "text");
            assert!(known, "{name}:{}: ```{}", block.line, block.info);
        }
    }
}

/// `rules.md` is what `meniscus explain --format markdown` prints: `UPDATE_DOCS=1 cargo test --test book` writes it anew.
#[test]
fn the_page_of_rules_is_that_of_the_program() {
    let path = "book/src/rules.md";
    let run = meniscus(&["explain", "--format", "markdown"], b"");
    assert_eq!((run.status, run.stderr.as_str()), (0, ""));
    let wanted = run.stdout;
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(root().join(path), &wanted).unwrap();
    }
    assert!(page(path) == wanted, "{path} is stale; UPDATE_DOCS=1 cargo test --test book writes it anew");
}

/// Pages of the book, with their places in the package.
fn pages() -> Vec<String> {
    let summary = page("book/src/SUMMARY.md");
    let link = Regex::new(r"\]\(([^)]+\.md)\)").unwrap();
    let pages: Vec<String> = link.captures_iter(&summary).map(|found| format!("book/src/{}", &found[1])).collect();
    let files = std::fs::read_dir(root().join("book/src")).unwrap().map(|entry| entry.unwrap().path());
    let files = files.filter(|path| path.extension().is_some_and(|ext| ext == "md")).count();
    assert_eq!(pages.len() + 1, files, "every page of the book is in its summary");
    pages
}
