//! What the tests of whole pages share: the program run on a text, and the fenced blocks of a page.

#![allow(dead_code, reason = "each test file is a crate of its own and uses a part of this")]

pub(crate) mod desk;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// What a run of the program left behind.
#[derive(Debug)]
pub(crate) struct Run {
    pub(crate) status: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// A finding as `check --format json` writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Finding {
    pub(crate) rule: String,
    pub(crate) severity: String,
    /// The characters of the source that it points at.
    pub(crate) place: String,
    pub(crate) message: String,
}

/// Runs the program in the package's folder, `input` on its standard input.
pub(crate) fn meniscus(arguments: &[&str], input: &[u8]) -> Run {
    let mut child = Command::new(env!("CARGO_BIN_EXE_meniscus"))
        .args(arguments)
        .current_dir(root())
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    // The pipe may be closed before all is written: a program that stops early is no failure of the test.
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    Run {
        // A process that a signal ended has no status; no test expects that.
        status: output.status.code().unwrap_or(-1),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The report in Markdown, whatever findings there are.
pub(crate) fn markdown(report: &str) -> String {
    let run = meniscus(&["render", "--to", "markdown"], report.as_bytes());
    assert!(matches!(run.status, 0 | 1), "render failed: {run:?}");
    run.stdout
}

/// A text with the blanks that keep a number and its unit on one line written as plain ones.
pub(crate) fn with_plain_blanks(text: &str) -> String {
    text.replace(['\u{a0}', '\u{202f}'], " ")
}

/// What `check` finds in a report.
pub(crate) fn findings(report: &str) -> Vec<Finding> {
    let run = meniscus(&["check", "--format", "json"], report.as_bytes());
    assert!(matches!(run.status, 0 | 1), "check failed: {run:?}");
    let all: Value = serde_json::from_str(&run.stdout).unwrap_or_else(|error| panic!("{error}: {run:?}"));
    all["files"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|file| file["findings"].as_array().unwrap())
        .map(|finding| {
            let offset = |end: &str| usize::try_from(finding["span"][end]["offset"].as_u64().unwrap()).unwrap();
            let word = |key: &str| finding[key].as_str().unwrap().to_owned();
            Finding {
                rule: word("rule"),
                severity: word("severity"),
                place: report[offset("start")..offset("end")].to_owned(),
                message: word("message"),
            }
        })
        .collect()
}

/// A fenced block of a page.
#[derive(Clone, Debug)]
pub(crate) struct Block {
    /// What stands behind the opening fence.
    pub(crate) info: String,
    pub(crate) text: String,
    /// The line of its opening fence, from 1.
    pub(crate) line: usize,
}

/// The fenced blocks of a page that begin at the line's start.
pub(crate) fn blocks(page: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut lines = page.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        let Some(info) = line.strip_prefix("```") else { continue };
        let text: Vec<&str> = lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```").collect();
        blocks.push(Block { info: info.to_owned(), text: text.join("\n") + "\n", line: number + 1 });
    }
    blocks
}

/// The text of a file of the package.
pub(crate) fn page(path: impl AsRef<Path>) -> String {
    let path = root().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}
