//! Every example of the CommonMark specification and of the extensions of GitHub's that are read, without an item
//! and with one at every place of it: nothing changes but what the item stands for.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use meniscus::course::Course;
use meniscus::locate::{locate, options};
use meniscus::render::{self, Math, Options};
use meniscus::report;
use pulldown_cmark::{Parser, html};
use serde_json::Value;

/// The examples, each with its specification and its number.
fn examples() -> Vec<(String, String)> {
    let files = [("CommonMark 0.31.2", "commonmark-0.31.2.json", 652), ("GFM 0.29", "gfm-0.29.json", 13)];
    let of_file = |(edition, file, count): (&str, &str, usize)| {
        let text = std::fs::read_to_string(format!("tests/published/data/{file}")).unwrap();
        let whole: Value = serde_json::from_str(&text).unwrap();
        let read = whole["examples"].as_array().unwrap();
        assert_eq!(read.len(), count, "{file}");
        let named = |example: &Value| {
            let name = format!("{edition}, {}, example {}", example["section"].as_str().unwrap(), example["example"]);
            (name, example["markdown"].as_str().unwrap().to_owned())
        };
        read.iter().map(named).collect::<Vec<_>>()
    };
    files.into_iter().flat_map(of_file).collect()
}

const FRONT: &str = "---\nmeniscus: {rationale: none}\n---\n";

/// What shows `zq = 3` and holds nothing that Markdown reads.
const ITEM: &str = "~{zq=3;exact}";
const SHOWN: &str = "zq = 3";

/// What pulldown-cmark itself makes of it.
fn plain_html(markdown: &str) -> String {
    let mut out = String::new();
    html::push_html(&mut out, Parser::new_ext(markdown, options()));
    out
}

struct Rendered {
    html: String,
    markdown: String,
}

fn rendered(source: &str) -> Rendered {
    let report = report::read(source, &Course::default());
    let options = Options { fragment: true, math: Math::Plain, ..Options::default() };
    Rendered {
        html: render::html(report.view(), &options).unwrap(),
        markdown: render::markdown(report.view(), &options),
    }
}

#[test]
fn without_items_a_report_stays_what_it_is() {
    for (name, example) in examples() {
        for source in [example.clone(), example.replace('\n', "\r\n"), format!("\u{FEFF}{example}")] {
            let rendered = rendered(&source);
            assert_eq!(rendered.markdown, source, "{name}");
            let body = &source[locate(&source).start..];
            assert_eq!(rendered.html, plain_html(body), "{name}");
        }
    }
}

/// The places of a text where a character begins, and its end.
fn places(text: &str) -> impl Iterator<Item = (&str, &str)> {
    text.char_indices().map(|(at, _)| at).chain([text.len()]).map(|at| text.split_at(at))
}

/// The page with a sign in place of what stands for the item.
fn signed(html: &str, shown: &str) -> String {
    assert_eq!(html.matches(shown).count(), 1, "{html}");
    html.replace(shown, "@")
}

#[test]
fn with_an_item_anywhere_the_rest_is_as_with_a_word_there() {
    // Punctuation, as an item's edges are, that means nothing; its middle tells it from a `%` of the example.
    let word = "%%%%%%;%%%%%%";
    assert_eq!(word.len(), ITEM.len());
    let mut inside = 0;
    for (name, example) in examples() {
        for (before, after) in places(&example) {
            let source = format!("{FRONT}{before}{ITEM}{after}");
            let start = FRONT.len() + before.len();
            if !locate(&source).places.iter().any(|place| place.span.start == start) {
                continue;
            }
            inside += 1;
            let rendered = rendered(&source);
            let expected = signed(&plain_html(&format!("{before}{word}{after}")), word);
            assert_eq!(signed(&rendered.html, SHOWN), expected, "{name} as HTML: {source}");
            let (shown, again) = rendered.markdown[FRONT.len()..].split_at(before.len());
            assert!(shown == before && again.ends_with(after), "{name}, bytes outside: {source}");
            let html = plain_html(&rendered.markdown[FRONT.len()..]);
            assert_eq!(signed(&html, SHOWN), expected, "{name} as Markdown: {source}\n{}", rendered.markdown);
        }
    }
    assert!(inside > 11_000, "only {inside} places were compared");
}

#[test]
fn experiment() {
    let (mut inside, mut bad) = (0, 0);
    for (item, math, shown) in [("~{zq=*}", Math::Plain, ["<code>~{zq=*}</code>", "~{zq=*}"]), ("~{zq=3;exact}", Math::Latex, ["<span class=\"math math-inline\">\\mathit{zq} = 3</span>", "$\\mathit{zq} = 3$"]),
    ("~{zq=\n>- `*'<b}", Math::Plain, ["<code>~{zq= >- `*'&lt;b}</code>","~{zq= >- `*'&lt;b}"])] {
        let word: String = item.chars().map(|c| if c == '\n' { '\n' } else { '%' }).collect();
        for (name, example) in examples() {
            for (before, after) in places(&example) {
                let source = format!("{FRONT}{before}{item}{after}");
                let start = FRONT.len() + before.len();
                if !locate(&source).places.iter().any(|place| place.span.start == start && place.span.end == start + item.len()) {
                    continue;
                }
                inside += 1;
                let report = report::read(&source, &Course::default());
                let out = render::markdown(report.view(), &Options { math, ..Options::default() });
                let html = plain_html(&out[FRONT.len()..]);
                let got = html.replace(shown[0], "@").replace(shown[1], "@");
                let expected = plain_html(&format!("{before}{word}{after}")).replace(&word, "@");
                if got != expected {
                    bad += 1;
                    println!("MD {name}: {:?}\n {:?}\n {:?}\n {:?}", format!("{before}@{after}"), &out[FRONT.len()..], got, expected);
                }
            }
        }
    }
    println!("{inside} places");
    assert_eq!(bad, 0);
}
