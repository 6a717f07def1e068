//! README.md and DEVELOPERS.md say what is true.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use std::collections::BTreeSet;

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

/// The code map names every file and folder of `src/`, and nothing else.
#[test]
fn the_code_map_is_the_code() {
    let guide = page("DEVELOPERS.md");
    let map = blocks(&guide).into_iter().find(|block| block.info == "text,map").expect("no block `text,map`");
    let mapped: BTreeSet<String> = paths_of_tree(&map.text).into_iter().collect();
    let missing: Vec<&String> = mapped.iter().filter(|path| !root().join(path).exists()).collect();
    assert!(missing.is_empty(), "on the map but not there: {missing:?}");
    let there: BTreeSet<String> = ignore::Walk::new(root().join("src"))
        .map(|entry| entry.unwrap().into_path())
        .filter(|path| path.is_file())
        .map(|path| path.strip_prefix(root()).unwrap().display().to_string())
        .collect();
    // A folder that the map does not open stands for all that is in it.
    let opened = |folder: &str| mapped.iter().any(|path| path.starts_with(folder) && path != folder);
    let covered = |path: &String| {
        mapped.contains(path) || mapped.iter().any(|m| m.ends_with('/') && path.starts_with(m.as_str()) && !opened(m))
    };
    let unmapped: Vec<&String> = there.iter().filter(|path| !covered(path)).collect();
    assert!(unmapped.is_empty(), "not on the map: {unmapped:?}");
}

/// Paths of an indented tree, two blanks a level; folders end in `/`, and what follows two blanks is said of them.
fn paths_of_tree(tree: &str) -> Vec<String> {
    let mut folders: Vec<String> = Vec::new();
    let mut paths = Vec::new();
    for line in tree.lines().filter(|line| !line.trim().is_empty()) {
        let name = line.split_whitespace().next().unwrap();
        folders.truncate((line.len() - line.trim_start().len()) / 2);
        let path = format!("{}{name}", folders.concat());
        if name.ends_with('/') {
            folders.push(name.to_owned());
        }
        paths.push(path);
    }
    paths
}

#[test]
fn a_tree_is_read_by_its_indents() {
    let tree = "src/   code\n  a.rs   one\n  b/\n    c.rs\ntests/\n";
    assert_eq!(paths_of_tree(tree), ["src/", "src/a.rs", "src/b/", "src/b/c.rs", "tests/"]);
}
