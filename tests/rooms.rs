//! The order of the rooms, and what the house keeps absent. DEVELOPERS.md says why; these tests keep it true.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use regex::Regex;

/// A room uses only those before it.
const ROOMS: [&str; 11] =
    ["span", "quantity", "course", "locate", "parse", "evaluate", "check", "render", "report", "face", "main"];

/// One file of `src/`: its path below `src/`, and its text.
struct File {
    path: String,
    text: String,
}

impl File {
    /// The room that it belongs to; `lib.rs` is the list of rooms, and in none.
    fn room(&self) -> Option<usize> {
        let name = self.path.split(['/', '.']).next()?;
        ROOMS.iter().position(|&room| room == name)
    }

    /// The module path below the crate: `["evaluate", "function"]` of `evaluate/function.rs` and of
    /// `evaluate/function/mod.rs`.
    fn module(&self) -> Vec<&str> {
        let stem = self.path.trim_end_matches(".rs").trim_end_matches("/mod");
        stem.split('/').filter(|part| !matches!(*part, "lib" | "main")).collect()
    }

    /// The text without comments, and without the unit tests at its end: what the program is made of.
    fn code(&self) -> String {
        let tests = self.text.find("\n#[cfg(test)]\nmod tests {").unwrap_or(self.text.len());
        without_comments(&self.text[..tests])
    }
}

/// Files that round without showing a measured number, and what for.
const SHOWS_NO_NUMBER: [(&str, &str); 4] = [
    ("evaluate/function.rs", "asks whether an exponent is whole, and how many quarter turns an angle has"),
    ("render/graph/svg.rs", "writes coordinates of a picture"),
    ("check/rules/finer_than_eye.rs", "names a share of a division by the nearest whole fraction"),
    ("check/rules/retyped_value.rs", "looks numbers up by their first ten digits"),
];

#[test]
fn a_room_uses_only_those_above_it() {
    let mut wrong = Vec::new();
    for file in program() {
        let Some(own) = file.room() else { continue };
        for used in rooms_used(&file.code(), &file.module()) {
            let at = ROOMS.iter().position(|&room| room == used).unwrap();
            if at > own {
                wrong.push(format!("src/{}: {} uses {used}", file.path, ROOMS[own]));
            }
        }
    }
    assert!(wrong.is_empty(), "a room reaches back up:\n{}", wrong.join("\n"));
}

/// The faces of folders, `mod.rs`, hand names on and stand beside the order.
#[test]
fn no_file_knows_one_that_knows_it() {
    let files: Vec<File> = program().into_iter().filter(|file| !file.path.ends_with("mod.rs")).collect();
    let modules: BTreeMap<Vec<String>, &str> = files
        .iter()
        .map(|file| (file.module().into_iter().map(str::to_owned).collect(), file.path.as_str()))
        .filter(|(module, _): &(Vec<String>, _)| !module.is_empty())
        .collect();
    let knows: BTreeMap<&str, BTreeSet<&str>> =
        files.iter().map(|file| (file.path.as_str(), files_used(file, &modules))).collect();
    assert!(knows["check/paper.rs"].contains("check/uses.rs"), "the uses were not found");
    // Files that know none that is left are taken out, until only those in circles and those that know them remain.
    let mut left = knows;
    while let Some(free) = left.iter().find(|(_, used)| !used.iter().any(|used| left.contains_key(used))) {
        let free = *free.0;
        left.remove(free);
    }
    assert!(left.is_empty(), "files that know each other in a circle, and those that know them:\n{left:#?}");
}

#[test]
fn every_file_is_in_a_room() {
    let stray: Vec<String> = sources().into_iter().filter(|f| f.room().is_none()).map(|f| f.path).collect();
    assert_eq!(stray, ["build.rs", "lib.rs"]);
}

#[test]
fn only_a_face_meets_the_world() {
    let world = Regex::new(
        r"\bstd::(fs|env|net|process)\b|\bio::(stdin|stdout|stderr)\b|\bFile::(open|create)\b|\be?print(ln)?!|\btempfile::|\bSystemTime\b|\bInstant\b",
    )
    .unwrap();
    assert_absent(&world, |file| matches!(file.room().map(|r| ROOMS[r]), Some("face" | "main")));
}

#[test]
fn nothing_rounds_but_the_quantities() {
    let rounding = Regex::new(
        r"\.(round|round_ties_even|trunc|ceil)\(\)|\blibm::(round|rint|trunc|ceil)\b|\{[^{}]*:[^{}]*\.\d+e?\}",
    )
    .unwrap();
    assert_absent(&rounding, |file| {
        file.path.starts_with("quantity/") || SHOWS_NO_NUMBER.iter().any(|(path, _)| *path == file.path)
    });
}

#[test]
fn nothing_is_unsafe_or_left_to_do() {
    let wrong =
        Regex::new(r"\bunsafe\b|\btodo!|\bunimplemented!|\bunreachable!|\.unwrap\(\)|\.expect\(|\bpanic!").unwrap();
    assert_absent(&wrong, |_| false);
}

#[test]
fn an_allowance_says_why() {
    let attribute = Regex::new(r"(?s)#!?\[(?:allow|expect)\((.*?)\)\]").unwrap();
    let mut wrong = Vec::new();
    for (path, text) in rust_files() {
        let text = without_comments(&text);
        wrong.extend(
            attribute
                .captures_iter(&text)
                .filter(|c| !c[1].contains("reason = \""))
                .map(|c| format!("{path}: {}", &c[0])),
        );
    }
    assert!(wrong.is_empty(), "allowances without a reason:\n{}", wrong.join("\n"));
}

#[test]
fn no_test_is_ignored() {
    let ignored = ["#[", "ignore"].concat();
    let wrong: Vec<String> =
        rust_files().into_iter().filter(|(_, text)| text.contains(&ignored)).map(|(path, _)| path).collect();
    assert!(wrong.is_empty(), "ignored tests in {wrong:?}");
}

#[test]
fn a_file_has_one_subject() {
    let long: Vec<String> = rust_files()
        .into_iter()
        .map(|(path, text)| (path, text.lines().count()))
        .filter(|&(_, lines)| lines > 700)
        .map(|(path, lines)| format!("{path}: {lines} lines"))
        .collect();
    assert!(long.is_empty(), "files over 700 lines:\n{}", long.join("\n"));
}

#[test]
fn a_function_can_be_seen_at_once() {
    let long: Vec<String> = sources()
        .into_iter()
        .flat_map(|file| {
            let path = file.path.clone();
            lengths_of_functions(&file.text).into_iter().map(move |(name, lines)| (path.clone(), name, lines))
        })
        .filter(|&(_, _, lines)| lines > 80)
        .map(|(path, name, lines)| format!("src/{path}: {name} has {lines} lines"))
        .collect();
    assert!(long.is_empty(), "functions over 80 lines:\n{}", long.join("\n"));
}

#[test]
fn no_file_speaks_of_the_machine_it_was_written_on() {
    // Put together here, so that this file does not speak of them itself.
    let folders = ["work", "tmp", "root", "home"].map(|folder| format!("/{folder}/"));
    let mut wrong = Vec::new();
    for path in tracked_files() {
        let Ok(text) = fs::read_to_string(&path) else { continue };
        wrong.extend(folders.iter().filter(|f| text.contains(*f)).map(|f| format!("{}: {f}", path.display())));
    }
    assert!(wrong.is_empty(), "paths of a machine:\n{}", wrong.join("\n"));
}

/// The checks themselves, on code that breaks the rules.
#[test]
fn uses_are_found_in_every_spelling() {
    let used = |code: &str, module: &[&str]| rooms_used(code, module).join(" ");
    assert_eq!(used("use crate::parse::ast::Symbol;", &["evaluate"]), "parse");
    assert_eq!(used("use crate::{\n    span::Span,\n    parse::{ast, Fault},\n};", &["check"]), "span parse");
    assert_eq!(used("use super::super::report::read;", &["check", "rules"]), "report");
    assert_eq!(used("use super::report;", &["check", "rules"]), "");
    assert_eq!(used("let x = crate::face::run();", &["span"]), "face");
    assert_eq!(used("use meniscus::face::cli;", &["main"]), "face");
    assert_eq!(without_comments("a // crate::face\n//! crate::face\nb"), "a \n\nb");
    assert_eq!(lengths_of_functions("    fn a() {\n        1\n    }\nfn b() {}\n"), [("a".to_owned(), 3)]);
}

fn assert_absent(pattern: &Regex, exempt: impl Fn(&File) -> bool) {
    let mut wrong = Vec::new();
    for file in program().iter().filter(|file| !exempt(file)) {
        let code = file.code();
        let lines = code.lines().enumerate().filter(|(_, line)| pattern.is_match(line));
        wrong.extend(lines.map(|(n, line)| format!("src/{}:{}: {}", file.path, n + 1, line.trim())));
    }
    assert!(wrong.is_empty(), "found where it has no place:\n{}", wrong.join("\n"));
}

/// Rooms named by `crate::room`, `crate::{room, …}`, enough `super::` or `meniscus::room`, in order.
fn rooms_used(code: &str, module: &[&str]) -> Vec<&'static str> {
    static PATH: LazyLock<Regex> = LazyLock::new(|| {
        Regex::new(r"\b(?:crate|meniscus|(?P<up>super(?:\s*::\s*super)*))\s*::\s*(?P<rest>\w+|\{)").unwrap()
    });
    let mut found = Vec::new();
    for path in PATH.captures_iter(code) {
        let reaches_root = path.name("up").is_none_or(|up| up.as_str().matches("super").count() == module.len());
        let rest = path.name("rest").unwrap();
        match rest.as_str() {
            _ if !reaches_root => {}
            "{" => found.extend(group(&code[rest.end()..])),
            name => found.push(name),
        }
    }
    found.into_iter().filter_map(|name| ROOMS.into_iter().find(|&room| room == name)).collect()
}

/// The files that a file's paths lead into.
fn files_used<'f>(file: &File, modules: &BTreeMap<Vec<String>, &'f str>) -> BTreeSet<&'f str> {
    let own: Vec<String> = file.module().into_iter().map(str::to_owned).collect();
    let longest = |path: &[String]| (1..=path.len()).rev().find_map(|length| modules.get(&path[..length]).copied());
    let found = paths(&file.code()).into_iter().filter_map(|path| {
        let up = path.iter().take_while(|name| *name == "super").count();
        let full = match path.first()?.as_str() {
            "crate" => path[1..].to_vec(),
            "self" => [&own, &path[1..]].concat(),
            "super" => [own.get(..own.len().checked_sub(up)?)?, &path[up..]].concat(),
            // A module of the file's own.
            _ => [&own, &path[..]].concat(),
        };
        longest(&full)
    });
    found.filter(|path| *path != file.path).collect()
}

/// All paths of two names or more, those of `use` trees one by one.
fn paths(code: &str) -> Vec<Vec<String>> {
    static PATH: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"\b(?:[a-z_]+\s*::\s*)+(?:\w+|\{)").unwrap());
    let mut found = Vec::new();
    for path in PATH.find_iter(code).filter(|path| !code[..path.start()].ends_with("::")) {
        let names: Vec<String> = path.as_str().split("::").map(|name| name.trim().to_owned()).collect();
        match names.split_last() {
            Some((last, before)) if last == "{" => {
                let parts = group(&code[path.end()..]).into_iter();
                found.extend(parts.map(|part| before.iter().cloned().chain([part.to_owned()]).collect()));
            }
            _ => found.push(names),
        }
    }
    found
}

/// First names of the parts of a `{…}` group, whose opener has been read.
fn group(text: &str) -> Vec<&str> {
    let (mut depth, mut start, mut parts) = (0, 0, Vec::new());
    for (at, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            ',' if depth == 0 => {
                parts.push(&text[start..at]);
                start = at + 1;
            }
            '}' if depth == 0 => {
                parts.push(&text[start..at]);
                break;
            }
            '}' => depth -= 1,
            _ => {}
        }
    }
    parts.into_iter().filter_map(|part| part.trim().split([':', ' ']).next()).collect()
}

/// Line comments taken out, their line ends kept. The house writes no block comments.
fn without_comments(text: &str) -> String {
    static COMMENT: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"(?m)//.*$").unwrap());
    COMMENT.replace_all(text, "").into_owned()
}

/// Every function that takes more than a line, with its lines: as rustfmt writes them, its closing
/// brace stands under its `fn` line.
fn lengths_of_functions(text: &str) -> Vec<(String, usize)> {
    static HEAD: LazyLock<Regex> =
        LazyLock::new(|| Regex::new(r"^(?P<indent> *)(?:pub(?:\([a-z]+\))? )?(?:const )?fn (?P<name>\w+)").unwrap());
    let lines: Vec<&str> = text.lines().collect();
    let ends = |from: usize, indent: &str| lines[from..].iter().position(|line| *line == format!("{indent}}}"));
    let one_line = |line: &str| line.ends_with('}') || line.ends_with(';');
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate().filter(|(_, line)| !one_line(line)) {
        if let Some(head) = HEAD.captures(line)
            && let Some(length) = ends(at, &head["indent"])
        {
            found.push((head["name"].to_owned(), length + 1));
        }
    }
    found
}

fn sources() -> Vec<File> {
    let root = root().join("src");
    let mut files: Vec<File> = walk(&root)
        .into_iter()
        .filter(|path| path.extension().is_some_and(|ext| ext == "rs"))
        .map(|path| File {
            text: fs::read_to_string(&path).unwrap(),
            path: path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/"),
        })
        .collect();
    files.sort_by(|a, b| a.path.cmp(&b.path));
    assert!(files.len() > 20, "the sources were not found");
    files
}

/// The sources without the build script, which is no part of the program and speaks to cargo on its standard output.
/// Unit tests stand at the end of the file that they are of: no file is compiled for tests alone.
fn program() -> Vec<File> {
    let mut all = sources();
    all.retain(|file| file.path != "build.rs");
    all
}

/// `src/` and `tests/`: paths below the package, and texts.
fn rust_files() -> Vec<(String, String)> {
    let paths = walk(&root().join("src")).into_iter().chain(walk(&root().join("tests")));
    paths
        .filter(|path| path.extension().is_some_and(|ext| ext == "rs"))
        .map(|path| (path.strip_prefix(root()).unwrap().display().to_string(), fs::read_to_string(&path).unwrap()))
        .collect()
}

/// Everything in the package's folder that its ignore file leaves.
fn tracked_files() -> Vec<PathBuf> {
    walk(&root())
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let mut walker = ignore::WalkBuilder::new(folder);
    walker.hidden(false).require_git(false).filter_entry(|entry| entry.file_name() != ".git");
    let files = walker.build().map(Result::unwrap).filter(|entry| entry.file_type().is_some_and(|t| t.is_file()));
    files.map(ignore::DirEntry::into_path).collect()
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}
