//! Every example of the CommonMark specification and of the extensions of GitHub's that are read, without an item
//! and with one at every place of it: nothing changes but what the item stands for.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use meniscus::course::Course;
use meniscus::locate::{locate, options};
use meniscus::render::{self, Math, Options};
use meniscus::report;
use pulldown_cmark::{Event, Parser, Tag, TagEnd, html};
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
fn markdown_without_items_stays_what_it_is() {
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
fn markdown_with_an_item_anywhere_is_as_with_a_word_there() {
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

/// Items whose text Markdown could take for a part of what stands about them, with the name of the quantity 3 and with
/// what is seen in their place, in running text and in alternative text.
const WILD: [(&str, Math, &str, [&str; 2]); 9] = [
    ("~{zq=*}", Math::Plain, "", ["<code>~{zq=*}</code>", "~{zq=*}"]),
    ("~{zq}", Math::Latex, "", ["<span class=\"math math-inline\">3</span>", "3"]),
    ("~{zq as value}", Math::Plain, "", ["3", "3"]),
    ("~{zq as name}", Math::Plain, "foo", ["foo", "foo"]),
    ("~{zq as name}", Math::Plain, "bar)", ["bar)", "bar)"]),
    ("~{zq as name}", Math::Plain, "#x-->?>]]>", ["#x--&gt;?&gt;]]&gt;", "#x--&gt;?&gt;]]&gt;"]),
    ("~{zq as name}", Math::Plain, "x'", ["x'", "x&#39;"]),
    ("~{zq as name}", Math::Plain, "=|", ["=|", "=|"]),
    ("~{zq as name}", Math::Plain, "amp", ["amp", "amp"]),
];

/// Is it alternative text in which `](` or `<` begins what a word without blanks goes on with? There no tag can keep them
/// apart, and pulldown-cmark takes both for a link inside the image: its text is seen, and the value is not.
fn has_no_remedy(before: &str, after: &str) -> bool {
    before.contains("![") && before.contains("](") && after.contains("](")
}

/// Every place takes one of the wild items in turn, every item takes places of every kind.
#[test]
fn markdown_no_text_of_an_item_joins_with_what_stands_about_it() {
    let (mut inside, mut left_out) = (0, 0);
    for (n, (name, example)) in examples().into_iter().enumerate() {
        for (m, (before, after)) in places(&example).enumerate() {
            let (item, math, called, shown) = WILD[(n + m) % WILD.len()];
            // The quantity is defined before; its line ends with a blank one.
            let front = format!("{FRONT}~{{zq “{called}” = 3;exact}}\n\n");
            let source = format!("{front}{before}{item}{after}");
            let report = report::read(&source, &Course::default());
            if !report.document.places.iter().any(|place| place.span.start == front.len() + before.len()) {
                continue;
            }
            inside += 1;
            if has_no_remedy(before, after) {
                left_out += 1;
                continue;
            }
            let out = render::markdown(report.view(), &Options { math, ..Options::default() });
            let body = out[FRONT.len()..].split_once("\n\n").unwrap().1;
            let word = item.replace(|c: char| c != ' ', "%").replacen("%%", "%;", 1);
            let expected = plain_html(&format!("{before}{word}{after}"));
            // Where nothing else can keep two words apart, an empty element does.
            let html = plain_html(body).replace("<span ></span>", "");
            let is_expected = shown.iter().any(|shown| expected.replace(&word, shown) == html);
            assert!(is_expected, "{name}: {before}@{after}\n{body}\n{html}\n{expected}");
        }
    }
    assert!(inside > 11_000 && left_out < 40, "{inside} places, {left_out} left out");
}

/// A word between blanks may as well be of letters. Beside marks of emphasis they would mean something else than
/// an item's `~` and `}`, and in a tag or a character reference they would be a part of it.
#[test]
fn markdown_a_word_of_letters_between_blanks_is_as_good() {
    let word = "q".repeat(ITEM.len());
    let mut alike = 0;
    for (name, example) in examples() {
        for (before, after) in places(&example) {
            let is_apart = |beside: Option<char>| beside.is_none_or(char::is_whitespace);
            let with_word = format!("{before}{word}{after}");
            if !is_apart(before.chars().next_back()) || !is_apart(after.chars().next()) || !is_text(&with_word, &word) {
                continue;
            }
            let html = rendered(&format!("{FRONT}{before}{ITEM}{after}")).html;
            assert_eq!(signed(&html, SHOWN), plain_html(&with_word).replace(&word, "@"), "{name}: {before}@{after}");
            alike += 1;
        }
    }
    assert!(alike > 900, "only {alike} places were compared");
}

/// Is the word seen as text, and no part of code, of a tag or of a destination?
fn is_text(markdown: &str, word: &str) -> bool {
    let mut in_code = false;
    Parser::new_ext(markdown, options()).any(|event| {
        match &event {
            Event::Start(Tag::CodeBlock(_)) => in_code = true,
            Event::End(TagEnd::CodeBlock) => in_code = false,
            _ => {}
        }
        !in_code && matches!(event, Event::Text(text) if text.contains(word))
    })
}
