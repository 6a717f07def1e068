//! The program from outside: arguments, streams, files, exit statuses.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on stops")]

mod support;

use std::fs;
use std::process::{Command, Stdio};

use serde_json::Value;
use support::desk::{Desk, Run};
use tempfile::TempDir;

/// A report in which there is nothing to find.
const PLAIN: &str = "# A lens on a bench\n\nNothing is measured yet.\n";

#[test]
fn wrong_arguments_are_status_2_and_help_is_status_0() {
    let desk = Desk::new();
    assert_eq!(desk.run(&[]).status, 2);
    assert_eq!(desk.run(&["--help"]).status, 0);
    assert_eq!(desk.run(&["--version"]).out, concat!("meniscus ", env!("CARGO_PKG_VERSION"), "\n"));
    for wrong in [&["chek"][..], &["check", "--loud"], &["render", "--to", "pdf"], &["values", "--format", "xml"]] {
        let told = desk.run(wrong).refused();
        assert!(told.contains("error"), "{told}");
    }
}

#[test]
fn a_report_without_findings_is_status_0() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN);
    let run = desk.run(&["check", "lens.md"]).clean();
    assert_eq!((run.out.as_str(), run.told.as_str()), ("", "no findings in 1 report\n"));
    assert_eq!(desk.run(&["check", "--quiet", "lens.md"]).clean().told, "");
    assert_eq!(desk.run(&["check", "--format", "short", "lens.md"]).clean().told, "");
}

#[test]
fn findings_as_json_go_to_standard_output() {
    let desk = Desk::new();
    desk.put("b/lens.md", PLAIN).put("a.md", "");
    let run = desk.run(&["check", "--format", "json", "."]).clean();
    assert_eq!(run.told, "");
    let expected = serde_json::json!({
        "version": 1,
        "files": [{"path": "a.md", "findings": []}, {"path": "b/lens.md", "findings": []}],
        "errors": 0,
        "warnings": 0,
    });
    assert_eq!(run.json(), expected);
}

#[test]
fn standard_input_is_read_where_nothing_or_a_dash_is_given() {
    let desk = Desk::new();
    for arguments in [&["check", "--format", "json"][..], &["check", "--format", "json", "-"]] {
        let run = desk.run_with(arguments, PLAIN.as_bytes()).clean();
        assert_eq!(run.json()["files"][0]["path"], "-");
    }
    let run = desk.run_with(&["check", "--format", "json", "--as", "gate/report.md"], PLAIN.as_bytes()).clean();
    assert_eq!(run.json()["files"][0]["path"], "gate/report.md");
    desk.put("lens.md", PLAIN);
    assert!(desk.run(&["check", "--as", "gate.md", "lens.md"]).refused().contains("--as is for standard input"));
}

#[test]
fn what_cannot_be_read_is_status_2_and_all_of_it_is_told() {
    let desk = Desk::new();
    desk.put("good.md", PLAIN).put("wide.md", "# Block\n\nµ = \u{e9}".as_bytes());
    desk.put("latin.md", b"# Block\n\nBe\xc3\xa9 gemessen: h\xf6he\n");
    let told = desk.run(&["check", "--format", "json", "good.md", "latin.md", "missing.md"]).refused();
    assert!(told.contains("latin.md:3:16: not UTF-8: the byte 0xF6 at offset 25"), "{told}");
    assert!(told.contains("cannot read missing.md"), "{told}");
    desk.put("windows.md", b"\xff\xfe#\0");
    assert!(desk.run(&["check", "windows.md"]).refused().contains("UTF-16"));
    assert!(desk.run_with(&["check"], b"\xff").refused().contains("-:1:1: not UTF-8"));
}

#[test]
fn nothing_is_written_where_one_report_cannot_be_read() {
    let desk = Desk::new();
    desk.put("in/a.md", PLAIN).put("in/b.md", b"\xff");
    desk.run(&["render", "in", "-o", "out"]).refused();
    assert_eq!(desk.files(), ["in/a.md", "in/b.md"]);
    assert!(!desk.path("out").exists());
}

#[test]
fn an_empty_report_and_a_byte_order_mark_are_fine() {
    let desk = Desk::new();
    desk.put("empty.md", "").put("marked.md", format!("\u{feff}{PLAIN}"));
    desk.run(&["check", "empty.md", "marked.md"]).clean();
    assert_eq!(desk.run(&["render", "--to", "markdown", "marked.md"]).clean().out, format!("\u{feff}{PLAIN}"));
    assert_eq!(desk.run(&["render", "--to", "markdown", "empty.md"]).clean().out, "");
}

#[test]
fn folders_are_walked_in_order_and_gitignore_holds_without_a_repository() {
    let folder = TempDir::new().unwrap();
    let desk = Desk(folder);
    desk.put("meniscus.yaml", "root: true\n").put(".gitignore", "drafts/\n");
    for path in ["b.md", "a.md", "c/d.md", "drafts/x.md", ".hidden/y.md", "notes.txt"] {
        desk.put(path, PLAIN);
    }
    let run = desk.run(&["check", "--format", "json", "."]).clean();
    let files = run.json()["files"].clone();
    let paths: Vec<&str> = files.as_array().unwrap().iter().map(|file| file["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["a.md", "b.md", "c/d.md"]);
    assert!(desk.run(&["check", "c", "empty"]).refused().contains("cannot read empty"));
}

#[test]
fn a_report_given_twice_is_read_once() {
    let desk = Desk::new();
    desk.put("in/a.md", PLAIN);
    let run = desk.run(&["check", "--format", "json", "in", "in/a.md"]).clean();
    assert_eq!(run.json()["files"].as_array().unwrap().len(), 1);
}

#[test]
fn one_report_is_printed_or_written_where_it_is_told() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN);
    assert_eq!(desk.run(&["render", "--to", "markdown", "lens.md"]).clean().out, PLAIN);
    assert_eq!(desk.run(&["render", "--to", "markdown", "lens.md", "-o", "-"]).clean().out, PLAIN);
    let run = desk.run(&["render", "--to", "markdown", "lens.md", "-o", "page.md"]).clean();
    assert_eq!((run.out.as_str(), desk.text("page.md").as_str()), ("", PLAIN));
    assert!(desk.run(&["render", "lens.md", "-o", "new/page.md"]).refused().contains("cannot write new/page.md"));
    desk.run(&["render", "--to", "markdown", "lens.md", "-o", "new/"]).clean();
    assert_eq!(desk.text("new/lens.md"), PLAIN);
    desk.run_with(&["render", "--to", "markdown", "--as", "deep/gate.md", "-o", "site/"], PLAIN.as_bytes()).clean();
    assert_eq!(desk.text("site/gate.md"), PLAIN);
}

#[test]
fn a_folder_goes_to_a_folder() {
    let desk = Desk::new();
    desk.put("in/a.md", PLAIN).put("in/b/c.md", "text\n").put("in/data.csv", "1,2\n");
    desk.run(&["render", "in", "-o", "out"]).clean();
    assert_eq!(desk.files(), ["in/a.md", "in/b/c.md", "in/data.csv", "out/a.html", "out/b/c.html"]);
    let told = desk.run(&["render", "in"]).refused();
    assert!(told.contains("-o FOLDER"), "{told}");
    assert!(desk.run(&["render", "in", "-o", "in/data.csv"]).refused().contains("is a file"));
}

#[test]
fn outputs_within_the_folder_are_no_inputs_of_the_next_run() {
    let desk = Desk::new();
    desk.put("in/a.md", PLAIN);
    for _ in 0..2 {
        desk.run(&["render", "in", "--to", "markdown", "-o", "in/site"]).clean();
        assert_eq!(desk.files(), ["in/a.md", "in/site/a.md"]);
    }
}

#[test]
fn two_reports_never_go_to_one_place() {
    let desk = Desk::new();
    desk.put("a/report.md", PLAIN).put("b/report.md", PLAIN);
    let told = desk.run(&["render", "a", "b", "-o", "out"]).refused();
    assert!(told.contains("would both be written to"), "{told}");
    assert!(!desk.path("out").exists());
}

#[test]
fn an_output_is_never_an_input() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN).put("in/a.md", PLAIN).put("page.html", "{{ body }}").put("meniscus.yaml", "digits: 2\n");
    let markdown = ["render", "--to", "markdown"];
    for rest in [
        &["lens.md", "-o", "lens.md"][..],
        &["lens.md", "-o", "./in/../lens.md"],
        &["lens.md", "-o", "."],
        &["in", "-o", "in"],
        &["lens.md", "-o", "meniscus.yaml"],
    ] {
        let told = desk.run(&[&markdown[..], rest].concat()).refused();
        assert!(told.contains("is read and cannot be written as well"), "{told}");
    }
    desk.run(&["render", "--template", "page.html", "lens.md", "-o", "page.html"]).refused();
    assert_eq!(desk.text("lens.md") + &desk.text("in/a.md"), PLAIN.repeat(2));
    assert_eq!(desk.text("meniscus.yaml") + &desk.text("page.html"), "digits: 2\n{{ body }}");
}

#[cfg(unix)]
#[test]
fn links_lead_to_the_same_file() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN).put("old.md", "old");
    std::os::unix::fs::symlink("lens.md", desk.path("soft.md")).unwrap();
    fs::hard_link(desk.path("lens.md"), desk.path("hard.md")).unwrap();
    for output in ["soft.md", "hard.md"] {
        desk.run(&["render", "--to", "markdown", "lens.md", "-o", output]).refused();
    }
    std::os::unix::fs::symlink("old.md", desk.path("link.md")).unwrap();
    desk.run(&["render", "--to", "markdown", "lens.md", "-o", "link.md"]).clean();
    assert!(desk.path("link.md").symlink_metadata().unwrap().is_symlink());
    assert_eq!(desk.text("old.md"), PLAIN);
}

#[cfg(unix)]
#[test]
fn permissions_are_kept_and_a_new_file_can_be_read_by_others() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("lens.md", PLAIN).put("kept.html", "old");
    let mode = |path: &str| fs::metadata(desk.path(path)).unwrap().permissions().mode() & 0o777;
    fs::set_permissions(desk.path("kept.html"), fs::Permissions::from_mode(0o640)).unwrap();
    desk.run(&["render", "lens.md", "-o", "kept.html"]).clean();
    assert_eq!(mode("kept.html"), 0o640);
    assert_ne!(desk.text("kept.html"), "old");
    desk.run(&["render", "lens.md", "-o", "new.html"]).clean();
    assert_eq!(mode("new.html"), mode("lens.md"), "as any new file");
    fs::set_permissions(desk.path("kept.html"), fs::Permissions::from_mode(0o440)).unwrap();
    assert!(desk.run(&["render", "lens.md", "-o", "kept.html"]).refused().contains("read-only"));
}

#[cfg(unix)]
#[test]
fn a_device_is_written_to_and_not_replaced() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN);
    desk.run(&["render", "lens.md", "-o", "/dev/null"]).clean();
    assert!(!fs::metadata("/dev/null").unwrap().is_file());
}

#[test]
fn no_temporary_file_is_left() {
    let desk = Desk::new();
    desk.put("in/a.md", PLAIN).put("in/b.md", PLAIN).put("out/b.html/file", "a folder stands in the way");
    desk.run(&["render", "in", "-o", "out"]).refused();
    assert_eq!(desk.files(), ["in/a.md", "in/b.md", "out/b.html/file"]);
}

#[test]
fn flags_of_a_page_are_for_html() {
    let desk = Desk::new();
    desk.put("lens.md", PLAIN).put("page.html", "{{ body }}");
    desk.run(&["render", "--to", "markdown", "--fragment", "lens.md"]).refused();
    desk.run(&["render", "--to", "markdown", "--template", "page.html", "lens.md"]).refused();
    assert!(desk.run(&["render", "--template", "none.html", "lens.md"]).refused().contains("cannot read none.html"));
}

#[test]
fn a_broken_course_file_is_status_2_at_its_place() {
    let desk = Desk::new();
    desk.put("lab/week/lens.md", PLAIN).put("lab/meniscus.yaml", "digits: 1\ncombine: sums\n");
    let told = desk.run(&["check", "--format", "json", "lab"]).refused();
    assert!(told.contains("lab/meniscus.yaml:2:10"), "{told}");
    assert!(told.contains("`combine` cannot be `sums`") && told.contains("write `sum`"), "{told}");
    desk.run(&["render", "lab", "-o", "out"]).refused();
    assert!(!desk.path("out").exists());
    desk.put("lab/meniscus.yaml", b"digits: \xff\n");
    assert!(desk.run(&["check", "lab"]).refused().contains("not UTF-8"));
}

#[test]
fn the_search_ends_at_a_root_a_repository_or_not_at_all() {
    let desk = Desk::new();
    desk.put("meniscus.yaml", "broken: true\n").put("lab/lens.md", PLAIN);
    assert!(desk.run(&["check", "lab/lens.md"]).refused().contains("meniscus.yaml:1:1"));
    desk.put("lab/meniscus.yaml", "\u{feff}root: true\n");
    desk.run(&["check", "lab/lens.md"]).clean();
    fs::remove_file(desk.path("lab/meniscus.yaml")).unwrap();
    fs::create_dir(desk.path("lab/.git")).unwrap();
    desk.run(&["check", "lab/lens.md"]).clean();
    desk.run(&["check", "lab/../lab/lens.md"]).clean();
}

#[test]
fn standard_input_is_of_the_course_of_the_folder_it_is_treated_in() {
    let desk = Desk::new();
    desk.put("lab/meniscus.yaml", "broken: true\n");
    desk.run_with(&["check"], PLAIN.as_bytes()).clean();
    let told = desk.run_with(&["check", "--as", "lab/new/lens.md"], PLAIN.as_bytes()).refused();
    assert!(told.contains("lab/meniscus.yaml:1:1"), "{told}");
}

#[test]
fn values_of_nothing_are_no_quantities() {
    let desk = Desk::new();
    desk.put("a.md", PLAIN).put("b.md", "").put("meniscus.yaml", "combine: quadrature\n");
    let run = desk.run(&["values", "a.md", "b.md"]).clean();
    let report =
        |path: &str| serde_json::json!({"path": path, "combine": "quadrature", "quantities": [], "correlations": null});
    assert_eq!(run.json(), serde_json::json!({"version": 1, "reports": [report("a.md"), report("b.md")]}));
    let csv = desk.run(&["values", "--format", "csv", "a.md"]).clean().out;
    assert!(csv.starts_with("path,symbol,name,kind,unit,value,uncertainty,shown,dof,") && csv.lines().count() == 1);
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let desk = Desk::new();
    desk.put("long.md", "text\n".repeat(200_000));
    let mut child = Command::new(env!("CARGO_BIN_EXE_meniscus"))
        .args(["render", "--to", "markdown", "long.md"])
        .current_dir(desk.0.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let run = Run::of(&child.wait_with_output().unwrap());
    assert_eq!((run.status, run.told.as_str()), (0, ""));
}

#[test]
fn an_unknown_rule_is_status_2() {
    let desk = Desk::new();
    assert!(desk.run(&["explain", "no-such-rule"]).refused().contains("there is no rule `no-such-rule`"));
    desk.run(&["explain"]).clean();
}

/// The report of the tests below: three slips, one of each severity.
const SLIPS: &str = "\
# A cooling clay pot

The pot was filled with ~{V \"water\" = 250 mL; reading 5 mL} of warm water at ~{T = 41.5 degC; readng 0.5 degC \"thin scale\"}.
It cooled by ~{D \"drop\" = T - T_0 in degC}.
";

#[test]
fn findings_are_drawn_for_people() {
    let desk = Desk::new();
    desk.put("pot.md", SLIPS);
    let run = desk.run(&["check", "pot.md"]);
    assert_eq!((run.status, run.out.as_str()), (1, ""));
    for part in [
        "warning[no-reason]: ",
        "error[unknown-kind]: ",
        " --> pot.md:3:47\n",
        "= help: write `reading`",
        "error[unknown-symbol]: ",
        " --> pot.md:4:31\n",
    ] {
        assert!(run.told.contains(part), "{part:?} is missing in\n{}", run.told);
    }
    assert!(!run.told.contains('\u{1b}'), "no colours where there is no terminal");
    assert!(run.told.ends_with(" in 1 report\n"), "{}", run.told);
}

#[test]
fn findings_are_one_line_each_for_editors() {
    let desk = Desk::new();
    desk.put("pot.md", SLIPS);
    let run = desk.run(&["check", "--format", "short", "pot.md"]);
    assert_eq!((run.status, run.out.as_str()), (1, ""));
    let heads: Vec<(&str, &str)> =
        run.told.lines().map(|line| (line.split(": ").next().unwrap(), line.rsplit(' ').next().unwrap())).collect();
    let severity = |line: &str| line.split(": ").nth(1).unwrap().to_owned();
    assert!(heads.contains(&("pot.md:3:47", "[no-reason]")), "{}", run.told);
    assert!(heads.contains(&("pot.md:4:31", "[unknown-symbol]")), "{}", run.told);
    assert!(run.told.lines().all(|line| ["error", "warning", "note"].contains(&&*severity(line))), "{}", run.told);
    // A course file that cannot be used is told alike.
    desk.put("meniscus.yaml", "digits: 1\ncombine: sums\n");
    let run = desk.run(&["check", "--format", "short", "pot.md"]);
    assert_eq!((run.status, run.out.as_str(), run.told.lines().count()), (2, "", 1), "{}", run.told);
    assert!(run.told.starts_with("meniscus.yaml:2:10: error: ") && run.told.ends_with(" [course]\n"), "{}", run.told);
}

#[test]
fn findings_as_json_have_places_help_and_edits() {
    let desk = Desk::new();
    desk.put("pot.md", SLIPS);
    let run = desk.run(&["check", "--format", "json", "pot.md"]);
    assert_eq!((run.status, run.told.as_str()), (1, ""));
    let all = run.json();
    let findings = all["files"][0]["findings"].as_array().unwrap();
    let count = |severity: &str| findings.iter().filter(|finding| finding["severity"] == severity).count();
    assert_eq!((&all["errors"], &all["warnings"]), (&count("error").into(), &count("warning").into()));
    let kind = findings.iter().find(|finding| finding["rule"] == "unknown-kind").unwrap();
    let offset = SLIPS.find("readng").unwrap();
    let column = SLIPS.lines().nth(2).unwrap().find("readng").unwrap() + 1;
    let start = serde_json::json!({"offset": offset, "line": 3, "column": column});
    let end = serde_json::json!({"offset": offset + 6, "line": 3, "column": column + 6});
    assert_eq!(kind["span"], serde_json::json!({"start": start, "end": end}));
    assert_eq!(kind["edits"], serde_json::json!([{"span": {"start": start, "end": end}, "text": "reading"}]));
    assert_eq!(kind["related"], serde_json::json!([]));
}

#[test]
fn warnings_are_errors_where_one_is_strict_and_quiet_says_nothing() {
    let desk = Desk::new();
    desk.put("pot.md", "The pot holds ~{V \"water\" = 250 mL; reading 5 mL}.\n\nThat is ~{V}.\n");
    assert!(desk.run(&["check", "pot.md"]).clean().told.contains("warning[no-reason]"));
    let strict = desk.run(&["check", "--strict", "--quiet", "pot.md"]);
    assert_eq!((strict.status, strict.told.as_str()), (1, ""));
    desk.put("meniscus.yaml", "rules: {no-reason: off}\n");
    desk.run(&["check", "--strict", "pot.md"]).clean();
    desk.put("meniscus.yaml", "rules: {no-reason: error}\n");
    assert_eq!(desk.run(&["check", "pot.md"]).status, 1);
}

#[test]
fn what_could_be_rendered_is_rendered_in_spite_of_errors() {
    let desk = Desk::new();
    desk.put("pot.md", SLIPS);
    let run = desk.run(&["render", "pot.md", "-o", "pot.html"]);
    assert_eq!((run.status, run.out.as_str()), (1, ""));
    assert!(run.told.contains("error[unknown-symbol]") && run.told.contains("warning[no-reason]"), "{}", run.told);
    let page = desk.text("pot.html");
    assert!(page.contains("<title>A cooling clay pot</title>") && page.contains("250"), "{page}");
}

#[test]
fn the_page_of_a_report_without_a_title_is_called_by_its_file() {
    let desk = Desk::new();
    desk.put("warm-pot.md", "text\n");
    let page = desk.run(&["render", "warm-pot.md"]).clean().out;
    assert!(page.contains("<title>warm-pot</title>"), "{page}");
}

#[test]
fn a_template_that_cannot_be_used_is_status_2() {
    let desk = Desk::new();
    desk.put("pot.md", "text\n").put("page.html", "<p>{{ nothing_like_it }}</p>");
    let told = desk.run(&["render", "--template", "page.html", "pot.md", "-o", "pot.html"]).refused();
    assert!(told.contains("page.html"), "{told}");
    assert!(!desk.path("pot.html").exists());
}

/// Σ|c·a| of two lengths, by hand: 0.05 + 0.05 and 0.1 cm; the difference has all three.
#[test]
fn values_hold_every_figure_and_its_sources() {
    let desk = Desk::new();
    desk.put("meniscus.yaml", "instruments:\n  rule: {division: 1 mm, read_to: 1/2, ends: 2}\n").put(
        "band.md",
        "~{a \"long\" = 12.4 cm; with rule; definition 1 mm \"soft\"} ~{b = 8.1 cm; ± 0.05 cm \"x\"} ~{d = a - b in mm}\n",
    );
    let run = desk.run(&["values", "band.md"]).clean();
    let quantities = run.json()["reports"][0]["quantities"].clone();
    let a = &quantities[0];
    assert_eq!((&a["symbol"], &a["name"], &a["kind"]), (&"a".into(), &"long".into(), &"reading".into()));
    assert_eq!((&a["unit"], &a["value"], &a["uncertainty"]), (&"cm".into(), &12.4.into(), &0.2.into()));
    assert_eq!(a["shown"], "12.4 ± 0.2 cm");
    for key in ["dof", "expanded", "fit", "simulated", "rows"] {
        assert!(a.as_object().unwrap().contains_key(key) && a[key].is_null(), "{key}");
    }
    let d = &quantities[2];
    assert_eq!((&d["kind"], &d["unit"]), (&"result".into(), &"mm".into()));
    let near =
        |value: &Value, wanted: f64| assert!((value.as_f64().unwrap() - wanted).abs() < 1e-12, "{value} {wanted}");
    near(&d["value"], 43.0);
    near(&d["uncertainty"], 2.5);
    let sources = d["sources"].as_array().unwrap();
    assert_eq!(sources.len(), 4);
    let first = &sources[0];
    assert_eq!((&first["of"], &first["kind"], &first["reason"]), (&"a".into(), &"definition".into(), &"soft".into()));
    assert_eq!((&first["unit"], &first["shape"]), (&"cm".into(), &"rectangular".into()));
    near(&first["amount"], 0.1);
    near(&first["sensitivity"], 10.0);
    near(&first["contribution"], 1.0);
    near(&first["share"], 0.4);
    near(&sources.iter().find(|source| source["of"] == "b").unwrap()["sensitivity"], -10.0);
}

#[test]
fn values_as_csv_are_a_line_each() {
    let desk = Desk::new();
    desk.put("band.md", "~{a \"long, soft\" = 12.4 cm; ± 0.2 cm \"x\"} ~{b = a / 0[s]}\n");
    let run = desk.run(&["values", "--format", "csv", "band.md"]);
    assert_eq!(run.status, 1);
    let lines: Vec<&str> = run.out.lines().skip(1).collect();
    assert_eq!(lines[0], "band.md,a,\"long, soft\",reading,cm,12.4,0.2,12.4 ± 0.2 cm,,,,");
    assert_eq!(lines[1], "band.md,b,,result,,,,,,,,");
    assert!(run.told.contains("error[outside-domain]"), "{}", run.told);
}

/// `path:line:column: severity: message`, as the GNU coding standards have it, and nothing else on the line.
#[test]
fn lines_for_editors_are_those_of_compilers() {
    let desk = Desk::new();
    desk.put("a b/pot.md", format!("{SLIPS}\n~{{\u{1b}[31m\t= \u{7}}} ~{{q = 1 m; reading 0.1\nm}}\n"));
    let run = desk.run(&["check", "--format", "short", "."]);
    let line =
        regex::Regex::new(r"^a b/pot\.md:[1-9][0-9]*:[1-9][0-9]*: (error|warning|note): [^\x00-\x1f]+ \[[a-z-]+\]$")
            .unwrap();
    assert!(run.told.lines().count() > 4 && run.told.lines().all(|told| line.is_match(told)), "{}", run.told);
}

#[test]
fn colours_are_for_terminals_and_for_those_who_ask() {
    let desk = Desk::new();
    desk.put("pot.md", "It takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"} or ~{t}. \u{1b}[1m\n");
    let with = |variables: &[(&str, &str)]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_meniscus"));
        for variable in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE"] {
            command.env_remove(variable);
        }
        let output = command
            .args(["check", "--diff", "pot.md"])
            .current_dir(desk.0.path())
            .envs(variables.iter().copied())
            .output();
        let run = Run::of(&output.unwrap());
        (run.told.contains("\u{1b}["), run.out.contains("\u{1b}[32m+"))
    };
    assert_eq!(with(&[]), (false, false));
    assert_eq!(with(&[("CLICOLOR", "1")]), (false, false));
    assert_eq!(with(&[("CLICOLOR_FORCE", "1")]), (true, true));
    assert_eq!(with(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]), (false, false));
    // The report's own bytes are the report's: a diff of it can be applied.
    assert!(desk.run(&["check", "--diff", "--quiet", "pot.md"]).out.contains("\u{1b}[1m\n"));
}

#[test]
fn explain_shows_every_rule_and_its_page() {
    let desk = Desk::new();
    let list = desk.run(&["explain"]).clean().out;
    let page = desk.run(&["explain", "places-differ"]).clean().out;
    assert!(list.contains("\n  places-differ "), "{list}");
    for heading in ["Why", "Wrong", "Right", "Source"] {
        assert!(page.contains(&format!("\n{heading}\n\n")), "{page}");
    }
    assert!(desk.run(&["explain", "place-differs"]).refused().contains("`places-differ`"));
}

#[test]
fn explain_gives_every_page_as_data_and_as_markdown() {
    let desk = Desk::new();
    let all = desk.run(&["explain", "--format", "json"]).clean().json();
    let names = |list: &Value, key: &str| -> Vec<String> {
        list.as_array().unwrap().iter().map(|one| one[key].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(names(&all["rules"], "rule"), meniscus::check::rules().iter().map(|rule| rule.name).collect::<Vec<_>>());
    assert_eq!(names(&all["groups"], "group"), meniscus::check::GROUPS.map(|(group, _)| group));
    let one = desk.run(&["explain", "places-differ", "--format", "json"]).clean().json();
    assert_eq!(names(&one["rules"], "rule"), ["places-differ"]);
    assert_eq!(names(&one["groups"], "group"), ["figures"]);
    let rule = &one["rules"][0];
    assert!(all["rules"].as_array().unwrap().contains(rule));
    let page = desk.run(&["explain", "places-differ", "--format", "markdown"]).clean().out;
    assert!(page.starts_with("# places-differ\n\n*error* · "), "{page}");
    for key in ["does", "why", "wrong", "right", "source"] {
        assert!(page.contains(rule[key].as_str().unwrap().trim()), "{key} is missing in\n{page}");
    }
    let without = desk.run(&["explain", "not-computed", "--format", "json"]).clean().json();
    assert!(without["rules"][0]["wrong"].is_null());
    assert!(!desk.run(&["explain", "not-computed"]).clean().out.contains("Wrong"));
    desk.run(&["explain", "no-such-rule", "--format", "json"]).refused();
}
