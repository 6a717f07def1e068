//! Random sentences of a grammar, the same for the same seed on every machine.

use std::collections::{BTreeSet, HashMap};

use crate::ebnf::{Grammar, Node, Said};

/// A small generator of random numbers (xorshift64*).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let high = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33;
        usize::try_from(high).unwrap() % bound
    }

    pub(crate) fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}

pub(crate) struct Writer<'g> {
    grammar: &'g Grammar,
    said: &'g dyn Fn(&str) -> Said,
    /// How many rules deep the shallowest sentence of a rule is.
    depths: HashMap<&'g str, usize>,
    random: Random,
    longest: usize,
    /// The sides of choices that the last sentence took.
    pub(crate) taken: BTreeSet<(usize, usize)>,
    /// Those that any sentence of use took; the others come first.
    pub(crate) ever: BTreeSet<(usize, usize)>,
}

const UNKNOWN: usize = 1_000;

impl<'g> Writer<'g> {
    pub(crate) fn new(grammar: &'g Grammar, said: &'g dyn Fn(&str) -> Said, seed: u64) -> Self {
        let (depths, taken, ever) = (HashMap::new(), BTreeSet::new(), BTreeSet::new());
        let mut writer = Self { grammar, said, depths, random: Random(seed), longest: 0, taken, ever };
        loop {
            let next: HashMap<_, _> =
                grammar.rules.iter().map(|(name, node)| (name.as_str(), writer.depth(node))).collect();
            if next == writer.depths {
                return writer;
            }
            writer.depths = next;
        }
    }

    fn depth(&self, node: &Node) -> usize {
        match node {
            Node::Text(_) | Node::Said(_) | Node::Many(_) | Node::Maybe(_) => 0,
            Node::Rule(name) => 1 + self.depths.get(name.as_str()).copied().unwrap_or(UNKNOWN),
            Node::All(nodes) => nodes.iter().map(|node| self.depth(node)).max().unwrap_or(0),
            Node::Any(_, sides) => sides.iter().map(|side| self.depth(side)).min().unwrap_or(0),
            Node::Except(node, _) => self.depth(node),
        }
    }

    /// A sentence of `rule`, but for what looks ahead in it: a recogniser has to confirm it. None where it
    /// grew too long.
    pub(crate) fn sentence(&mut self, rule: &str, depth: usize, longest: usize) -> Option<String> {
        self.taken.clear();
        self.longest = longest;
        let mut out = String::new();
        self.write(&self.grammar.rules[rule], depth, &mut out);
        (out.len() <= longest).then_some(out)
    }

    fn write(&mut self, node: &'g Node, depth: usize, out: &mut String) {
        match node {
            _ if out.len() > self.longest => {}
            Node::Text(text) => out.push_str(text),
            Node::Said(words) => {
                if let Said::Reads { samples, .. } = (self.said)(words) {
                    out.extend(samples.chars().nth(self.random.below(samples.chars().count())));
                }
            }
            Node::Rule(name) => self.write(&self.grammar.rules[name.as_str()], depth.saturating_sub(1), out),
            Node::All(nodes) => nodes.iter().for_each(|node| self.write(node, depth, out)),
            Node::Any(number, sides) => {
                let side = self.side(*number, sides, depth);
                self.taken.insert((*number, side));
                self.write(&sides[side], depth, out);
            }
            Node::Maybe(inner) | Node::Many(inner) if self.depth(inner) > depth => {}
            Node::Maybe(inner) if self.random.below(2) == 0 => self.write(inner, depth, out),
            Node::Maybe(_) => {}
            Node::Many(inner) => {
                // Blanks keep words apart; of all else a little, or sentences of sentences would never end.
                let times = if is_blank(inner) { [0, 0, 1, 1, 1, 1, 1, 2] } else { [0, 0, 0, 0, 0, 1, 1, 2] };
                for _ in 0..self.random.one(&times) {
                    self.write(inner, depth.saturating_sub(1), out);
                }
            }
            Node::Except(inner, _) => self.write(inner, depth, out),
        }
    }

    /// A side of a choice that is not too deep; now and then one that no sentence has taken yet.
    fn side(&mut self, number: usize, sides: &[Node], depth: usize) -> usize {
        let fits: Vec<_> = (0..sides.len()).filter(|&side| self.depth(&sides[side]) <= depth).collect();
        let new: Vec<_> = fits.iter().copied().filter(|&side| !self.ever.contains(&(number, side))).collect();
        if fits.is_empty() {
            return (0..sides.len()).min_by_key(|&side| self.depth(&sides[side])).unwrap();
        }
        if new.is_empty() || self.random.below(3) == 0 { self.random.one(&fits) } else { self.random.one(&new) }
    }
}

fn is_blank(node: &Node) -> bool {
    matches!(node, Node::All(nodes) if matches!(&nodes[..], [Node::Rule(name)] if name == "blank"))
}
