//! `explain --course`: what is in force, and from where.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::support::{Run, meniscus};

const COURSE: &str = "root: true
combine: standard
digits: 2
kinds: {edge: {like: definition}}
units: {span: 0.2286 m, reach: 2 span}
constants: [c, G]
instruments:
  rule: {name: wooden rule, division: 1 mm, read_to: 1/4, ends: 2}
  meter: {display: 0.01 V, range: 0 V to 20 V, instrument: 0.5 % + 2 digits, systematic: true}
expected: {g: {value: 9.81 ± 0.02 m/s^2, required: true}}
rules: {no-reason: error}
fixed: [digits, rules.no-reason]
";

const NEARER: &str = "# of this experiment\nround: up\nwords: {rationale: Begründung}\nfixed: [instruments]\n";

const REPORT: &str =
    "---\ntitle: x\nmeniscus:\n  repeat: half-range\n  rules: {empty-reason: off}\n---\n~{h = 3 m; exact}\n";

/// A course, an experiment's folder below it, and a report in that.
fn folders() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("pot")).unwrap();
    fs::write(folder.path().join("meniscus.yaml"), COURSE).unwrap();
    fs::write(folder.path().join("pot/meniscus.yaml"), NEARER).unwrap();
    fs::write(folder.path().join("pot/report.md"), REPORT).unwrap();
    folder
}

fn explain(path: &Path, format: &str) -> Run {
    meniscus(&["explain", "--course", &path.display().to_string(), "--format", format], b"")
}

fn data(path: &Path) -> Value {
    let run = explain(path, "json");
    assert_eq!(run.status, 0, "{run:?}");
    serde_json::from_str(&run.stdout).unwrap()
}

/// `value @ file:line, fixed file:line` of a key, or of one of its entries.
fn says(data: &Value, key: &str, entry: Option<&str>) -> String {
    let values = data["values"].as_array().unwrap();
    let found = values.iter().find(|value| value["key"] == key && value["entry"].as_str() == entry);
    let found = found.unwrap_or_else(|| panic!("{key} {entry:?}"));
    let place = |place: &Value| match place["path"].as_str() {
        Some(path) => format!("{}:{}", path.rsplit('/').take(2).collect::<Vec<_>>().join("<"), place["line"]),
        None => "default".to_owned(),
    };
    let fixed = if found["fixed"].is_null() { String::new() } else { format!(", fixed {}", place(&found["fixed"])) };
    format!("{} @ {}{fixed}", found["value"], place(&found["from"]))
}

#[test]
fn every_value_of_a_course_has_its_file_and_line() {
    let folder = folders();
    let root = folder.path().file_name().unwrap().to_str().unwrap();
    let course = format!("meniscus.yaml<{root}");
    let data = data(&folder.path().join("pot/report.md"));
    for (key, entry, wanted) in [
        ("combine", None, format!("\"standard\" @ {course}:2")),
        ("digits", None, format!("\"2\" @ {course}:3, fixed {course}:12")),
        ("round", None, "\"up\" @ meniscus.yaml<pot:2".to_owned()),
        ("repeat", None, "\"half-range\" @ report.md<pot:4".to_owned()),
        ("fit", None, "\"scatter\" @ default".to_owned()),
        ("rules", Some("no-reason"), format!("\"error\" @ {course}:11, fixed {course}:12")),
        ("rules", Some("empty-reason"), "\"off\" @ report.md<pot:5".to_owned()),
        ("rules", Some("unclosed"), "\"error\" @ default".to_owned()),
        ("words", Some("rationale"), "\"Begründung\" @ meniscus.yaml<pot:3".to_owned()),
        ("words", Some("share"), "\"Share\" @ default".to_owned()),
        ("kinds", Some("edge"), format!("{{\"like\":\"definition\",\"says\":null}} @ {course}:4")),
    ] {
        assert_eq!(says(&data, key, entry), wanted);
    }
    assert_eq!((data["border"]["by"].as_str(), data["files"][2]["root"].as_bool()), (Some("root"), Some(true)));
    assert_eq!(data["files"].as_array().unwrap().len(), 3);
}

/// Every key, rule, word and constant is there, and of every instrument what it gives.
#[test]
fn nothing_of_a_course_is_left_out() {
    let folder = folders();
    let data = data(folder.path());
    let values = data["values"].as_array().unwrap();
    let of = |key: &str| values.iter().filter(|value| value["key"] == key).collect::<Vec<_>>();
    for key in meniscus::course::KEYS {
        // What is fixed stands beside the values, `root` beside the files.
        assert!(!of(key).is_empty() || ["fixed", "root"].contains(&key), "{key}");
    }
    assert_eq!(of("rules").len(), meniscus::check::rules().len());
    assert_eq!(of("words").len(), (meniscus::report::NOTATION.words)().len());
    assert_eq!(of("kinds").len(), 7);
    let gravity = of("constants")[1];
    assert_eq!(
        (&gravity["value"]["value"], &gravity["value"]["uncertainty"]),
        (&"6.67430e-11".into(), &"0.00015e-11".into())
    );
    assert_eq!(gravity["value"]["source"], "CODATA 2022");
    assert_eq!(of("units")[0]["value"]["si"], serde_json::json!({"unit": "m", "value": 0.4572}));
    let [meter, rule] = &of("instruments")[..] else { panic!("two instruments") };
    let gives = &meter["value"]["gives"][0];
    assert_eq!((&gives["amount"], &gives["relative"], &gives["shared"]), (&0.02.into(), &0.005.into(), &true.into()));
    assert_eq!(rule["value"]["gives"].as_array().unwrap().len(), 2);
    assert_eq!(rule["value"]["gives"][0]["amount"], 0.25);
}

#[test]
fn the_text_of_a_course_reads_aloud() {
    let folder = folders();
    let run = explain(&folder.path().join("pot/report.md"), "text");
    for wanted in [
        "a course file, says `root: true`",
        "the report's front matter",
        "gives a reading: instrument 0.5 % + 2 digits = 0.5 % of the reading + 0.02 V (rectangular)",
        "gives a reading: reading 1/4 of 1 mm = 0.25 mm (rectangular), at each end",
        "its instrument errors are the same in all readings taken with it",
        "2 span = 0.4572 m",
        "299792458 m/s, exact",
        "Newtonian constant of gravitation (CODATA 2022; independent of the others)",
        "9.81 ± 0.02 m/s^2, required",
    ] {
        assert!(run.stdout.contains(wanted), "{wanted}:\n{}", run.stdout);
    }
    let markdown = explain(folder.path(), "markdown").stdout;
    assert!(markdown.starts_with("# In force: ") && markdown.contains("\n| `combine` | standard | "), "{markdown}");
}

#[test]
fn borders_of_a_course_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let inner = folder.path().join("a/b");
    fs::create_dir_all(&inner).unwrap();
    fs::write(folder.path().join("meniscus.yaml"), "digits: 2\nroot: true\n").unwrap();
    fs::write(folder.path().join("a/.git"), "gitdir: elsewhere\n").unwrap();
    let bordered = data(&inner);
    assert_eq!(
        (says(&bordered, "digits", None).as_str(), &bordered["border"]["by"]),
        ("\"1\" @ default", &".git".into())
    );
    fs::remove_file(folder.path().join("a/.git")).unwrap();
    let open = data(&inner);
    assert!(says(&open, "digits", None).starts_with("\"2\" @ meniscus.yaml"), "{open}");
    assert_eq!(open["border"]["by"], "root");
}

#[test]
fn a_fault_of_a_course_file_is_status_2_one_of_a_report_a_finding() {
    let folder = folders();
    let report = folder.path().join("pot/report.md");
    fs::write(&report, REPORT.replace("repeat: half-range", "digits: 1")).unwrap();
    let run = explain(&report, "text");
    assert_eq!(run.status, 1);
    assert!(
        run.stderr.contains("the course has fixed `digits`") && run.stderr.contains("report.md:4:3"),
        "{}",
        run.stderr
    );
    assert!(run.stdout.contains("digits        2 "), "{}", run.stdout);
    fs::write(folder.path().join("pot/meniscus.yaml"), "round: dwon\n").unwrap();
    let run = explain(&report, "json");
    assert_eq!((run.status, run.stdout.as_str()), (2, ""));
    assert!(run.stderr.contains("meniscus.yaml:1:8"), "{}", run.stderr);
    assert_eq!(explain(&folder.path().join("nothing.md"), "text").status, 2);
}

#[cfg(unix)]
#[test]
fn links_about_a_course_are_told() {
    use std::os::unix::fs::symlink;
    let folder = folders();
    let other = folder.path().join("other");
    fs::create_dir_all(&other).unwrap();
    symlink("../pot/report.md", other.join("linked.md")).unwrap();
    // The folder of the link counts: the experiment's own file does not hold.
    let linked = data(&other.join("linked.md"));
    assert_eq!(says(&linked, "round", None), "\"nearest\" @ default");
    assert!(linked["files"][0]["links_to"].as_str().unwrap().contains("report.md, but the folder of the link counts"));
    // A folder is followed.
    symlink("pot", folder.path().join("kettle")).unwrap();
    let followed = data(&folder.path().join("kettle"));
    assert!(followed["folder"].as_str().unwrap().ends_with("/pot"), "{}", followed["folder"]);
    assert!(says(&followed, "round", None).starts_with("\"up\""));
    symlink("nowhere.yaml", other.join("meniscus.yaml")).unwrap();
    let run = explain(&other, "text");
    assert_eq!(run.status, 2);
    assert!(run.stderr.contains("is a link that leads nowhere"), "{}", run.stderr);
}

/// The course of the sample, as its README line shows it.
#[test]
fn the_course_of_every_sample_can_be_explained() {
    for folder in fs::read_dir(crate::support::root().join("samples")).unwrap() {
        let run = explain(&folder.unwrap().path(), "text");
        assert_eq!(run.status, 0, "{run:?}");
    }
}
