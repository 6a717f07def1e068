//! Monstrous input: a clear finding or a clear error, no panic, no overflow of a small stack, cost that grows with the
//! length and not with its square, and nothing half written.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use std::fs;
use std::path::Path;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

use meniscus::course::Course;
use meniscus::render::{self, Options};
use meniscus::report::{self, Report};
use support::{findings, markdown, meniscus, with_plain_blanks};

/// What threads of a program get where nobody asks for more.
const SMALL_STACK: usize = 2 << 20;

/// A monster of any size.
struct Monster {
    name: &'static str,
    /// The rule that has to speak of it; `None` where it is only large and nothing is wrong.
    rule: Option<&'static str>,
    /// As many units of trouble as it is told.
    grow: fn(usize) -> String,
    /// How many of them it has in the test.
    size: usize,
}

const fn monster(name: &'static str, rule: Option<&'static str>, size: usize, grow: fn(usize) -> String) -> Monster {
    Monster { name, rule, grow, size }
}

const MONSTERS: &[Monster] = &[
    monster("openers", Some("unclosed"), 100_000, |n| "~{".repeat(n)),
    monster("openers, a paragraph each", Some("unclosed"), 20_000, |n| "~{\n\n".repeat(n)),
    monster("empty items", Some("syntax"), 20_000, |n| "~{}".repeat(n)),
    monster("brackets", Some("syntax"), 100_000, |n| format!("~{{a = {}1{}}}", "(".repeat(n), ")".repeat(n))),
    monster("opening brackets", Some("unclosed"), 100_000, |n| format!("~{{a = {}", "(".repeat(n))),
    monster("brackets in an amount", Some("syntax"), 100_000, |n| {
        format!("~{{a = 1 m; reading {}1{} mm \"x\"}}", "(".repeat(n), ")".repeat(n))
    }),
    monster("functions", Some("syntax"), 100_000, |n| format!("~{{a = {}1{}}}", "sqrt(".repeat(n), ")".repeat(n))),
    monster("powers of powers", Some("syntax"), 100_000, |n| format!("~{{a = 1{}}}", "^1".repeat(n))),
    monster("minus signs", None, 100_000, |n| format!("~{{b = 2; exact}}~{{a = {}b}}", "-".repeat(2 * n))),
    monster("a sum of terms", None, 50_000, |n| format!("~{{b = 2; exact}}~{{a = b{}}}", " + b".repeat(n))),
    monster("digits", Some("syntax"), 1_000_000, |n| format!("~{{a = {} m; reading 1 m \"x\"}}", "7".repeat(n))),
    monster("decimals", Some("syntax"), 1_000_000, |n| format!("~{{a = 0.{} m; reading 1 m \"x\"}}", "7".repeat(n))),
    monster("a power of ten", Some("syntax"), 100_000, |n| {
        format!("~{{a = 1e{} m; reading 1 m \"x\"}}", "9".repeat(n))
    }),
    monster("a symbol", Some("unknown-symbol"), 1_000_000, |n| format!("~{{{}}}", "q".repeat(n))),
    monster("a unit", Some("unknown-unit"), 100_000, |n| format!("~{{a = 1 {}; reading 1 m \"x\"}}", "q".repeat(n))),
    monster("a name", None, 1_000_000, |n| format!("~{{a \"{}\" = 1 m; reading 1 m \"x\"}}", "é".repeat(n))),
    monster("an open quote", Some("unclosed"), 1_000_000, |n| format!("~{{a \"{}", "é".repeat(n))),
    monster("quotes", Some("syntax"), 100_001, |n| format!("~{{a {}}}", "\"".repeat(2 * n + 1))),
    monster("semicolons", Some("syntax"), 50_000, |n| format!("~{{a = 1 m{}}}", ";".repeat(n))),
    monster("clauses", None, 20_000, |n| format!("~{{a = 1 m{}}}", "; reading 1e-9 m \"x\"".repeat(n))),
    monster("recorded values", None, 50_000, |n| {
        format!("~{{a = 1.5{} m; reading 0.1 m \"x\"}}", ", 1.4, 1.6".repeat(n))
    }),
    monster("a chain of results", None, 10_000, |n| chain(n, "1 m; reading 1 m \"x\"")),
    monster("a cycle", Some("cycle"), 10_000, |n| {
        let last = n - 1;
        chain(n, &format!("a_{last} + 1[m]"))
    }),
    monster("definitions of one symbol", Some("defined-twice"), 20_000, |n| {
        "~{a = 1 m; reading 1 m \"x\"}\n".repeat(n)
    }),
    monster("unknown symbols", Some("unknown-symbol"), 5_000, |n| {
        let uses: Vec<String> =
            (0..n).map(|k| format!("~{{known_{k} = 1 m; reading 1 m \"x\"}} ~{{unknown_{k}}}\n")).collect();
        uses.concat()
    }),
    monster("quoted blocks", None, 20_000, |n| format!("{} ~{{a = 1 m; reading 1 m \"x\"}}\n", ">".repeat(n))),
    monster("brackets of links", None, 50_000, |n| format!("{} ~{{a = 1 m; reading 1 m \"x\"}}\n", "[".repeat(n))),
    monster("emphasis", None, 50_000, |n| format!("{} ~{{a = 1 m; reading 1 m \"x\"}}\n", "*a_ ".repeat(n))),
    monster("backticks", None, 50_000, |n| format!("{} ~{{a = 1 m; reading 1 m \"x\"}}\n", "`` ` ".repeat(n))),
    monster("headings of columns in one long line", Some("syntax"), 20_000, |n| {
        format!("~{{x [m]; ± 0.1 m \"x\"}} {}", "w ".repeat(200)).repeat(n)
    }),
    monster("open quotes in one line", Some("syntax"), 20_000, |n| "~{a = 1 m; reading 1 m \"x} ".repeat(n)),
    monster("a table row", None, 20_000, |n| {
        format!("|{}\n|{}\n|{}\n", "a|".repeat(n), "-|".repeat(n), "c|".repeat(n))
    }),
    monster("NUL bytes", Some("syntax"), 10_000, |n| format!("~{{a = {}}}", "\0".repeat(n))),
    monster("one line", None, 50_000, |n| {
        let items: Vec<String> = (0..n).map(|k| format!("So ~{{x_{k} = 1.5 m; reading 0.1 m \"x\"}} long. ")).collect();
        items.concat()
    }),
    monster("silences", None, 20_000, |n| "<!-- meniscus: silence no-reason \"x\" -->\n\ntext\n\n".repeat(n)),
];

/// `a_0` is `first`, each next one follows from the one before.
fn chain(n: usize, first: &str) -> String {
    let rest: Vec<String> = (1..n).map(|k| format!("~{{a_{k} = a_{} + 1[m]}}\n", k - 1)).collect();
    format!("~{{a_0 = {first}}}\n{}", rest.concat())
}

#[test]
fn monsters_get_a_finding_on_a_small_stack() {
    for monster in MONSTERS {
        let source = (monster.grow)(monster.size);
        let rules = read_on_a_small_stack(monster.name, source);
        match monster.rule {
            Some(rule) => {
                assert!(rules.contains(&rule), "{}: {rule} is not among {:?}", monster.name, few(&rules))
            }
            None => assert!(
                !rules.iter().any(|r| *r == "syntax" || *r == "unclosed"),
                "{}: {:?}",
                monster.name,
                few(&rules)
            ),
        }
    }
}

/// Rules of the findings; every finding points at characters of the source.
fn read_on_a_small_stack(name: &str, source: String) -> Vec<&'static str> {
    let read = move || {
        let report = report::read(&source, &Course::default());
        for finding in &report.findings {
            let places = finding.related.iter().map(|r| r.span).chain(finding.edits.iter().map(|e| e.span));
            for span in places.chain([finding.span]) {
                assert!(source.get(span.range()).is_some(), "{span:?} is no place of the source: {}", finding.rule);
            }
        }
        report.findings.iter().map(|finding| finding.rule).collect()
    };
    let thread = std::thread::Builder::new().stack_size(SMALL_STACK).name(name.to_owned()).spawn(read).unwrap();
    thread.join().unwrap_or_else(|_| panic!("{name}: the reader panicked"))
}

fn few<'r>(rules: &[&'r str]) -> Vec<&'r str> {
    let mut rules = rules.to_vec();
    rules.sort_unstable();
    rules.dedup();
    rules
}

/// Eight times the input takes about eight times as long; where the cost grew as a square it would take 64 times.
/// The limit lies between the two, far from either, since time is a poor judge even where only a thread's own counts.
#[test]
fn cost_grows_with_the_length() {
    let steep: Vec<String> = MONSTERS
        .iter()
        .filter_map(|monster| {
            let small = cost((monster.grow)(monster.size / 8));
            let large = cost((monster.grow)(monster.size));
            // What is done in a moment says nothing about growth.
            let ratio = large.as_secs_f64() / small.max(Duration::from_millis(4)).as_secs_f64();
            (ratio > 24.0).then(|| format!("{}: {ratio:.0} times ({small:?}, {large:?})", monster.name))
        })
        .collect();
    assert!(steep.is_empty(), "cost grows faster than the input:\n{}", steep.join("\n"));
}

/// The lesser of two readings' times.
fn cost(source: String) -> Duration {
    cost_of(source, |_| ())
}

/// The same with what is done with the report.
fn cost_of(source: String, work: fn(&Report<'_>)) -> Duration {
    let read = move || {
        let once = || {
            let start = own_time();
            let report = report::read(&source, &Course::default());
            work(&report);
            let time = own_time().saturating_sub(start);
            drop(report);
            time
        };
        once().min(once())
    };
    std::thread::spawn(read).join().unwrap()
}

/// What a hostile report holds beside its items.
const MARKDOWN_MONSTERS: &[Monster] = &[
    monster("footnotes in footnotes", None, 8_000, |n| {
        (0..n).map(|k| format!("[^a{k}]: - ")).collect::<String>() + "x\n"
    }),
    monster("footnotes", None, 8_000, |n| (0..n).map(|k| format!("[^a{k}]: javascript:x {k}\n\n")).collect()),
    monster("links", None, 8_000, |n| "[a](javascript:x) ".repeat(n)),
    monster("pictures in pictures", None, 8_000, |n| format!("{}x{}", "![".repeat(n), "](javascript:x)".repeat(n))),
    monster("definitions of links", None, 8_000, |n| {
        (0..n).map(|k| format!("[a{k}]: javascript:x\n\n[a{k}]\n\n")).collect()
    }),
    monster("blocks of HTML", None, 8_000, |n| "<div>\nfoo\n\n".repeat(n)),
    monster("headings", None, 8_000, |n| "# A {onclick=x}\n\n# A\n\n".repeat(n)),
];

#[test]
fn the_cost_of_making_a_report_safe_grows_with_its_length() {
    let safe = |report: &Report<'_>| {
        let options = Options { safe: true, ..Options::default() };
        assert!(!render::markdown(report.view(), &options).is_empty());
        assert!(!render::html(report.view(), &options).unwrap().is_empty());
    };
    for &Monster { name, size, grow, .. } in MARKDOWN_MONSTERS {
        let (small, large) = (cost_of(grow(size / 8), safe), cost_of(grow(size), safe));
        let ratio = large.as_secs_f64() / small.max(Duration::from_millis(4)).as_secs_f64();
        assert!(ratio < 24.0, "{name}: {ratio:.0} times ({small:?}, {large:?})");
    }
}

/// A report whose uncertainties are standard ones, expanded to 95 %, with a list of correlations.
fn standard(correlations: impl Iterator<Item = String>, rest: &str) -> String {
    let list: String = correlations.map(|item| format!("    - {item}\n")).collect();
    let list = if list.is_empty() { list } else { format!("  correlations:\n{list}") };
    format!("---\nmeniscus:\n  combine: standard\n  coverage: 95 %\n{list}---\n\n{rest}")
}

fn recorded(n: usize) -> String {
    (0..n).map(|k| format!("~{{a_{k} = 1.5 m; reading 0.1 m dof {}.5 \"x\"}}\n", k + 1)).collect()
}

/// The same with degrees of freedom, correlations and coverage.
const STANDARD_MONSTERS: &[Monster] = &[
    monster("levels with degrees of freedom", None, 1_200, |n| {
        let readings = (0..n).map(|k| {
            format!("~{{a_{k} = 1.5 m; reading 0.1 m level 95 % dof {k}.5 \"x\"}} ~{{b_{k} = 2 * a_{k}}}\n")
                .replace("dof 0.5", "dof 1")
        });
        standard(std::iter::empty(), &readings.collect::<String>())
    }),
    monster("tied pairs", None, 1_200, |n| {
        let pairs = (0..n / 2).map(|k| format!("correlated a_{} a_{} 0.5 \"x\"", 2 * k, 2 * k + 1));
        let sums: String = (1..n).map(|k| format!("~{{b_{k} = a_{k} + a_{}}}\n", k - 1)).collect();
        standard(pairs, &(recorded(n) + &sums))
    }),
    monster("a chain of results over a large group", None, 1_200, |n| {
        let pairs = (1..64).map(|k| format!("correlated a_{} a_{k} 0.4 \"x\"", k - 1));
        let sum: Vec<String> = (0..64).map(|k| format!("a_{k}")).collect();
        let chain: String = (1..n).map(|k| format!("~{{b_{k} = b_{} + a_{}}}\n", k - 1, k % 64)).collect();
        standard(pairs, &(recorded(64) + &format!("~{{b_0 = {}}}\n", sum.join(" + ")) + &chain))
    }),
    monster("too many tied together", Some("correlation"), 1_200, |n| {
        standard((1..n).map(|k| format!("correlated a_0 a_{k} 0.01 \"x\"")), &recorded(n))
    }),
    monster("groups that cannot be", Some("correlation"), 1_200, |n| {
        let pairs =
            (0..n / 4).flat_map(|k| [0, 1, 2].map(|j| format!("correlated a_{} a_{} 0.9 \"x\"", 4 * k, 4 * k + j + 1)));
        standard(pairs, &recorded(n))
    }),
    monster("unknown readings", Some("correlation"), 2_400, |n| {
        standard((0..n).map(|k| format!("correlated x_{k} y_{k} 0.5 \"x\"")), &recorded(n / 8))
    }),
    monster("correlations without a reason", Some("no-reason"), 1_200, |n| {
        standard((1..n).map(|k| format!("correlated a_{} a_{k} 0", k - 1)), &recorded(n))
    }),
    monster("no correlations", Some("course"), 2_400, |n| standard((0..n).map(|k| format!("tied {k}")), "text\n")),
    monster("rows about a mean and a tied pair", None, 1_200, |n| {
        let rows: String = (0..n).map(|k| format!("| {}.5 | {}.1 | |\n", k % 17, k % 13)).collect();
        let head = "| ~{x [m]; reading 0.1 m \"x\"; repeat} | ~{y [m]; repeat} | ~{z [m] = x - mean(x) - mean(y) * a_0 / a_1} |\n|--|--|--|\n";
        standard(["correlated a_0 a_1 0.5 \"x\"".to_owned()].into_iter(), &(recorded(2) + "\n" + head + &rows))
    }),
    monster("rows about the means of two columns that repeat", None, 4_000, |n| {
        let rows: String = (0..n).map(|k| format!("| {}.5 | {}.1 | | |\n", k % 17, k % 13)).collect();
        let head = "| ~{x [m]; repeat} | ~{y [m]; repeat} | ~{z [m] = x - y} | ~{w [m] = z - mean(z) + mean(x)} |\n|--|--|--|--|\n";
        standard(std::iter::empty(), &(head.to_owned() + &rows))
    }),
    monster("rows about a mean that rests on all of them, and a tied pair", None, 2_000, |n| {
        let rows: String = (0..n).map(|k| format!("| {}.5 | | |\n", k % 17)).collect();
        let head = "| ~{x [m]; ± 0.1 m \"x\"} | ~{y [m] = x + a_0 + a_1} | ~{z [m] = y - mean(y)} |\n|--|--|--|\n";
        standard(["correlated a_0 a_1 0.5 \"x\"".to_owned()].into_iter(), &(recorded(2) + "\n" + head + &rows))
    }),
];

#[test]
fn the_cost_of_standard_uncertainties_grows_with_the_length() {
    for monster in STANDARD_MONSTERS {
        let &Monster { name, size, grow, rule } = monster;
        let rules = read_on_a_small_stack(name, grow(size));
        assert!(rule.is_none_or(|rule| rules.contains(&rule)), "{name}: {:?}", few(&rules));
        assert!(
            rule.is_some() || !rules.iter().any(|rule| ["syntax", "course", "correlation"].contains(rule)),
            "{name}: {:?}",
            few(&rules)
        );
        let (small, large) = (cost(grow(size / 8)), cost(grow(size)));
        let ratio = large.as_secs_f64() / small.max(Duration::from_millis(4)).as_secs_f64();
        assert!(ratio < 24.0, "{name}: {ratio:.0} times ({small:?}, {large:?})");
    }
}

/// Every row of `z` rests on every row of `y`.
#[test]
fn a_line_through_rows_that_each_rest_on_all_is_fitted() {
    let table = |rows: usize| {
        let row = |n: usize| format!("| {n}.0 | {}.5 | |\n", 2 * n + n % 3);
        let rows: String = (1..=rows).map(row).collect();
        format!(
            "| ~{{x [cm]; ± 0.1 cm \"rule\"}} | ~{{y [N]; ± 0.1 N \"balance\"}} | ~{{z [N] = y - mean(y)}} |\n|--|--|--|\n{rows}\n\
             The slope is ~{{k = slope(z against x) in N/m}}.\n"
        )
    };
    let course = Course::default();
    let rules =
        |source: &str| report::read(source, &course).findings.iter().map(|found| found.rule).collect::<Vec<_>>();
    assert!(!rules(&table(50)).contains(&"not-computed"));
    assert!(!rules(&table(11_000)).contains(&"not-computed"));
}

/// The time that this thread has been running; where the system does not tell, the time of day.
fn own_time() -> Duration {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    let told = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| START.elapsed(), Duration::from_nanos)
}

/// A message is for a person, and all of them together are no longer than a small multiple of the report.
#[test]
fn findings_stay_short() {
    for monster in MONSTERS {
        let source = (monster.grow)(monster.size);
        let report = report::read(&source, &Course::default());
        let longest = report.findings.iter().map(|f| f.message.len() + f.help.len()).max().unwrap_or(0);
        assert!(longest < 2_000, "{}: a finding of {longest} bytes", monster.name);
        let per_finding = report.findings.iter().map(|f| f.related.len() + f.edits.len()).max().unwrap_or(0);
        assert!(per_finding <= 100, "{}: a finding with {per_finding} places", monster.name);
    }
}

#[test]
fn ten_megabytes_in_one_line_pass() {
    let line = "plain words, and more of them; ".repeat(10_000_000 / 31);
    let source = format!("{line}~{{a = 1.5 m; reading 0.1 m \"x\"}} {line}");
    let run = meniscus(&["check", "--format", "json"], source.as_bytes());
    assert_eq!(run.status, 0, "{}", run.stderr);
    let run = meniscus(&["render", "--to", "markdown", "-"], source.as_bytes());
    assert_eq!(run.status, 0, "{}", run.stderr);
    assert!(run.stdout.len() > 2 * line.len());
}

#[test]
fn a_slip_far_along_a_line_is_shown_without_the_whole_line() {
    let source = format!("{}~{{a = }}", "word ".repeat(200_000));
    let run = meniscus(&["check"], source.as_bytes());
    assert_eq!(run.status, 1);
    assert!(run.stderr.contains("syntax"), "{}", run.stderr.chars().take(2_000).collect::<String>());
    assert!(run.stderr.len() < 10_000, "{} bytes for one finding", run.stderr.len());
}

#[test]
fn an_empty_report_is_a_report() {
    for empty in ["", "\n", "\u{feff}"] {
        assert_eq!(findings(empty), []);
        assert_eq!(markdown(empty), empty);
        assert_eq!(meniscus(&["values", "--format", "json"], empty.as_bytes()).status, 0);
    }
}

#[test]
fn a_byte_order_mark_is_no_text() {
    let source = "\u{feff}---\nmeniscus: {digits: 2}\n---\n\n~{a = 1.5 m; reading 0.1 m \"x\"} ~{b = a / 3}\n";
    assert_eq!(findings(source), []);
    let rendered = markdown(source);
    assert!(rendered.starts_with("\u{feff}---\n"), "{rendered}");
    assert!(
        with_plain_blanks(&rendered).contains("0.500 ± 0.033"),
        "the front matter behind the mark counts: {rendered}"
    );
}

#[test]
fn every_line_ending_is_one() {
    let source = "# Rod\n\n~{d = 12.4 mm; reading 0.1 mm \"dial\"}\n\n~{e = 12.4 mm}\n";
    for ending in ["\r", "\r\n"] {
        let source = source.replace('\n', ending);
        let rules: Vec<String> = findings(&source).into_iter().map(|f| f.rule).collect();
        assert_eq!(rules, ["no-uncertainty"], "{ending:?}");
        let run = meniscus(&["check", "--format", "json"], source.as_bytes());
        let found: serde_json::Value = serde_json::from_str(&run.stdout).unwrap();
        assert_eq!(found["files"][0]["findings"][0]["span"]["start"]["line"], 5, "{ending:?}");
    }
}

#[test]
fn what_is_not_utf8_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (report, page) = (folder.path().join("report.md"), folder.path().join("page.html"));
    fs::write(&report, b"# Rod\n\n~{d = 12.4 mm; reading 0.1 \xb5m \"dial\"}\n").unwrap();
    for command in ["check", "values", "render"] {
        let run = meniscus(&[command, text(&report)], b"");
        assert_eq!(run.status, 2, "{command}: {run:?}");
        assert_eq!(run.stdout, "", "{command}");
        assert!(run.stderr.contains("UTF-8") && run.stderr.contains("report.md"), "{command}: {}", run.stderr);
    }
    fs::write(&page, "an older page").unwrap();
    assert_eq!(meniscus(&["render", text(&report), "-o", text(&page)], b"").status, 2);
    assert_eq!(fs::read_to_string(&page).unwrap(), "an older page");
    assert_eq!(meniscus(&["check"], b"\xff\xfe~\0{\0").status, 2);
    assert_eq!(names(folder.path()), ["page.html", "report.md"]);
}

#[test]
fn broken_front_matter_is_an_error_with_its_place_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (report, page) = (folder.path().join("report.md"), folder.path().join("page.html"));
    for (yaml, wanted) in [
        ("meniscus: {combine: summ}", "combine"),
        ("meniscus: {instrumens: {}}", "instrumens"),
        ("meniscus: {digits: [1}", "3"),
        (&format!("meniscus: {}", "[".repeat(20_000)), "YAML"),
    ] {
        fs::write(&report, format!("---\ntitle: Rod\n{yaml}\n---\n\n~{{d}}\n")).unwrap();
        let run = meniscus(&["render", text(&report), "-o", text(&page)], b"");
        assert!(run.status != 0 && run.stderr.contains(wanted), "{}: {run:?}", &yaml[..yaml.len().min(40)]);
        assert!(run.stderr.len() < 5_000, "{} bytes", run.stderr.len());
        assert!(run.status == 1 || names(folder.path()) == ["report.md"], "{run:?}");
        drop(fs::remove_file(&page));
    }
}

#[test]
fn a_report_is_never_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let report = folder.path().join("report.md");
    fs::write(&report, "~{d = 12.4 mm; reading 0.1 mm \"dial\"}\n").unwrap();
    let run = meniscus(&["render", "--to", "markdown", text(&report), "-o", text(&report)], b"");
    assert_eq!(run.status, 2, "{run:?}");
    assert!(fs::read_to_string(&report).unwrap().starts_with("~{d"));
    assert_eq!(names(folder.path()), ["report.md"]);
}

#[test]
fn what_cannot_be_read_or_written_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let run = meniscus(&["check", text(&folder.path().join("absent.md"))], b"");
    assert!(run.status == 2 && run.stderr.contains("absent.md"), "{run:?}");
    fs::write(folder.path().join("file"), "").unwrap();
    let run = meniscus(&["render", "-o", text(&folder.path().join("file/page.html"))], b"text\n");
    assert!(run.status == 2 && run.stderr.contains("page.html"), "{run:?}");
    assert_eq!(meniscus(&["polish"], b"").status, 2);
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}
