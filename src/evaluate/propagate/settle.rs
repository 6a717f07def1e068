//! The one pass that gives every node its totals.

use super::{Entry, Node, Propagation, Swept, Totals, added};

/// A list longer than this is stored once and shared.
const SHORT: usize = 32;

/// How many entries all lists together may hold (a third of a gigabyte).
pub(super) const MOST_ENTRIES: usize = 20_000_000;

/// Where a corrected total falls below this part of the block's own, its digits are lost and it is
/// added up again.
const CANCELLED: f64 = 1e-6;

/// What a node hands to its users.
#[derive(Default)]
struct Form {
    alone: Totals,
    /// The number of a block, and the factor it stands with.
    block: Option<(usize, f64)>,
    /// Sorted by node.
    patch: Vec<Entry>,
}

/// A long list, stored once.
struct Block {
    entries: Vec<Entry>,
    total: Totals,
    /// Does it hold correlated variables?
    tied: bool,
}

struct Pass<'p> {
    tape: &'p Propagation,
    /// How many users each node still has before it.
    waiting: Vec<u32>,
    /// How many of its users could meet one another again; of a correlated variable always enough to
    /// keep its name.
    live: Vec<u32>,
    /// What a named node brings in under its name.
    named: Vec<Totals>,
    forms: Vec<Form>,
    blocks: Vec<Block>,
    entries: usize,
}

pub(super) fn totals(tape: &Propagation) -> Vec<Option<Totals>> {
    let count = tape.own.len();
    let (waiting, live) = uses(tape);
    let mut pass = Pass {
        tape,
        waiting,
        live,
        named: vec![Totals::default(); count],
        forms: Vec::with_capacity(count),
        blocks: Vec::new(),
        entries: 0,
    };
    (0..count).map(|index| pass.node(index)).collect()
}

/// Of each node: how many use it, and how many of these uses may meet again further on. A use by
/// a node that nobody uses meets nothing, unless another of its operands can descend from this one.
fn uses(tape: &Propagation) -> (Vec<u32>, Vec<u32>) {
    let mut uses = vec![0u32; tape.own.len()];
    for edge in &tape.edges {
        uses[edge.node.index()] += 1;
    }
    let mut live = uses.clone();
    for user in (0..tape.own.len()).filter(|&user| uses[user] == 0) {
        let operands = tape.operands(at(user));
        let is_source = |node: Node| tape.operands(node).is_empty();
        // The latest operand that is no source may descend from all before it, never the other way round.
        let latest = operands.iter().map(|edge| edge.node).filter(|&node| !is_source(node)).max();
        for edge in operands.iter().filter(|edge| latest.is_none_or(|latest| edge.node >= latest)) {
            live[edge.node.index()] -= 1;
        }
    }
    for (live, _) in live.iter_mut().zip(&tape.tied).filter(|&(_, &tied)| tied) {
        *live = (*live).max(2);
    }
    (uses, live)
}

fn at(index: usize) -> Node {
    Node(u32::try_from(index).unwrap_or(u32::MAX))
}

impl Pass<'_> {
    fn node(&mut self, index: usize) -> Option<Totals> {
        if self.tape.operands(at(index)).is_empty() && self.live[index] <= 1 && self.entries <= MOST_ENTRIES {
            // As half of all nodes: one source of one reading.
            let alone = self.tape.own[index];
            self.forms.push(Form { alone, ..Form::default() });
            return Some(alone);
        }
        let affordable = self.entries <= MOST_ENTRIES;
        let mut form = if affordable { self.gathered(index) } else { Form::default() };
        let total = self.total(&form);
        self.release_operands(index);
        // What has nothing of its own needs no name.
        if self.live[index] > 1 && !form.alone.is_zero() {
            self.named[index] = std::mem::take(&mut form.alone);
            // The newest node has the largest number: the patch stays sorted.
            form.patch.push(Entry { node: at(index), coefficient: 1.0 });
        }
        if self.waiting[index] == 0 {
            form = Form::default();
        } else if form.patch.len() > SHORT {
            form = self.shared(form);
        }
        self.entries += form.patch.len();
        self.forms.push(form);
        affordable.then_some(total)
    }

    /// What the operands hand over, each times its partial derivative.
    fn gathered(&self, index: usize) -> Form {
        let operands = self.tape.operands(at(index));
        let mut form = Form { alone: self.tape.own[index], ..Form::default() };
        let room: usize = operands.iter().map(|edge| self.forms[edge.node.index()].patch.len()).sum();
        if room > 0 {
            // Its own entry may follow.
            form.patch.reserve_exact(room + 1);
        }
        let same = self.have_one_block(operands);
        for &Entry { node, coefficient: p } in operands {
            let operand = &self.forms[node.index()];
            form.alone = form.alone.plus(operand.alone.scaled(p));
            match operand.block {
                Some((block, factor)) if same => {
                    form.block = Some((block, added(form.block.map_or(0.0, |(_, sum)| sum), p * factor)));
                }
                Some((block, factor)) => form.patch.extend(times(&self.blocks[block].entries, p * factor)),
                None => {}
            }
            form.patch.extend(times(&operand.patch, p));
        }
        if operands.len() > 1 {
            tidy(&mut form.patch);
        }
        form
    }

    /// Is there no more than one block among what the operands hand over?
    fn have_one_block(&self, operands: &[Entry]) -> bool {
        if self.blocks.is_empty() {
            return true;
        }
        let mut blocks = operands.iter().filter_map(|edge| self.forms[edge.node.index()].block);
        let first = blocks.next().map(|(block, _)| block);
        blocks.all(|(block, _)| Some(block) == first)
    }

    fn total(&self, form: &Form) -> Totals {
        form.alone.plus(match form.block {
            None if form.patch.is_empty() => return form.alone,
            None => self.sum(&form.patch),
            Some((block, factor)) => self.patched(&self.blocks[block], factor, &form.patch),
        })
    }

    fn sum(&self, entries: &[Entry]) -> Totals {
        let (mut sum, mut tied) = (Totals::default(), Vec::new());
        for &Entry { node, coefficient } in entries {
            let part = Swept { node, sensitivity: coefficient, own: self.named[node.index()] };
            if self.is_tied(node) {
                tied.push(part);
            } else {
                sum = sum.plus(part.totals());
            }
        }
        if tied.is_empty() {
            return sum;
        }
        let ties = &self.tape.ties;
        ties.families(&mut tied).fold(sum, |sum, family| sum.plus(ties.together(family)))
    }

    /// The total of `factor` × block + patch: the block's, corrected where the patch meets it.
    fn patched(&self, block: &Block, factor: f64, patch: &[Entry]) -> Totals {
        // What correlated variables come to is no sum over them, which could be corrected.
        if block.tied {
            return self.sum(&merged(block, factor, patch));
        }
        let mut total = block.total.scaled(factor).plus(self.sum(patch));
        for entry in patch {
            let Ok(found) = block.entries.binary_search_by_key(&entry.node, |e| e.node) else { continue };
            let (inside, c) = (factor * block.entries[found].coefficient, entry.coefficient);
            let own = self.named[entry.node.index()];
            total.limits += (added(inside, c).abs() - inside.abs() - c.abs()) * own.limits;
            total.squares += 2.0 * inside * c * own.squares;
            total.variance += 2.0 * inside * c * own.variance;
            let fourth = |x: f64| (x * x) * (x * x);
            total.fourth += (fourth(added(inside, c)) - fourth(inside) - fourth(c)) * own.fourth;
        }
        let whole = block.total.scaled(factor);
        let lost = total.squares < CANCELLED * whole.squares
            || total.variance < CANCELLED * whole.variance
            || total.fourth < CANCELLED * whole.fourth;
        if lost { self.sum(&merged(block, factor, patch)) } else { total }
    }

    fn is_tied(&self, node: Node) -> bool {
        self.tape.tied[node.index()]
    }

    /// The form with its patch turned into a block of its own. A few correlated variables stay in the patch, so that
    /// the block's total can be used.
    fn shared(&mut self, form: Form) -> Form {
        let (mut tied, mut patch): (Vec<_>, Vec<_>) =
            form.patch.into_iter().partition(|entry| self.is_tied(entry.node));
        if tied.len() > SHORT / 2 {
            patch.append(&mut tied);
            tidy(&mut patch);
        }
        let mut entries = match form.block {
            Some((block, factor)) => merged(&self.blocks[block], factor, &patch),
            None => patch,
        };
        entries.shrink_to_fit();
        self.entries += entries.len();
        let total = self.sum(&entries);
        let holds_tied = entries.iter().any(|entry| self.is_tied(entry.node));
        self.blocks.push(Block { entries, total, tied: holds_tied });
        Form { alone: form.alone, block: Some((self.blocks.len() - 1, 1.0)), patch: tied }
    }

    /// Lets go of the forms that nobody will ask for again.
    fn release_operands(&mut self, index: usize) {
        for edge in self.tape.operands(at(index)) {
            let operand = edge.node.index();
            self.waiting[operand] -= 1;
            if self.waiting[operand] == 0 {
                let form = std::mem::take(&mut self.forms[operand]);
                self.entries -= form.patch.len();
            }
        }
    }
}

fn times(entries: &[Entry], p: f64) -> impl Iterator<Item = Entry> {
    entries.iter().map(move |e| Entry { node: e.node, coefficient: p * e.coefficient })
}

fn merged(block: &Block, factor: f64, patch: &[Entry]) -> Vec<Entry> {
    let mut all: Vec<_> = times(&block.entries, factor).chain(patch.iter().copied()).collect();
    tidy(&mut all);
    all
}

/// Sorted, each node once, nothing that has cancelled.
fn tidy(entries: &mut Vec<Entry>) {
    entries.sort_by_key(|e| e.node);
    entries.dedup_by(|next, kept| {
        let same = next.node == kept.node;
        if same {
            kept.coefficient = added(kept.coefficient, next.coefficient);
        }
        same
    });
    entries.retain(|e| e.coefficient != 0.0);
}
