//! `check --format sarif`: the published schema, and what it cannot say.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test that cannot go on stops")]

mod support;

use std::collections::BTreeSet;
use std::fs;

use meniscus::check::{Severity, rules};
use serde_json::Value;
use support::desk::Desk;
use support::{meniscus, page, root};

/// Everything in the log that the schema forbids.
fn violations(log: &Value) -> Vec<String> {
    // A pattern for languages in the published text has a bracket too many, which ECMA-262 forbids with the flag `u`.
    let schema = page("tests/sarif/sarif-schema-2.1.0.json").replace("{2}]?$", "{2}$");
    let schema: Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::options().should_validate_formats(true).build(&schema).unwrap();
    validator.iter_errors(log).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

fn sarif(desk: &Desk, arguments: &[&str], input: &str) -> Value {
    let run = desk.run_with(&[&["check", "--format", "sarif"], arguments].concat(), input.as_bytes());
    assert!(run.status < 2 && run.told.is_empty(), "{run:?}");
    run.json()
}

fn results(log: &Value) -> &[Value] {
    log["runs"][0]["results"].as_array().unwrap()
}

/// All cases, all rules' wrong examples, the samples: with findings of every kind.
fn corpus() -> Desk {
    let desk = Desk::new();
    for entry in fs::read_dir(root().join("tests/cases")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            desk.put(&format!("cases/{}", path.file_name().unwrap().to_str().unwrap()), page(&path));
        }
    }
    for rule in rules() {
        desk.put(&format!("pages/{}.md", rule.name), rule.page.wrong);
    }
    desk.put("hurried/µ report.md", page("samples/hurried/report.md"));
    desk
}

#[test]
fn the_log_is_one_of_the_published_schema() {
    let desk = corpus();
    for (arguments, input) in [(&["."][..], ""), (&["-"], "~{t = 4 sec}"), (&["--as", "../a.md"], "~{t"), (&["-"], "")]
    {
        let log = sarif(&desk, arguments, input);
        assert_eq!(violations(&log), [] as [String; 0]);
        assert_eq!(log["version"], "2.1.0");
    }
    assert!(results(&sarif(&desk, &["."], "")).len() > 100);
}

/// The check above can fail.
#[test]
fn the_schema_forbids_what_is_wrong() {
    let desk = Desk::new();
    let good = sarif(&desk, &["-"], "~{t = 4 sec}");
    for (pointer, wrong) in [
        ("/version", "2.0.0".into()),
        ("/runs/0/results/0/level", "advice".into()),
        ("/runs/0/results/0/locations/0/physicalLocation/region/startLine", 0.into()),
        ("/runs/0/columnKind", "characters".into()),
        ("/runs/0/tool/driver/rules/0/id", Value::Null),
        ("/runs/0/artifacts/0/location/uri", "a b".into()),
    ] {
        let mut log = good.clone();
        *log.pointer_mut(pointer).unwrap() = wrong;
        assert!(!violations(&log).is_empty(), "{pointer}");
    }
}

#[test]
fn every_rule_is_described() {
    let log = sarif(&Desk::new(), &["-"], "");
    let described = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    assert_eq!(described.len(), rules().len());
    for (rule, described) in rules().iter().zip(described) {
        let level = if rule.severity == Severity::Advice { "note" } else { rule.severity.word() };
        assert_eq!(described["id"], rule.name);
        assert_eq!(described["defaultConfiguration"]["level"], level);
        assert_eq!(described["properties"]["tags"][0], rule.group);
        for (key, part) in [("text", rule.page.why), ("markdown", rule.page.does)] {
            assert!(undoubled(&described["help"][key]).contains(part), "{}: {key}", rule.name);
        }
        for key in ["shortDescription", "fullDescription"] {
            assert!(described[key]["text"].as_str().unwrap().ends_with(['.', '?']), "{}: {key}", rule.name);
        }
    }
}

/// A message's text as a viewer shows it (SARIF 2.1.0, 3.11.5).
fn undoubled(message: &Value) -> String {
    message.as_str().unwrap().replace("{{", "{").replace("}}", "}")
}

#[test]
fn results_say_what_the_other_formats_say() {
    let desk = corpus();
    let log = sarif(&desk, &["."], "");
    let json = desk.run(&["check", "--format", "json", "."]).json();
    let run = &log["runs"][0];
    let mut results = results(&log).iter();
    for (index, file) in json["files"].as_array().unwrap().iter().enumerate() {
        let path = file["path"].as_str().unwrap();
        assert_eq!(run["artifacts"][index]["location"]["uri"], path.replace("µ ", "%C2%B5%20"));
        for finding in file["findings"].as_array().unwrap() {
            let result = results.next().unwrap();
            assert_eq!(result["ruleId"], finding["rule"]);
            assert_eq!(rules()[usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap()].name, result["ruleId"]);
            let said = undoubled(&result["message"]["text"]).to_lowercase();
            for part in ["message", "help"] {
                assert!(said.contains(&finding[part].as_str().unwrap().to_lowercase()), "{said}");
            }
            let place = &result["locations"][0]["physicalLocation"];
            let region = &place["region"];
            assert_eq!(place["artifactLocation"]["index"], index);
            assert_eq!(region["startLine"], finding["span"]["start"]["line"]);
            assert_eq!(region["startColumn"], finding["span"]["start"]["column"]);
            assert_eq!(region["byteOffset"], finding["span"]["start"]["offset"]);
            let count = |list: &Value| list.as_array().map_or(0, Vec::len);
            assert_eq!(count(&result["relatedLocations"]), count(&finding["related"]));
            let replacements = &result["fixes"][0]["artifactChanges"][0]["replacements"];
            assert_eq!(count(replacements), count(&finding["edits"]));
        }
    }
    assert!(results.next().is_none());
}

/// A viewer knows nothing but the log: lines, columns counted in characters, the text to put there.
#[test]
fn a_fix_can_be_made_from_the_log_alone() {
    let desk = Desk::new();
    let report = "µ and 蜜蝋\r\n\r\n\tIt 🧪 takes\r\n~{t = 4.62 sec; reaction 0.20 s \"by hand\"} or ~{t}.\r\n";
    for mark in ["", "\u{feff}"] {
        let source = format!("{mark}~{{a = 4,5 sec; ± 0.2 s \"µ\"}} ~{{a}} {report}");
        desk.put("gate.md", &source);
        let log = sarif(&desk, &["gate.md"], "");
        let mut replacements: Vec<&Value> = results(&log)
            .iter()
            .filter(|result| result["fixes"][0]["description"]["text"].as_str().is_some_and(|t| t.contains("--fix")))
            .flat_map(|result| result["fixes"][0]["artifactChanges"][0]["replacements"].as_array().unwrap())
            .collect();
        assert!(replacements.len() >= 2, "{log}");
        replacements.reverse();
        let mut lines: Vec<String> = report_lines(source.trim_start_matches('\u{feff}'));
        for replacement in replacements {
            let region = &replacement["deletedRegion"];
            let number = |key: &str| usize::try_from(region[key].as_u64().unwrap()).unwrap() - 1;
            assert_eq!(number("startLine"), number("endLine"));
            let line: Vec<char> = lines[number("startLine")].chars().collect();
            let text = replacement["insertedContent"]["text"].as_str().unwrap();
            let (before, after) = (&line[..number("startColumn")], &line[number("endColumn")..]);
            lines[number("startLine")] = before.iter().collect::<String>() + text + &after.iter().collect::<String>();
        }
        assert_eq!(lines.concat(), source.trim_start_matches('\u{feff}').replace("4,5", "4.5").replace(" sec;", " s;"));
    }
}

fn report_lines(text: &str) -> Vec<String> {
    text.split_inclusive('\n').map(str::to_owned).collect()
}

#[test]
fn fingerprints_stay_when_lines_are_put_above_and_tell_findings_apart() {
    let desk = Desk::new();
    let fingerprints = |source: &str| -> Vec<String> {
        desk.put("a.md", source);
        let log = sarif(&desk, &["a.md"], "");
        let of = |r: &Value| format!("{} {}", r["ruleId"], r["partialFingerprints"]["ruleAndItem/v1"]);
        results(&log).iter().map(of).collect()
    };
    let source = page("samples/hurried/report.md");
    let before = fingerprints(&source);
    assert_eq!(before.iter().collect::<BTreeSet<_>>().len(), before.len(), "{before:?}");
    assert_eq!(fingerprints(&source.replace("## Meas", "A new paragraph.\n\nOne more.\n\n## Meas")), before);
    assert_eq!(fingerprints(&source.replace('\n', "\r\n")), before);
    // The same item twice: the second keeps apart from the first.
    let twice = fingerprints("~{h = 1.0 m; reading 0.1 m}\n\n~{h = 1.0 m; reading 0.1 m}\n");
    assert_eq!(twice.iter().collect::<BTreeSet<_>>().len(), twice.len(), "{twice:?}");
    // A value of this version: it may change only together with the number behind the slash of its name.
    assert_eq!(fingerprints("~{h = 1.0 m; reading 0.1 m}, ~{h}\n"), ["\"no-reason\" \"3fae0c097d493acd:1\""]);
}

#[test]
fn files_are_named_for_another_machine() {
    let desk = Desk::new();
    desk.put("in/a b.md", "~{t = 4 sec}\n").put("out.md", "");
    let uri = |log: &Value| log["runs"][0]["artifacts"][0]["location"].clone();
    let below = uri(&sarif(&desk, &["./in/../in/a b.md"], ""));
    assert_eq!((&below["uri"], &below["uriBaseId"]), (&"in/a%20b.md".into(), &"%SRCROOT%".into()));
    let whole = uri(&sarif(&desk, &[desk.path("in/a b.md").to_str().unwrap()], ""));
    assert_eq!(whole, below, "the same file");
    let outside = uri(&sarif(&desk, &["--as", "../b.md"], ""));
    assert!(outside["uri"].as_str().unwrap().starts_with("file:///") && outside["uriBaseId"].is_null(), "{outside}");
    let log = sarif(&desk, &["-"], "");
    assert_eq!(log["runs"][0]["artifacts"][0]["roles"][0], "standardStream");
}

#[test]
fn the_log_comes_with_the_exit_status_of_the_findings() {
    let sarif = |path: &str| {
        let run = meniscus(&["check", "--format", "sarif", path], b"");
        let log: Value = serde_json::from_str(&run.stdout).unwrap();
        (run.status, run.stderr, log["runs"][0]["invocations"][0]["executionSuccessful"].clone())
    };
    assert_eq!(sarif("samples/hurried/report.md"), (1, String::new(), true.into()));
    assert_eq!(sarif("samples/gate/report.md"), (0, String::new(), true.into()));
    let run = meniscus(&["check", "--format", "sarif", "samples/none.md"], b"");
    assert_eq!((run.status, run.stdout.as_str()), (2, ""));
}

#[cfg(unix)]
#[test]
fn a_report_that_could_not_be_changed_is_in_the_log() {
    use std::os::unix::fs::PermissionsExt;
    let desk = Desk::new();
    desk.put("a.md", "~{t = 4.62 sec; reaction 0.20 s \"by hand\"} or ~{t}.\n");
    fs::set_permissions(desk.path("a.md"), fs::Permissions::from_mode(0o444)).unwrap();
    let run = desk.run(&["check", "--fix", "--format", "sarif", "a.md"]);
    let log = run.json();
    assert_eq!((run.status, violations(&log).len(), results(&log).len()), (2, 0, 1));
    assert_eq!(log["runs"][0]["invocations"][0]["executionSuccessful"], false);
}
