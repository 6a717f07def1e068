//! Inputs meant to make a parser blow up: on a thread's small stack, and in a time that only a cost
//! beyond the linear would need.

use std::time::{Duration, Instant};

use super::*;

/// So deep brackets may be nested, and so many faults are kept of one item.
const DEEPEST: usize = 128;
const MOST_FAULTS: usize = 50;

/// What is read of `~{inner}` on a stack of two megabytes.
fn survive(inner: String) -> Parsed {
    let run = move || {
        let start = Instant::now();
        let parsed = read(&inner);
        (parsed, start.elapsed())
    };
    let thread = std::thread::Builder::new().stack_size(2 << 20).spawn(run).unwrap();
    let (parsed, time) = thread.join().unwrap();
    // A step for each pair of characters would take minutes.
    assert!(time < Duration::from_secs(10), "{time:?}");
    assert!(parsed.faults.len() <= MOST_FAULTS);
    parsed
}

#[test]
fn long_but_sound() {
    for inner in [
        format!("x = a{}", " + a".repeat(20_000)),
        format!("x = a{}", " * 1.0000001".repeat(20_000)),
        format!("x = {}a", "-".repeat(20_001)),
        format!("x = mean({}a)", "a, ".repeat(20_000)),
        format!("x = {}1.3 s", "1.32, ".repeat(20_000)),
        format!("x = 1 cm{}", "; reading 0.1 mm \"eye\"".repeat(20_000)),
        format!("x = 1 cm; reading 1 mm \"{}\"", "word ".repeat(20_000)),
        format!("x = 1 cm; reading 1 mm{}", " + 1 mm".repeat(20_000)),
        format!("x = 1 m{}", "*m".repeat(20_000)),
        format!("{} = 1 cm", "a".repeat(200_000)),
        format!("x{} = 1 cm", "'".repeat(100_000)),
        format!("x{}= 1 cm", " ".repeat(200_000)),
    ] {
        let start: String = inner.chars().take(40).collect();
        let parsed = survive(inner);
        assert!(parsed.item.is_some() && parsed.faults.is_empty(), "{start}");
    }
}

#[test]
fn too_long_for_what_it_is() {
    for inner in [
        format!("x = {} cm", "7".repeat(200_000)),
        format!("x = 0.{} cm", "3".repeat(200_000)),
        format!("x = 1e{} cm", "9".repeat(200_000)),
        format!("x = 1 {}", "m ".repeat(20_000)),
        format!("x{} = 1 cm", "_1".repeat(20_000)),
        format!("x = 1{} cm", " ± 1".repeat(20_000)),
        format!("x{}", " against x".repeat(20_000)),
        format!("x{}", " in cm as short".repeat(20_000)),
        format!("x = 1{}", ",1".repeat(20_000)),
        format!("x = 1{}", " 000".repeat(20_000)),
        format!("x = 1{} s", " s, 1".repeat(20_000)),
        format!("x = a{}", "+2m".repeat(20_000)),
        format!("x = a + 2m{}", "*m".repeat(20_000)),
        format!("x = 12{}", ":30".repeat(20_000)),
        format!("x = 5 h{}", " + 5 h".repeat(20_000)),
        format!("x {}", "\"a\" ".repeat(20_000)),
        format!("x {}", "“".repeat(20_000)),
        format!("x {}", "„\"“".repeat(20_000)),
        format!("x = a{}", "(".repeat(20_000)),
        format!("x{} = 1 cm", "\u{301}".repeat(20_000)),
        format!("x = 5{}", "[".repeat(20_000)),
        ";".repeat(100_000),
        "\0".repeat(100_000),
    ] {
        let start: String = inner.chars().take(40).collect();
        let parsed = survive(inner);
        let plain = parsed.faults.iter().all(|fault| fault.kind.is_plain());
        assert!((parsed.item.is_none() || plain) && !parsed.faults.is_empty(), "{start}");
        let found = parsed.faults.iter().map(|fault| match &fault.kind {
            FaultKind::Expected { found, .. } => found.len(),
            _ => 0,
        });
        assert!(found.max() < Some(200), "{start}");
    }
    let semicolons = survive(format!("x = 1 cm{}", ";".repeat(100_000)));
    assert_eq!(semicolons.faults.len(), MOST_FAULTS);
}

/// Each is one level too deep, or a hundred thousand; the fault stands at the first that is too many.
#[test]
fn too_deep() {
    // An opener, what stands in the middle, a closer, and which byte of the opener is one too many.
    for (opener, deep, closer, byte) in
        [("(", "x", ")", 0), ("sqrt(", "x", ")", 4), ("-(", "x", ")", 1), ("x^(", "x", ")", 1), ("x^", "x", "", 1)]
    {
        let nested = |n| format!("y = {}{deep}{}", opener.repeat(n), closer.repeat(n));
        assert!(survive(nested(DEEPEST)).item.is_some(), "{opener}");
        for depth in [DEEPEST + 1, 20_000] {
            let parsed = survive(nested(depth));
            let [Fault { kind: FaultKind::TooDeep { most: DEEPEST }, span }] = parsed.faults.as_slice() else {
                panic!("{opener}: {:?}", parsed.faults)
            };
            assert_eq!(span.start, "~{y = ".len() + DEEPEST * opener.len() + byte, "{opener}");
        }
    }
    let amount = |n| format!("x = 1 cm; reading {}1{} mm", "(".repeat(n), ")".repeat(n));
    assert!(survive(amount(DEEPEST)).faults.is_empty());
    assert!(matches!(survive(amount(50_000)).faults.as_slice(), [Fault { kind: FaultKind::TooDeep { .. }, .. }]));
}
