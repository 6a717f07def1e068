//! The parser and `grammar/notation.ebnf` say the same. The grammar writes sentences, which the parser has to
//! take without a fault; then each is spoilt by one slip, and both have to judge the spoilt one alike.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use std::borrow::Cow;
use std::collections::{BTreeSet, HashSet};

use ebnf::{Grammar, Recogniser, Said};
use meniscus::locate::{End, Place, Setting};
use meniscus::parse::{self, FaultKind};
use meniscus::span::Span;
use write::{Random, Writer};

#[path = "notation/ebnf.rs"]
mod ebnf;
#[path = "notation/write.rs"]
mod write;

/// Where a sentence starts, the rule of its formulas, and where it stands.
const STARTS: [(&str, &str, Setting); 2] = [
    ("item", "result", Setting::Text),
    ("heading item", "result column", Setting::HeadingCell { table: 0, column: 0 }),
];

/// How many sentences are written from each start. A slip in the grammar or the parser that one sentence in a
/// hundred would show is found for certain.
const SENTENCES: usize = 1_100;

/// The longest sentence, in bytes: what the recogniser can see.
const LONGEST: usize = 127;

fn grammar() -> Grammar {
    Grammar::read(&std::fs::read_to_string("grammar/notation.ebnf").unwrap())
}

/// What the grammar says in words.
fn said(words: &str) -> Said {
    let reads = |knows, samples| Said::Reads { knows, samples };
    match words {
        "white space in Unicode, or U+200B, U+2060, U+FEFF" => {
            reads(is_blank, "       \n\t\u{a0}\u{202f}\u{2009}\u{feff}")
        }
        "alphabetic in Unicode, raised and lowered letters aside" => reads(is_letter, "abcdeghiknopstxyLNTVEJΔθΩµÅ"),
        "any character but \"" => reads(|c| c != '"', "ab c;}|-=1“”„\n"),
        "any character but ”" => reads(|c| c != '”', "ab c;}|-=1\"“\n"),
        "any character but “" => reads(|c| c != '“', "ab c;}|-=1\"”\n"),
        "no letter, digit, _, ', ’, ′ or ″ follows" => {
            Said::Sees(|rest| !rest.starts_with(|c| is_word(c) || matches!(c, '\'' | '’' | '′' | '″')))
        }
        "no letter, digit or _ follows, and no - or . with a letter or digit behind it" => Said::Sees(|rest| {
            !rest.strip_prefix(['-', '.']).unwrap_or(rest).starts_with(is_letter_or_digit) && !rest.starts_with('_')
        }),
        "no letter follows" => Said::Sees(|rest| !rest.starts_with(is_letter)),
        "no -, −, /- or /− follows" => {
            Said::Sees(|rest| !rest.strip_prefix('/').unwrap_or(rest).starts_with(['-', '−']))
        }
        "no e or E with a digit, or a sign and a digit, behind it follows" => Said::Sees(|rest| {
            let behind =
                rest.strip_prefix(['e', 'E']).map(|behind| behind.strip_prefix(['+', '-', '−']).unwrap_or(behind));
            !behind.is_some_and(|behind| behind.starts_with(|c: char| c.is_ascii_digit()))
        }),
        "no . or ^ follows" => Said::Sees(|rest| !rest.starts_with(['.', '^'])),
        "no comma with a digit, or a point and a digit, behind it follows" => Said::Sees(|rest| {
            let behind = rest.strip_prefix(',').map(|behind| behind.strip_prefix('.').unwrap_or(behind));
            !behind.is_some_and(|behind| behind.starts_with(|c: char| c.is_ascii_digit()))
        }),
        _ => panic!("the grammar says something new: {words}"),
    }
}

fn is_blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200B}' | '\u{2060}' | '\u{FEFF}')
}

fn is_letter(c: char) -> bool {
    // Of the raised and lowered letters only those that the tests use.
    c.is_alphabetic() && !matches!(c, 'ⁿ' | 'ₐ')
}

fn is_letter_or_digit(c: char) -> bool {
    is_letter(c) || c.is_ascii_digit()
}

fn is_word(c: char) -> bool {
    is_letter_or_digit(c) || c == '_'
}

/// What the parser finds wrong with a text, advice aside.
fn faults(text: &str, setting: Setting) -> Vec<FaultKind> {
    let span = Span::new(0, text.len());
    let place = Place { span, text: Cow::Borrowed(text), end: End::Closed, setting, block_end: text.len() };
    let parsed = parse::parse(&place);
    let faults: Vec<_> = parsed.faults.into_iter().map(|fault| fault.kind).collect();
    assert!(parsed.item.is_some() || !faults.is_empty(), "no item and no fault: {text}");
    faults.into_iter().filter(|kind| *kind != FaultKind::NoBlankBeforeUnit).collect()
}

/// Is it one of what the grammar says that it cannot say?
fn beyond_the_grammar(kind: &FaultKind) -> bool {
    const WANTED: [&str; 5] = [
        "the unit of the uncertainty",
        "a number from 0 to 1",
        "a coverage factor above 0",
        "a level between 0 % and 100 %",
        "degrees of freedom above 0",
    ];
    match kind {
        FaultKind::NumberTooLong | FaultKind::TooDeep { .. } | FaultKind::TwoSided => true,
        FaultKind::Expected { wanted, .. } => wanted.len() == 1 && WANTED.contains(&wanted[0]),
        _ => false,
    }
}

/// Sentences from both starts, each with its start.
fn sentences(grammar: &Grammar, mut use_them: impl FnMut(&mut Recogniser<'_>, &str, Setting, String)) {
    for (start, with_formula, setting) in STARTS {
        let mut writer = Writer::new(grammar, &said, 0x5EED_0F17);
        let mut recogniser = Recogniser::new(grammar, &said);
        let mut choices = BTreeSet::new();
        grammar.choices(start, &mut HashSet::new(), &mut choices);
        let mut written = 0;
        for round in 0.. {
            let never: Vec<_> = choices.difference(&writer.ever).collect();
            if written >= SENTENCES && never.is_empty() {
                break;
            }
            assert!(round < 20 * SENTENCES, "{written} sentences, and these sides of choices in none: {never:?}");
            // Every other one has a formula: that is where most of the grammar is.
            let depth = 12 + round % 36;
            let sentence = match round % 2 {
                0 => writer.sentence(start, depth, LONGEST),
                _ => writer.sentence(with_formula, depth, LONGEST - 3).map(|inner| format!("~{{{inner}}}")),
            };
            if let Some(sentence) = sentence.filter(|sentence| recogniser.takes(start, sentence)) {
                writer.ever.append(&mut writer.taken);
                use_them(&mut recogniser, start, setting, sentence);
                written += 1;
            }
        }
    }
}

#[test]
fn the_parser_takes_every_sentence_of_the_grammar() {
    let (mut all, mut beyond) = (0, 0);
    sentences(&grammar(), |_, _, setting, sentence| {
        let faults = faults(&sentence, setting);
        assert!(faults.iter().all(beyond_the_grammar), "{sentence}\n{faults:?}");
        all += 1;
        beyond += usize::from(!faults.is_empty());
    });
    assert!(4 * beyond < all, "{beyond} of {all} sentences are beyond the grammar: too many to learn from");
}

#[test]
fn parser_and_grammar_judge_one_slip_alike() {
    let mut random = Random(0xC0FFEE);
    let (mut taken, mut refused) = (0, 0);
    sentences(&grammar(), |recogniser, start, setting, sentence| {
        for _ in 0..3 {
            let spoilt = spoilt(&sentence, &mut random);
            if spoilt.len() > LONGEST {
                continue;
            }
            let faults = faults(&spoilt, setting);
            if recogniser.takes(start, &spoilt) {
                assert!(faults.iter().all(beyond_the_grammar), "{spoilt}\n{faults:?}");
                taken += 1;
            } else {
                assert!(!faults.is_empty(), "the parser takes what the grammar does not:\n{spoilt}");
                refused += 1;
            }
        }
    });
    assert!(taken > SENTENCES && refused > SENTENCES, "{taken} taken, {refused} refused");
}

/// The sentence with one slip between its `~{` and its `}`: something left out, put in, said twice or swapped.
fn spoilt(sentence: &str, random: &mut Random) -> String {
    const SLIPS: [&str; 44] = [
        "+", "-", "−", "*", "/", "^", "·", "±", "(", ")", "[", "]", "=", ";", ",", ", ", ".", "_", "'", "\"", "“", "”",
        "°", "%", "²", "⁻", "ⁿ", "₁", " ", "  ", "1", "0", "e", "x", "in", " in ", " as ", " of ", "10^", "1/", "k ",
        "sin", "π", "{",
    ];
    let mut chars: Vec<char> = sentence.chars().collect();
    let (low, high) = (2, chars.len() - 1);
    let at = low + random.below(high - low + 1);
    let end = (at + 1 + random.below(4)).min(high);
    match random.below(4) {
        0 => drop(chars.drain(at..end)),
        1 => drop(chars.splice(at..at, random.one(&SLIPS).chars())),
        2 => {
            let again: Vec<_> = chars[at..end].to_vec();
            chars.splice(at..at, again);
        }
        _ if at + 1 < high => chars.swap(at, at + 1),
        _ => drop(chars.splice(low..low, random.one(&SLIPS).chars())),
    }
    chars.into_iter().collect()
}

/// A correlation is no item: the course's list holds it.
#[test]
fn parser_and_grammar_judge_correlations_alike() {
    let grammar = grammar();
    let mut recogniser = Recogniser::new(&grammar, &said);
    for (text, takes) in [
        (r#"correlated a b 0.8 "same scale""#, true),
        (r#"  correlated V_1 phi −0.36 „Skala“ "#, true),
        ("correlated a b 1", true),
        (r#"correlated a b 8e-1"x""#, true),
        (r#"correlated a b 8×10^-1 "x""#, true),
        ("correlated a b1 2", true),
        ("correlated a b1", false),
        ("correlated a 0.8", false),
        ("correlated a b", false),
        ("correlateda b 0.8", false),
        ("correlated a, b 0.8", false),
        ("correlated a sin 0.8", false),
        ("correlated a b 0.8 same scale", false),
        ("correlated a b 0.8 80 %", false),
        ("", false),
    ] {
        assert_eq!(recogniser.takes("correlation", text), takes, "the grammar: {text}");
        assert_eq!(parse::correlation(text).is_ok(), takes, "the parser: {text}");
    }
}

/// The words that editors colour are those of the grammar.
#[test]
fn editors_know_every_word_of_the_grammar() {
    let grammar = std::fs::read_to_string("grammar/notation.ebnf").unwrap();
    let words_of = |rule: &str| {
        let body = grammar.split(&format!("\n{rule} =")).nth(1).unwrap().split(';').next().unwrap();
        let words = body.split('"').skip(1).step_by(2).map(str::to_owned);
        words.filter(|word| word.starts_with(char::is_alphabetic)).collect::<Vec<_>>()
    };
    let rules = [
        "reserved",
        "style with unit",
        "style without unit",
        "known kind",
        "shape",
        "graph option",
        "degrees of freedom",
        "kind",
    ];
    let words: BTreeSet<String> = rules.into_iter().flat_map(words_of).collect();
    assert!(words.len() > 60, "{words:?}");
    for file in ["meniscus.tmLanguage.json", "vim/syntax/meniscus.vim", "emacs/meniscus.el"] {
        let text = std::fs::read_to_string(format!("grammar/{file}")).unwrap();
        let known: BTreeSet<&str> = text.split(|c: char| !c.is_alphanumeric()).collect();
        // The axis that `log` names is coloured as any symbol.
        let unknown: Vec<_> =
            words.iter().filter(|word| !known.contains(word.as_str()) && !matches!(word.as_str(), "x" | "y")).collect();
        assert!(unknown.is_empty(), "{file} does not know {unknown:?}");
    }
}

/// The recogniser itself is judged by what nobody doubts.
#[test]
fn the_grammar_is_read_as_it_is_meant() {
    let grammar = grammar();
    let mut recogniser = Recogniser::new(&grammar, &said);
    for (text, takes) in [
        (r#"~{d "rod diameter" = 12.42 mm; reading 1/4 of 0.5 mm "both jaws seated"}"#, true),
        ("~{t = 1.32, 1.28, 1.35, 1.30 s; with stopwatch}", true),
        (r#"~{v "speed" = d / t in cm/s}"#, true),
        ("~{v in km/h as short}", true),
        ("~{v in km/h as relative}", false),
        ("~{g against 9.81 m/s^2}", true),
        ("~{graph F against x; line through 0}", true),
        ("~{x = 131,5 cm}", false),
        ("~{x = 5 N m}", false),
        ("~{x = 5 J/kg*K}", false),
        ("~{vin}", true),
        ("~{in}", false),
        ("~{v incm}", false),
        ("~{x = 2 h + 3 min}", false),
        ("~{x [cm]; with rule}", false),
    ] {
        assert_eq!(recogniser.takes("item", text), takes, "{text}");
    }
    assert!(recogniser.takes("heading item", "~{x [cm]; with rule}"));
}
