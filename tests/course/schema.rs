//! `grammar/course.schema.json`: written from what the code knows, and held against it. `UPDATE_DOCS=1 cargo test
//! --test course` writes it anew.

use std::collections::BTreeSet;

use jsonschema::Validator;
use meniscus::check::rules;
use meniscus::course::{
    Agree, Combine, DecimalSign, Fit, KEYS, Level, MAPS, RationalePlace, Repeat, Word, of_front_matter,
};
use meniscus::quantity::constants::CONSTANTS;
use meniscus::quantity::{Figures, Rounding};
use meniscus::report::NOTATION;
use serde_json::{Map, Value, json};

use crate::support::{blocks, page, root};
use crate::{RULES, WHOLE, faults};

const PATH: &str = "grammar/course.schema.json";

#[test]
fn the_schema_of_a_course_is_that_of_the_program() {
    let wanted = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(root().join(PATH), &wanted).unwrap();
    }
    assert!(page(PATH) == wanted, "{PATH} is stale; UPDATE_DOCS=1 cargo test --test course writes it anew");
}

/// Both ways: what the code knows is in the file, and the file offers nothing that the code does not take.
#[test]
fn keys_and_choices_of_a_course_are_those_of_the_schema() {
    let written: Value = serde_json::from_str(&page(PATH)).unwrap();
    let keys = |schema: &Value| schema["properties"].as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
    assert_eq!(keys(&written), KEYS.iter().map(|key| (*key).to_owned()).collect());
    let report: Vec<&str> = KEYS.into_iter().filter(|key| !matches!(*key, "fixed" | "root")).collect();
    let of_report = &written["$defs"]["front-matter"]["properties"]["meniscus"];
    assert_eq!(keys(of_report), report.iter().map(|key| (*key).to_owned()).collect());
    for (key, properties) in written["properties"].as_object().unwrap() {
        assert!(properties["description"].as_str().is_some_and(|text| text.len() > 20), "{key} says nothing");
        for choice in properties["enum"].as_array().into_iter().flatten() {
            let yaml = format!("{key}: {choice}\n");
            assert_eq!(faults(&yaml), [], "{yaml}");
        }
    }
    for rule in rules() {
        let levels = &written["properties"]["rules"]["properties"][rule.name]["enum"];
        assert_eq!(levels, &json!(words::<Level>()), "{}", rule.name);
    }
    assert_eq!(written["properties"]["rules"]["properties"].as_object().unwrap().len(), rules().len());
    for (word, _) in (NOTATION.words)() {
        assert!(written["properties"]["words"]["properties"][&word].is_object(), "{word}");
    }
    for map in MAPS {
        assert!(written["properties"][map]["type"] == json!(["object", "null"]), "{map}");
    }
}

#[test]
fn every_course_that_is_accepted_agrees_with_the_schema() {
    let validator = validator("");
    let mut ran = 0;
    for (name, yaml) in right() {
        let told = validator
            .iter_errors(&value(&yaml))
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect::<Vec<_>>();
        assert!(told.is_empty(), "{name}: {told:?}");
        ran += 1;
    }
    assert!(ran > 8, "{ran}");
}

#[test]
fn front_matter_that_is_accepted_agrees_with_the_schema() {
    let validator = validator("/$defs/front-matter");
    let mut ran = 0;
    for text in reports() {
        let Some(front) = text.strip_prefix("---\n").and_then(|rest| Some(rest.split_once("\n---")?.0)) else {
            continue;
        };
        if of_front_matter(front, NOTATION).is_some_and(|(_, faults)| faults.is_empty()) {
            let told: Vec<String> = validator.iter_errors(&value(front)).map(|error| error.to_string()).collect();
            assert!(told.is_empty(), "{front}: {told:?}");
            ran += 1;
        }
    }
    assert!(ran > 8, "{ran}");
    assert!(!validator.is_valid(&json!({"meniscus": {"root": true}})));
    assert!(validator.is_valid(&json!({"title": "of others"})));
}

/// What both refuse. What only the code can see (units, circles, what stands in other files) is not here.
const WRONG: &[&str] = &[
    "combin: sum",
    "combine: add",
    "combine: [sum]",
    "digits: 3",
    "round: dwon",
    "root: maybe",
    "coverage: 0.95",
    "coverage: k two",
    "require: reading",
    "require: [two words]",
    "kinds: {two words: {says: x}}",
    "kinds: {reading: {says: x}}",
    "kinds: {with: {says: x}}",
    "kinds: {display: {says: x}}",
    "kinds: {rim: {liek: edge}}",
    "kinds: [rim]",
    "units: {my unit: 1 m}",
    "units: {span: half a metre}",
    "units: {span: 1:30}",
    "constants: [plank]",
    "correlations: [a b 0.8]",
    "correlations: [correlated a b]",
    "instruments: {a: {division: 1 mm}}",
    "instruments: {a: {division: 1 mm, read_to: 1/4, display: 1 mm}}",
    "instruments: {a: {display: 1 mm, ends: 2}}",
    "instruments: {a: {display: 1 mm, read_to: 1/4}}",
    "instruments: {a: {division: 1 mm, read_to: 1/4, ends: 3}}",
    "instruments: {a: {division: 1 mm, read_to: a quarter}}",
    "instruments: {a: {display: 1 s, systematic: no}}",
    "instruments: {a: {display: 1 s, repeat: 2 s}}",
    "instruments: {a: {display: about 1 s}}",
    "instruments: {a: {display: 1 V, range: 20 V}}",
    "instruments: {two words: {display: 1 s}}",
    "expected: {g: {vlaue: 9.81 m/s^2}}",
    "expected: {g: {value: about ten}}",
    "expected: {1x: {required: true}}",
    "rules: {no-reson: off}",
    "rules: {no-reason: loud}",
    "rules: {no-reason: no}",
    "words: {rational: x}",
    "words: {rationale: [x]}",
    "fixed: [digit]",
    "fixed: [digits.x]",
    "fixed: [root]",
    "- a",
];

#[test]
fn a_wrong_course_is_refused_by_both_the_code_and_the_schema() {
    let validator = validator("");
    for yaml in WRONG {
        let (_, told) = meniscus::course::of_file(yaml, NOTATION);
        let merged = meniscus::course::merge(
            &mut meniscus::course::Course::default(),
            meniscus::course::of_file(yaml, NOTATION).0,
            meniscus::course::Author::Course,
            NOTATION,
        );
        assert!(!told.is_empty() || !merged.is_empty(), "the code takes {yaml}");
        assert!(!validator.is_valid(&value(yaml)), "the schema takes {yaml}");
    }
}

/// A schema for one part of the file.
fn validator(part: &str) -> Validator {
    let mut written: Value = serde_json::from_str(&page(PATH)).unwrap();
    assert_eq!(written["$schema"], "https://json-schema.org/draft/2020-12/schema");
    if !part.is_empty() {
        let definitions = written.clone();
        written = json!({"$schema": definitions["$schema"], "$ref": format!("#/$defs/whole{part}")});
        written["$defs"] = json!({"whole": whole_of(definitions)});
    }
    jsonschema::draft202012::new(&written).unwrap()
}

/// References that begin at the file's root, begun where it is put.
fn whole_of(schema: Value) -> Value {
    let text = schema.to_string().replace("\"#/", "\"#/$defs/whole/");
    serde_json::from_str(&text).unwrap()
}

fn value(yaml: &str) -> Value {
    serde_yaml::from_str(yaml).unwrap()
}

/// Whole course files that the code takes: those of these tests, of the samples, of the book.
fn right() -> Vec<(String, String)> {
    let mut all = vec![
        ("the page's block".to_owned(), WHOLE.to_owned()),
        ("one unit".into(), "units: {rpm: 1/60 Hz, dozen: 12, reach: 2 × 1/4 m, pace: (2 + 1) ft}".into()),
        ("numbers".into(), "digits: '2'\ninstruments: {a: {display: 1, ends: }, b: }\n".replace(", ends: ", "")),
        ("nothing".into(), "kinds:\nrequire:\nexpected: {g: }\n".into()),
        ("greek".into(), "constants: [μ_0, ε_0, hbar]\nexpected: {ρ_w: {required: true}, ΔT: {}}\n".into()),
        ("factor".into(), "combine: standard\ncoverage: k 2\n".into()),
        ("words".into(), "words: {constant-m_e: Masse, share: Anteil}\nfixed: [kinds.rim, rules]\n".into()),
    ];
    for entry in ignore::WalkBuilder::new(root().join("samples")).build().map(Result::unwrap) {
        if entry.file_name() == "meniscus.yaml" {
            all.push((entry.path().display().to_string(), page(entry.path())));
        }
    }
    let of_book = blocks(&page("book/src/course.md")).into_iter().filter(|block| block.info == "yaml");
    all.extend(of_book.map(|block| (format!("course.md:{}", block.line), block.text)));
    for (name, yaml) in &all {
        let (layer, told) = meniscus::course::of_file(yaml, RULES_AND_MORE);
        assert_eq!(told, [], "{name}");
        drop(layer);
    }
    all
}

const RULES_AND_MORE: meniscus::course::Notation = meniscus::course::Notation { rules: NOTATION.rules, ..RULES };

/// The samples, and the reports in the book.
fn reports() -> Vec<String> {
    let walk = |folder: &str| ignore::WalkBuilder::new(root().join(folder)).build();
    let texts = walk("samples").chain(walk("book/src")).map(Result::unwrap);
    let texts: Vec<String> =
        texts.filter(|entry| entry.path().extension().is_some_and(|end| end == "md")).map(|e| page(e.path())).collect();
    let inner: Vec<String> = texts.iter().flat_map(|text| blocks(text)).map(|block| block.text).collect();
    texts.into_iter().chain(inner).collect()
}

fn words<T: Word>() -> Vec<&'static str> {
    T::ALL.iter().map(|&(word, _)| word).collect()
}

/// A choice of one word. Numbers and truths may be typed as such.
fn choice<T: Word>(description: &str) -> Value {
    let mut choices: Vec<Value> = Vec::new();
    for word in words::<T>() {
        choices.push(json!(word));
        if let Ok(typed @ (Value::Number(_) | Value::Bool(_))) = serde_json::from_str(word) {
            choices.push(typed);
        }
    }
    let default = words::<T>()[0];
    json!({"description": format!("{description} (default: {default})"), "enum": choices})
}

/// A word that can be typed in a clause.
const WORD: &str = r"^\p{Alphabetic}(?:[\p{Alphabetic}\p{N}_.\-]*[\p{Alphabetic}\p{N}_])?$";
/// An amount begins with a number, and holds no colon.
const AMOUNT: &str = r"^[\s(+\-−]*(?:[0-9]|\.[0-9]|range\b)[^:]*$";
const SYMBOL: &str = r"^\p{Alphabetic}[\p{Alphabetic}\p{N}'′’]*(?:_[\p{Alphabetic}\p{N}]+)?['′’]*$";

fn amount(description: &str) -> Value {
    json!({"description": description, "anyOf": [{"type": "number"}, {"type": "string", "pattern": AMOUNT}]})
}

fn map(description: &str, name: &Value, entry: &Value) -> Value {
    json!({"description": description, "type": ["object", "null"], "propertyNames": name, "additionalProperties": entry})
}

fn list(description: &str, items: &Value) -> Value {
    json!({"description": description, "type": ["array", "null"], "items": items})
}

fn schema() -> Value {
    let keys: Map<String, Value> = KEYS.iter().map(|key| ((*key).to_owned(), of_key(key))).collect();
    let of_report = KEYS.iter().filter(|key| !matches!(**key, "fixed" | "root"));
    let of_report: Map<String, Value> =
        of_report.map(|key| ((*key).to_owned(), json!({"$ref": format!("#/properties/{key}")}))).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A course of meniscus",
        "description": "The keys of meniscus.yaml. The front matter of a report holds the same under the key `meniscus`, but for `fixed` and `root`: see $defs/front-matter.",
        "type": ["object", "null"],
        "properties": keys,
        "additionalProperties": false,
        "$defs": {
            "front-matter": {
                "description": "The front matter of a report. What stands beside `meniscus` belongs to others.",
                "type": "object",
                "properties": {"meniscus": {
                    "description": "What holds for this report, laid over what the course says.",
                    "type": ["object", "null"],
                    "properties": of_report,
                    "additionalProperties": false,
                }},
            },
            "instrument": instrument(),
        },
    })
}

fn of_key(key: &str) -> Value {
    let word = json!({"type": "string", "pattern": WORD});
    match key {
        "combine" => choice::<Combine>(
            "How uncertainties are combined: limits that add, the root of the sum of squares, or standard uncertainties as in JCGM 100",
        ),
        "digits" => choice::<Figures>("Figures of a reported uncertainty"),
        "round" => choice::<Rounding>("How reported numbers are rounded; `up` concerns uncertainties only"),
        "repeat" => choice::<Repeat>("What the scatter of repeated readings is taken to be"),
        "fit" => choice::<Fit>("How a straight line is laid through points"),
        "agree" => choice::<Agree>("When two values agree"),
        "coverage" => json!({
            "description": "How wide the interval is that results show, under `combine: standard` alone: a level as `95 %`, or a factor as `k 2`",
            "type": "string",
            "pattern": r"^\s*(?:[0-9.]+\s*%|k +[0-9.]+)\s*$",
        }),
        "rationale" => choice::<RationalePlace>("Where the reasons of every figure go"),
        "require" => {
            list("Kinds that every reading has to speak to, with 0 where one is negligible, and `name`", &word)
        }
        "kinds" => kinds(),
        "units" => map(
            "Units of the course: numbers and known units, in any order: `span: 0.2286 m`, `rpm: 1/60 Hz`",
            &json!({"pattern": r"^[^\s0-9*/^()+\-]+$"}),
            &amount("How large it is"),
        ),
        "decimal" => {
            choice::<DecimalSign>("The decimal sign in what is written into a report; what an author types has a point")
        }
        "constants" => list("Constants of nature (CODATA 2022) to be known by these symbols", &constants()),
        "correlations" => {
            let pattern = r"^\s*correlated\s+\S+\s+\S+\s+[-+−]?[0-9]";
            list(
                "Pairs of readings tied together, each with its correlation coefficient and the reason: `correlated a b 0.8 \"same scale\"`",
                &json!({"type": "string", "pattern": pattern}),
            )
        }
        "instruments" => {
            map("Instruments, each by the word that `with` uses", &word, &json!({"$ref": "#/$defs/instrument"}))
        }
        "expected" => expected(),
        "rules" => of_rules(),
        "words" => of_words(),
        "fixed" => list("What a report cannot change: a key, or one entry as `rules.no-reason`", &fixed()),
        "root" => choice::<bool>("Does the search for course files end here?"),
        other => panic!("{other} is not described"),
    }
}

fn kinds() -> Value {
    let taken = ["reading", "definition", "instrument", "reaction", "repeat", "counting"];
    let clauses = ["with", "exact", "stated", "without", "correlated"];
    let of_instruments = ["name", "division", "read_to", "ends", "display", "range", "systematic"];
    let taken: Vec<&str> = taken.into_iter().chain(clauses).chain(of_instruments).collect();
    let entry = json!({
        "type": ["object", "null"],
        "properties": {
            "like": {"description": "The kind that it is another word for", "type": "string", "pattern": WORD},
            "says": {"description": "What it is, in a sentence", "type": ["string", "number"], "minLength": 1},
        },
        "additionalProperties": false,
    });
    map(
        "Kinds of the course, or words of its own for known kinds",
        &json!({"pattern": WORD, "not": {"enum": taken}}),
        &entry,
    )
}

fn instrument() -> Value {
    json!({
        "description": "An instrument as its data sheet describes it. Besides the keys below, any kind with its amount: `reaction: 0.2 s`",
        "type": ["object", "null"],
        "properties": {
            "name": {"description": "What it is called in a report", "type": ["string", "number"], "minLength": 1},
            "division": amount("One division of an analogue scale, with its unit; needs `read_to`"),
            "read_to": {
                "description": "The share of a division that the eye can settle: 1/10 where divisions are wide, 1/4 where they are as close as millimetres",
                "anyOf": [
                    {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
                    {"type": "string", "pattern": r"^[0-9.(][0-9./×*·()\s]*$"},
                ],
            },
            "ends": {"description": "How many ends of a length are read", "enum": [1, 2, "1", "2"]},
            "display": amount("One step of a digital display, with its unit"),
            "range": {"description": "From where to where it reads: `0 V to 20 V`", "type": "string", "pattern": "^.+ to .+$"},
            "systematic": choice::<bool>("Are its instrument errors the same in all readings taken with it?"),
        },
        "propertyNames": {"pattern": WORD, "not": {"enum": ["repeat", "counting"]}},
        "additionalProperties": amount("How much of that kind it gives a reading: `0.5 % + 2 digits`"),
        "dependentRequired": {"division": ["read_to"], "read_to": ["division"], "ends": ["division"]},
        "dependentSchemas": {"division": {"not": {"required": ["display"]}}},
    })
}

fn constants() -> Value {
    let symbols: Vec<&str> = CONSTANTS.iter().map(|constant| constant.symbol).collect();
    json!({"anyOf": [{"enum": symbols}, {"type": "string", "pattern": "^[μµεϵαγλσΦħ]"}]})
}

fn expected() -> Value {
    let entry = json!({
        "type": ["object", "null"],
        "properties": {
            "value": {
                "description": "What it should come to: `9.81 ± 0.02 m/s^2`",
                "anyOf": [{"type": "number"}, {"type": "string", "pattern": AMOUNT}],
            },
            "required": choice::<bool>("Must every report have it?"),
        },
        "additionalProperties": false,
    });
    map("Quantities that a report of the course ought to have, by their symbols", &json!({"pattern": SYMBOL}), &entry)
}

fn of_rules() -> Value {
    let levels = words::<Level>();
    let about = |rule: &meniscus::check::Rule| {
        let severity = format!("{:?}", rule.severity).to_lowercase();
        json!({"description": format!("{} (default: {severity})", rule.page.does), "enum": levels})
    };
    let rules: Map<String, Value> = rules().iter().map(|rule| (rule.name.to_owned(), about(rule))).collect();
    json!({
        "description": "How loudly each rule speaks",
        "type": ["object", "null"],
        "properties": rules,
        "additionalProperties": false,
    })
}

fn of_words() -> Value {
    let about = |text: &str| json!({"description": format!("In place of: {text}"), "type": ["string", "number"], "minLength": 1});
    let all: Map<String, Value> = (NOTATION.words)().into_iter().map(|(word, text)| (word, about(text))).collect();
    json!({
        "description": "What is written into a report, in the course's language; parts in braces as in the text that is replaced",
        "type": ["object", "null"],
        "properties": all,
        "additionalProperties": false,
    })
}

fn fixed() -> Value {
    let keys: Vec<&str> = KEYS.into_iter().filter(|key| !matches!(*key, "fixed" | "root")).collect();
    json!({"anyOf": [{"enum": keys}, {"type": "string", "pattern": format!("^(?:{})\\..+$", MAPS.join("|"))}]})
}
