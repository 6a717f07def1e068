//! `check --fix` and `check --diff`: what is changed, what is kept, what is refused.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on stops")]

mod support;

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, SystemTime};

use meniscus::check::rules;
use support::desk::{Desk, Run};
use support::{page, root};

/// Two changes that are certain, `sec` and `4,8`; a reason that is missing, which nobody but its author can give.
const GATE: &str = "# A swinging gate\n\nIt takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"}, and ~{T = 4,8 ± 0.2 s \"by hand\"}\nwith the wind.\n\n\
                    It is ~{L = 1.204 m; reading 1 mm} long.\n";

fn right() -> String {
    GATE.replace("sec", "s").replace("4,8", "4.8")
}

#[test]
fn certain_changes_are_made_and_the_rest_is_told() {
    let desk = Desk::new();
    desk.put("gate.md", GATE);
    let run = desk.run(&["check", "--fix", "--format", "short", "gate.md"]).clean();
    assert_eq!((run.out.as_str(), desk.text("gate.md")), ("", right()));
    let mut told = run.told.lines();
    assert_eq!(told.next(), Some("gate.md: 2 changes made"));
    assert!(run.told.contains("[no-reason]") && !run.told.contains("[unit-spelling]"), "{}", run.told);
    assert_eq!(desk.files(), ["gate.md"], "no temporary file is left");
}

#[test]
fn a_second_run_changes_nothing_and_touches_nothing() {
    let desk = Desk::new();
    desk.put("gate.md", GATE).put("lens.md", "# A lens on a bench\n");
    let long_ago = SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000);
    let age =
        |path: &str| fs::File::options().write(true).open(desk.path(path)).unwrap().set_modified(long_ago).unwrap();
    let time = |path: &str| fs::metadata(desk.path(path)).unwrap().modified().unwrap();
    age("lens.md");
    desk.run(&["check", "--fix", "."]).clean();
    assert_eq!(time("lens.md"), long_ago);
    age("gate.md");
    let again = desk.run(&["check", "--fix", "."]).clean();
    assert!(!again.told.contains("made"), "{}", again.told);
    assert_eq!((time("gate.md"), desk.text("gate.md")), (long_ago, right()));
}

#[test]
fn the_status_is_that_of_what_is_left() {
    let desk = Desk::new();
    desk.put("gate.md", "It takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"} or ~{t}.\n");
    assert_eq!(desk.run(&["check", "gate.md"]).status, 1);
    let run = desk.run(&["check", "--fix", "gate.md"]).clean();
    assert_eq!(run.told, "gate.md: 1 change made\nno findings in 1 report\n");
    desk.put("pot.md", "~{a = 1 / 0[s]} ~{t = 4.62 sec; reaction 0.20 s \"by hand\"}.\n");
    let run = desk.run(&["check", "--fix", "--quiet", "pot.md"]);
    assert_eq!((run.status, run.told.as_str(), run.out.as_str()), (1, "", ""));
    assert!(desk.text("pot.md").contains("4.62 s;"));
}

/// A comma inside a number hides that the unit is misspelt; a silence is in vain once the slip before it is put right.
#[test]
fn rounds_go_on_until_nothing_certain_is_left() {
    let desk = Desk::new();
    let report = "<!-- meniscus: silence no-reason \"given\" -->\n\nIt takes ~{t = 4,62 sec; reaction 0.20 s \"by hand\"}, ~{t}.\n";
    desk.put("gate.md", report);
    let run = desk.run(&["check", "--fix", "gate.md"]).clean();
    assert!(run.told.starts_with("gate.md: 3 changes made\n"), "{}", run.told);
    assert_eq!(desk.text("gate.md"), "\n\nIt takes ~{t = 4.62 s; reaction 0.20 s \"by hand\"}, ~{t}.\n");
}

#[test]
fn what_a_course_or_a_comment_silences_is_not_changed() {
    let desk = Desk::new();
    let silenced = "<!-- meniscus: silence unit-spelling \"as the clock says it\" -->\n\nIt takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"} or ~{t}.\n";
    desk.put("lab/meniscus.yaml", "rules: {unit-spelling: off, decimal-comma: off}\n").put("lab/gate.md", GATE);
    desk.put("own.md", format!("---\nmeniscus:\n  rules: {{unit-spelling: off, decimal-comma: off}}\n---\n\n{GATE}"));
    desk.put("silenced.md", silenced);
    let before = ["lab/gate.md", "own.md", "silenced.md"].map(|path| desk.text(path));
    let run = desk.run(&["check", "--fix", "."]);
    assert!(!run.told.contains("made"), "{}", run.told);
    assert_eq!(["lab/gate.md", "own.md", "silenced.md"].map(|path| desk.text(path)), before);
}

/// Faults of the front matter are for the teacher to put right; what else is certain is changed below it.
#[test]
fn front_matter_and_course_files_stay_as_they_are() {
    let desk = Desk::new();
    let front = "---\ntitle: 4.5 +- 0.1 s, ~{t = 4,5 sec}\nmeniscus: {combin: quadrature, digits: two}\n---\n\n";
    desk.put("gate.md", format!("{front}{GATE}"));
    let course = "# ~{t = 4.62 sec; reaction 0.20 s \"by hand\"}\nroot: true\n";
    desk.put("meniscus.yaml", course);
    assert_eq!(desk.run(&["check", "--fix", "gate.md"]).status, 1);
    assert_eq!(desk.text("gate.md"), format!("{front}{}", right()));
    for flag in ["--fix", "--diff"] {
        let run = desk.run(&["check", flag, "--quiet", "meniscus.yaml"]).refused();
        assert!(run.contains("meniscus.yaml is read as a course file"), "{run}");
    }
    assert_eq!(desk.text("meniscus.yaml"), course);
}

#[test]
fn bytes_that_are_not_changed_are_kept() {
    let desk = Desk::new();
    for before in [
        format!("\u{feff}{GATE}"),
        GATE.replace('\n', "\r\n"),
        GATE.trim_end().to_owned(),
        GATE.replace('\n', "\r"),
        format!("{GATE}\tµ 蜜蝋 \u{0}\u{7}\n\n\n"),
    ] {
        desk.put("gate.md", &before);
        desk.run(&["check", "--fix", "--quiet", "gate.md"]).clean();
        assert_eq!(desk.text("gate.md"), before.replace("sec", "s").replace("4,8", "4.8"));
    }
}

#[cfg(unix)]
#[test]
fn permissions_and_links_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("real/gate.md", GATE);
    fs::set_permissions(desk.path("real/gate.md"), fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("real/gate.md", desk.path("link.md")).unwrap();
    let run = desk.run(&["check", "--fix", "link.md", "real"]).clean();
    assert!(desk.path("link.md").symlink_metadata().unwrap().is_symlink());
    assert_eq!(fs::metadata(desk.path("real/gate.md")).unwrap().permissions().mode() & 0o777, 0o640);
    assert_eq!(desk.text("real/gate.md"), right());
    assert_eq!(run.told.matches("made").count(), 1, "one file, one change: {}", run.told);
    desk.put("real/gate.md", GATE);
    let run = desk.run(&["check", "--diff", "--quiet", "link.md", "real"]);
    assert_eq!(run.out.matches("--- ").count(), 1, "{}", run.out);
}

#[cfg(unix)]
#[test]
fn a_report_that_cannot_be_written_keeps_no_other_from_it() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("a.md", GATE).put("b.md", GATE);
    fs::set_permissions(desk.path("a.md"), fs::Permissions::from_mode(0o444)).unwrap();
    let run = desk.run(&["check", "--fix", "--format", "json", "a.md", "b.md"]);
    assert_eq!(run.status, 2);
    assert!(run.told.contains("cannot write a.md: it is read-only"), "{}", run.told);
    assert_eq!((desk.text("a.md"), desk.text("b.md")), (GATE.to_owned(), right()));
    let files = run.json()["files"].clone();
    let rules =
        |file: usize| files[file]["findings"].as_array().unwrap().iter().map(|f| f["rule"].clone()).collect::<Vec<_>>();
    assert!(rules(0).contains(&"unit-spelling".into()) && !rules(1).contains(&"unit-spelling".into()), "{files}");
    assert_eq!(desk.run(&["check", "--diff", "--quiet", "a.md"]).status, 1, "what only reads needs no leave to write");
}

/// The program reads its inputs in order: once it reads standard input, it has read the file before it.
#[test]
fn a_report_that_changed_meanwhile_is_not_overwritten() {
    let desk = Desk::new();
    desk.put("gate.md", GATE).put("pot.md", GATE);
    let mut child = Command::new(env!("CARGO_BIN_EXE_meniscus"))
        .args(["check", "--fix", "--quiet", "gate.md", "pot.md", "-"])
        .current_dir(desk.0.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    // More than a pipe holds: the write ends when the program has begun to read.
    stdin.write_all("wax\n".repeat(500_000).as_bytes()).unwrap();
    let meanwhile = format!("{GATE}One more line.\n");
    desk.put("gate.md", &meanwhile);
    drop(stdin);
    let run = Run::of(&child.wait_with_output().unwrap());
    assert_eq!(run.status, 2);
    assert!(run.told.contains("gate.md has changed since it was read"), "{}", run.told);
    assert_eq!((desk.text("gate.md"), desk.text("pot.md")), (meanwhile, right()));
    assert_eq!(desk.files(), ["gate.md", "pot.md"], "no temporary file is left");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let desk = Desk::new();
    let run = desk.run_with(&["check", "--fix", "--as", "gate.md", "-"], GATE.as_bytes()).clean();
    assert_eq!((run.out, desk.files().len()), (right(), 0));
    assert!(run.told.contains("warning[no-reason]") && run.told.contains(" --> gate.md:6:"), "{}", run.told);
    let run = desk.run_with(&["check", "--fix", "--quiet"], right().as_bytes()).clean();
    assert_eq!((run.out, run.told.as_str()), (right(), ""), "an editor puts it in place of what it gave");
}

#[cfg(unix)]
#[test]
fn a_device_is_never_written_to() {
    let desk = Desk::new();
    let told = desk.run_with(&["check", "--fix", "--quiet", "/dev/stdin"], GATE.as_bytes()).refused();
    assert!(told.contains("/dev/stdin is no file"), "{told}");
}

#[test]
fn two_things_cannot_go_to_standard_output() {
    let desk = Desk::new();
    desk.put("gate.md", GATE);
    for format in ["json", "sarif"] {
        let told = desk.run(&["check", "--fix", "--diff", "--format", format, "gate.md"]).refused();
        assert!(told.contains("cannot both go to standard output") && told.contains("--format text"), "{told}");
        desk.run_with(&["check", "--fix", "--format", format], GATE.as_bytes()).refused();
        let run = desk.run(&["check", "--fix", "--format", format, "gate.md"]).clean();
        assert!(run.json().is_object() && desk.text("gate.md") == right());
        desk.put("gate.md", GATE);
    }
}

#[test]
fn a_diff_is_shown_and_nothing_written() {
    let desk = Desk::new();
    desk.put("my gate.md", GATE);
    let expected = "\
--- my gate.md\t
+++ my gate.md\t
@@ -1,6 +1,6 @@
 # A swinging gate
 
-It takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"}, and ~{T = 4,8 ± 0.2 s \"by hand\"}
+It takes ~{t = 4.62 s; reaction 0.20 s \"by hand\"}, and ~{T = 4.8 ± 0.2 s \"by hand\"}
 with the wind.
 
 It is ~{L = 1.204 m; reading 1 mm} long.
";
    for arguments in [&["check", "--diff", "my gate.md"][..], &["check", "--fix", "--diff", "my gate.md"]] {
        let run = desk.run(arguments);
        assert_eq!((run.status, run.out.as_str()), (1, expected));
        // Nothing was changed: findings are those of the report as it is.
        assert!(run.told.contains("error[unit-spelling]") && !run.told.contains("made"), "{}", run.told);
        assert_eq!(desk.text("my gate.md"), GATE);
    }
    desk.put("my gate.md", right());
    assert_eq!(desk.run(&["check", "--diff", "my gate.md"]).out, "");
    let run = desk.run_with(&["check", "--diff", "--quiet", "--as", "a/b.md"], GATE.as_bytes());
    assert!(run.out.starts_with("--- a/b.md\n+++ a/b.md\n@@ "), "{}", run.out);
}

/// Every report of the samples, of the cases and of the rules' pages: what `--fix` makes is what the diff makes, and the next run has nothing to do.
#[test]
fn a_diff_makes_what_fix_makes() {
    let desk = Desk::new();
    let mut names = Vec::new();
    for folder in ["tests/cases", "samples/hurried", "samples/gate"] {
        for entry in fs::read_dir(root().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "md") {
                let name = format!("{}-{}", names.len(), path.file_name().unwrap().to_str().unwrap());
                let text = page(&path);
                desk.put(
                    &name,
                    if names.len() % 2 == 0 { text } else { text.replace('\n', "\r\n").trim_end().to_owned() },
                );
                names.push(name);
            }
        }
    }
    for rule in rules() {
        desk.put(&format!("{}.md", rule.name), rule.page.wrong);
        names.push(format!("{}.md", rule.name));
    }
    let before: Vec<String> = names.iter().map(|name| desk.text(name)).collect();
    let diffs: Vec<String> = names.iter().map(|name| desk.run(&["check", "--diff", "--quiet", name]).out).collect();
    desk.run(&["check", "--fix", "--quiet", "."]);
    for ((name, before), diff) in names.iter().zip(&before).zip(&diffs) {
        assert_eq!(patched(before, diff), desk.text(name), "{name}");
    }
    assert!(diffs.iter().filter(|diff| !diff.is_empty()).count() >= 10, "too few reports have anything to change");
    assert_eq!(desk.run(&["check", "--diff", "--quiet", "."]).out, "", "a second run has nothing to do");
}

/// What `patch` does with one file's diff.
fn patched(old: &str, diff: &str) -> String {
    let source: Vec<&str> = old.split_inclusive('\n').collect();
    let (mut text, mut from) = (String::new(), 0);
    let mut lines = diff.split_inclusive('\n').skip(2).peekable();
    while let Some(line) = lines.next() {
        let unended = lines.peek().is_some_and(|next| next.starts_with('\\'));
        let (mark, body) = line.split_at(1);
        let body = if unended { body.strip_suffix('\n').unwrap() } else { body };
        match mark {
            "@" => {
                let start = line.trim_start_matches("@@ -").split([',', ' ']).next().unwrap();
                let start = start.parse::<usize>().unwrap().saturating_sub(1);
                text.extend(source[from..start].iter().copied());
                from = start;
            }
            "+" => text += body,
            "-" | " " => {
                assert_eq!(source[from], body, "{diff}");
                from += 1;
                text += if mark == " " { body } else { "" };
            }
            "\\" => {}
            _ => panic!("{line:?}"),
        }
    }
    text.extend(source[from..].iter().copied());
    text
}
