//! A reader of ISO/IEC 14977 grammars, with a recogniser and a writer of random sentences. For tests: a
//! mistake in a grammar stops it.

use std::collections::{BTreeSet, HashMap, HashSet};

/// One side of a rule.
#[derive(Debug)]
pub(crate) enum Node {
    Text(String),
    /// What is said in words between `? ?`.
    Said(String),
    Rule(String),
    All(Vec<Node>),
    /// A choice; the number tells it from the other choices.
    Any(usize, Vec<Node>),
    Many(Box<Node>),
    Maybe(Box<Node>),
    Except(Box<Node>, Box<Node>),
}

pub(crate) struct Grammar {
    pub(crate) rules: HashMap<String, Node>,
}

/// What `? ?` means: characters to choose among and to know again, or a look at what follows.
pub(crate) enum Said {
    Reads { knows: fn(char) -> bool, samples: &'static str },
    Sees(fn(&str) -> bool),
}

struct Reader<'t> {
    rest: &'t str,
    choices: usize,
}

impl Grammar {
    pub(crate) fn read(text: &str) -> Self {
        let mut reader = Reader { rest: text, choices: 0 };
        let mut rules = HashMap::new();
        reader.skip();
        while !reader.rest.is_empty() {
            let name = reader.name();
            reader.wants("=");
            let side = reader.any();
            reader.wants(";");
            assert!(rules.insert(name.clone(), side).is_none(), "two rules of the name {name}");
        }
        Self { rules }
    }

    fn rule(&self, name: &str) -> &Node {
        self.rules.get(name).unwrap_or_else(|| panic!("no rule of the name {name}"))
    }

    /// The choices that a sentence of `name` can meet, each with the number of its sides; names not.
    pub(crate) fn choices(&self, name: &str, seen: &mut HashSet<String>, choices: &mut BTreeSet<(usize, usize)>) {
        if seen.insert(name.to_owned()) {
            self.choices_of(self.rule(name), seen, choices);
        }
    }

    fn choices_of(&self, node: &Node, seen: &mut HashSet<String>, choices: &mut BTreeSet<(usize, usize)>) {
        match node {
            Node::Text(_) | Node::Said(_) => {}
            Node::Rule(name) => self.choices(name, seen, choices),
            Node::All(nodes) => nodes.iter().for_each(|node| self.choices_of(node, seen, choices)),
            Node::Any(number, sides) => {
                choices.extend((0..sides.len()).map(|side| (*number, side)));
                sides.iter().for_each(|side| self.choices_of(side, seen, choices));
            }
            Node::Many(node) | Node::Maybe(node) | Node::Except(node, _) => self.choices_of(node, seen, choices),
        }
    }
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
        while let Some(comment) = self.rest.strip_prefix("(*") {
            self.rest = comment.split_once("*)").expect("a comment's end").1.trim_start();
        }
    }

    fn takes(&mut self, sign: &str) -> bool {
        let rest = self.rest.strip_prefix(sign);
        self.rest = rest.unwrap_or(self.rest);
        self.skip();
        rest.is_some()
    }

    fn wants(&mut self, sign: &str) {
        assert!(self.takes(sign), "{sign} is wanted before {:.60}", self.rest);
    }

    /// A name may hold blanks and an apostrophe.
    fn name(&mut self) -> String {
        let end = self.rest.find(|c: char| !(c.is_alphanumeric() || c == ' ' || c == '\'')).unwrap_or(self.rest.len());
        let (name, rest) = self.rest.split_at(end);
        self.rest = rest;
        self.skip();
        assert!(!name.is_empty(), "a name is wanted before {:.60}", self.rest);
        name.trim().to_owned()
    }

    fn any(&mut self) -> Node {
        let mut sides = vec![self.all()];
        while self.takes("|") {
            sides.push(self.all());
        }
        if sides.len() == 1 {
            return sides.remove(0);
        }
        self.choices += 1;
        Node::Any(self.choices, sides)
    }

    fn all(&mut self) -> Node {
        let mut nodes = vec![self.except()];
        while self.takes(",") {
            nodes.push(self.except());
        }
        Node::All(nodes)
    }

    fn except(&mut self) -> Node {
        let node = self.one();
        if self.takes("-") { Node::Except(Box::new(node), Box::new(self.one())) } else { node }
    }

    fn one(&mut self) -> Node {
        for (open, close) in [("(", ")"), ("[", "]"), ("{", "}")] {
            if self.takes(open) {
                let inner = self.any();
                self.wants(close);
                return match open {
                    "(" => inner,
                    "[" => Node::Maybe(Box::new(inner)),
                    _ => Node::Many(Box::new(inner)),
                };
            }
        }
        for quote in ['"', '\'', '?'] {
            if let Some((text, rest)) = self.rest.strip_prefix(quote).and_then(|rest| rest.split_once(quote)) {
                self.rest = rest;
                self.skip();
                return if quote == '?' { Node::Said(text.trim().into()) } else { Node::Text(text.into()) };
            }
        }
        Node::Rule(self.name())
    }
}

/// Places in a text of less than 128 bytes, a bit each.
type Places = u128;

/// Says of one text whether it is a sentence: for each rule and place, where it can end.
pub(crate) struct Recogniser<'g> {
    grammar: &'g Grammar,
    said: &'g dyn Fn(&str) -> Said,
    known: HashMap<(&'g str, usize), Places>,
}

impl<'g> Recogniser<'g> {
    pub(crate) fn new(grammar: &'g Grammar, said: &'g dyn Fn(&str) -> Said) -> Self {
        Self { grammar, said, known: HashMap::new() }
    }

    pub(crate) fn takes(&mut self, rule: &str, text: &str) -> bool {
        assert!(text.len() < 128, "longer than this recogniser can see");
        self.known.clear();
        let (rule, _) = self.grammar.rules.get_key_value(rule).expect("a rule of the grammar");
        self.rule(rule, text, 0) >> text.len() & 1 == 1
    }

    fn rule(&mut self, name: &'g str, text: &str, at: usize) -> Places {
        if let Some(ends) = self.known.get(&(name, at)) {
            return *ends;
        }
        let ends = self.ends(self.grammar.rule(name), text, at);
        self.known.insert((name, at), ends);
        ends
    }

    fn ends(&mut self, node: &'g Node, text: &str, at: usize) -> Places {
        let (here, rest) = (1 << at, &text[at..]);
        match node {
            Node::Text(literal) if rest.starts_with(literal.as_str()) => here << literal.len(),
            Node::Text(_) => 0,
            Node::Said(words) => match (self.said)(words) {
                Said::Reads { knows, .. } => {
                    rest.chars().next().filter(|&c| knows(c)).map_or(0, |c| here << c.len_utf8())
                }
                Said::Sees(holds) => here * u128::from(holds(rest)),
            },
            Node::Rule(name) => self.rule(name, text, at),
            Node::All(nodes) => nodes.iter().fold(here, |from, node| self.each(node, text, from)),
            Node::Any(_, sides) => sides.iter().fold(0, |ends, side| ends | self.ends(side, text, at)),
            Node::Maybe(inner) => here | self.ends(inner, text, at),
            Node::Many(inner) => {
                let (mut all, mut new) = (here, here);
                while new != 0 {
                    new = self.each(inner, text, new) & !all;
                    all |= new;
                }
                all
            }
            // The exception is of whole readings: `in_1` is no `in`.
            Node::Except(inner, not) => self.ends(inner, text, at) & !self.ends(not, text, at),
        }
    }

    fn each(&mut self, node: &'g Node, text: &str, from: Places) -> Places {
        let mut ends = 0;
        let mut left = from;
        while left != 0 {
            ends |= self.ends(node, text, left.trailing_zeros() as usize);
            left &= left - 1;
        }
        ends
    }
}
