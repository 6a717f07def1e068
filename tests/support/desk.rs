//! A folder with reports in it, and the program run there.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A folder for one test, its own search boundary: a course file above it means nothing.
pub(crate) struct Desk(pub(crate) TempDir);

impl Desk {
    pub(crate) fn new() -> Self {
        let folder = TempDir::new().unwrap();
        fs::create_dir(folder.path().join(".git")).unwrap();
        Self(folder)
    }

    pub(crate) fn put(&self, path: &str, bytes: impl AsRef<[u8]>) -> &Self {
        let path = self.path(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
        self
    }

    pub(crate) fn path(&self, path: &str) -> PathBuf {
        self.0.path().join(path)
    }

    pub(crate) fn text(&self, path: &str) -> String {
        fs::read_to_string(self.path(path)).unwrap()
    }

    /// All files below, sorted, but for the boundary.
    pub(crate) fn files(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut folders = vec![self.0.path().to_owned()];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() { folders.push(path) } else { found.push(self.name(&path)) }
            }
        }
        found.sort();
        found
    }

    pub(crate) fn name(&self, path: &Path) -> String {
        path.strip_prefix(self.0.path()).unwrap().to_str().unwrap().replace('\\', "/")
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Run {
        self.run_with(arguments, b"")
    }

    pub(crate) fn run_with(&self, arguments: &[&str], input: &[u8]) -> Run {
        let mut child = Command::new(env!("CARGO_BIN_EXE_meniscus"))
            .args(arguments)
            .current_dir(self.0.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A program that needs no input may have closed it.
        let _ = child.stdin.take().unwrap().write_all(input);
        Run::of(&child.wait_with_output().unwrap())
    }
}

#[derive(Debug)]
pub(crate) struct Run {
    pub(crate) status: i32,
    pub(crate) out: String,
    pub(crate) told: String,
}

impl Run {
    pub(crate) fn of(output: &Output) -> Self {
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        Self {
            status: output.status.code().expect("an exit status, not a signal"),
            out: text(&output.stdout),
            told: text(&output.stderr),
        }
    }

    /// Refused: status 2, nothing on standard output; what was said of it.
    pub(crate) fn refused(self) -> String {
        assert_eq!((self.status, self.out.as_str()), (2, ""), "{self:?}");
        assert!(self.told.starts_with("error"), "{}", self.told);
        self.told
    }

    pub(crate) fn clean(self) -> Self {
        assert_eq!(self.status, 0, "{self:?}");
        self
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap()
    }
}
