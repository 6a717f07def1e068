//! What tells a finding from others when the report has been edited elsewhere (SARIF 2.1.0, 3.27.17).

use std::collections::BTreeMap;

use serde::Serialize;

use crate::check::Finding;
use crate::report::Report;
use crate::span::{Lines, Span};

/// A result's fingerprints; the number is that of the method, which grows when it gives other values.
#[derive(Debug, Serialize)]
pub(super) struct PartialFingerprints {
    #[serde(rename = "ruleAndItem/v1")]
    rule_and_item: String,
}

/// The fingerprints of one report's findings. What a line's number is does not enter them, nor what stands about the
/// item: only the rule, the text that it speaks of, and which one it is among findings that are equal in both.
pub(super) struct Fingerprints<'r> {
    source: &'r str,
    items: Vec<Span>,
    lines: Lines<'r>,
    /// By rule and by the item or line that it speaks of: a line of megabytes may have as many findings, and is read
    /// once a rule.
    hashes: BTreeMap<(&'static str, usize, usize), u64>,
    seen: BTreeMap<u64, usize>,
}

impl<'r> Fingerprints<'r> {
    pub(super) fn new(report: &'r Report<'_>) -> Self {
        let source = report.document.source;
        let items = report.document.places.iter().map(|place| place.span).collect();
        Self { source, items, lines: Lines::new(source), hashes: BTreeMap::new(), seen: BTreeMap::new() }
    }

    /// To be asked for in the order of the findings.
    pub(super) fn of(&mut self, finding: &Finding) -> PartialFingerprints {
        let subject = self.subject(finding.span.start);
        let known = self.hashes.entry((finding.rule, subject.start, subject.end));
        let hash = *known.or_insert_with(|| hash(finding.rule, subject.of(self.source)));
        let occurrence = self.seen.entry(hash).or_default();
        *occurrence += 1;
        PartialFingerprints { rule_and_item: format!("{hash:016x}:{occurrence}") }
    }

    /// The item that a place lies in, or its line.
    fn subject(&self, offset: usize) -> Span {
        let before = self.items.partition_point(|item| item.start <= offset);
        let item = before.checked_sub(1).and_then(|number| self.items.get(number));
        match item.filter(|item| offset <= item.end) {
            Some(item) => *item,
            None => self.lines.line(self.lines.position(offset).line),
        }
    }
}

/// Of a rule and of the words that it speaks of, whatever blanks stand between them.
fn hash(rule: &str, text: &str) -> u64 {
    let words = std::iter::once(rule).chain(text.split_whitespace());
    words.fold(OFFSET_BASIS, |hash, word| fnv1a(fnv1a(hash, word.as_bytes()), b" "))
}

/// The 64 bit values of FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, The FNV Non-Cryptographic Hash Algorithm,
/// clause 5; from memory, held to published values below).
const OFFSET_BASIS: u64 = 0xcbf2_9ce4_8422_2325;
const PRIME: u64 = 0x0000_0100_0000_01b3;

fn fnv1a(hash: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(hash, |hash, &byte| (hash ^ u64::from(byte)).wrapping_mul(PRIME))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Test vectors of the draft named above, its appendix; from memory.
    #[test]
    fn the_hash_is_fnv_1a() {
        assert_eq!(fnv1a(OFFSET_BASIS, b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv1a(OFFSET_BASIS, b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fnv1a(OFFSET_BASIS, b"foobar"), 0x8594_4171_f739_67e8);
    }
}
