//! README.md and DEVELOPERS.md say what is true.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use std::path::{Path, PathBuf};

use regex::Regex;
use support::{blocks, findings, markdown, meniscus, page, root};

#[test]
fn the_report_comes_out_as_the_readme_shows() {
    let [report, output] = &blocks(&page("README.md"))[..] else { panic!("README.md has not its two blocks") };
    assert_eq!(findings(&report.text), [], "the README's report has findings");
    let rendered = markdown(&report.text);
    assert_eq!(rendered, output.text, "README.md should show:\n{rendered}");
}

#[test]
fn the_commands_of_the_readme_exist() {
    let row = Regex::new(r"(?m)^\| `meniscus (\w+)").unwrap();
    let readme = page("README.md");
    let commands: Vec<&str> = row.captures_iter(&readme).map(|row| row.get(1).unwrap().as_str()).collect();
    assert!(commands.len() >= 4, "{commands:?}");
    for command in commands {
        let run = meniscus(&[command, "--help"], b"");
        assert_eq!((run.status, run.stdout.is_empty()), (0, false), "meniscus {command} --help: {run:?}");
    }
}

#[test]
fn links_lead_somewhere() {
    let link = Regex::new(r"\]\(([^)#]+)(?:#[^)]*)?\)").unwrap();
    for name in ["README.md", "DEVELOPERS.md"] {
        let text = page(name);
        let targets: Vec<&str> = link.captures_iter(&text).map(|found| found.get(1).unwrap().as_str()).collect();
        let broken: Vec<&&str> = targets.iter().filter(|target| !root().join(target).exists()).collect();
        assert!(!targets.is_empty() && broken.is_empty(), "{name}: {broken:?}");
    }
}

/// The code map is written from the first sentence of every file's own documentation:
/// `UPDATE_DOCS=1 cargo test --test readme` writes it anew.
#[test]
fn the_code_map_is_the_code() {
    let guide = page("DEVELOPERS.md");
    let map = blocks(&guide).into_iter().find(|block| block.info == "text,map").expect("no block `text,map`");
    let wanted = code_map();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        let fenced = |map: &str| format!("```text,map\n{map}```\n");
        std::fs::write(root().join("DEVELOPERS.md"), guide.replace(&fenced(&map.text), &fenced(&wanted))).unwrap();
        return;
    }
    assert!(map.text == wanted, "the code map is stale; UPDATE_DOCS=1 cargo test --test readme writes it anew");
}

/// What belongs to no Rust file, or is one line for a whole folder.
const SAID_HERE: [(&str, &str); 4] = [
    ("src/check/rules", "One file a rule, and `mod.rs`, the registry."),
    ("src/render/graph/file.css", "The look of a picture in a file of its own, in light and in the dark."),
    ("src/render/page.css", "The look of the page, on screen and on paper."),
    ("src/render/page.html", "The page's template."),
];

fn code_map() -> String {
    let mut lines = Vec::new();
    for room in [
        "span", "quantity", "course", "locate", "parse", "evaluate", "check", "render", "report", "face", "main",
        "lib", "build",
    ] {
        for name in [format!("src/{room}.rs"), format!("src/{room}")] {
            map_of(&PathBuf::from(name), &mut lines);
        }
    }
    let width = lines.iter().map(|(name, _)| name.chars().count()).max().unwrap();
    lines.iter().map(|(name, says)| format!("{name:width$}  {says}").trim_end().to_owned() + "\n").collect()
}

fn map_of(path: &Path, lines: &mut Vec<(String, String)>) {
    let full = root().join(path);
    if !full.exists() {
        return;
    }
    let name = path.to_str().unwrap();
    let indent = "  ".repeat(name.matches('/').count() - 1);
    let own = path.file_name().unwrap().to_str().unwrap();
    if let Some((_, says)) = SAID_HERE.iter().find(|(said, _)| *said == name) {
        lines.push((format!("{indent}{own}{}", if full.is_dir() { "/" } else { "" }), (*says).to_owned()));
    } else if full.is_dir() {
        let says = if full.join("mod.rs").exists() { first_sentence(&path.join("mod.rs")) } else { String::new() };
        lines.push((format!("{indent}{own}/"), says));
        let mut inside: Vec<PathBuf> =
            std::fs::read_dir(&full).unwrap().map(|entry| path.join(entry.unwrap().file_name())).collect();
        inside.sort();
        inside.iter().filter(|file| !file.ends_with("mod.rs")).for_each(|file| map_of(file, lines));
    } else {
        lines.push((format!("{indent}{own}"), first_sentence(path)));
    }
}

/// The first sentence of a file's `//!` documentation.
fn first_sentence(path: &Path) -> String {
    let text = page(path);
    let docs: Vec<&str> = text.lines().map_while(|line| line.strip_prefix("//!")).map(str::trim).collect();
    let paragraph = docs.split(|line| line.is_empty()).next().unwrap_or_default().join(" ");
    assert!(!paragraph.is_empty(), "{} does not say what it holds", path.display());
    let end = paragraph.find(". ").map_or(paragraph.len(), |at| at + 1);
    paragraph[..end].to_owned()
}
