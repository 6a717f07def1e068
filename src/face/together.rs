//! Work on many things at once, handed over in their order.

use std::num::NonZero;
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;

/// So many results of one thread wait at most for the ones before them: memory does not grow with the number of things.
const AHEAD: usize = 4;

/// Does `work` on each thing, on all processors where there are several things, and hands the results over one by one,
/// in order. The first failure of `take` ends it.
pub(super) fn in_order<'t, T: Sync, R: Send, E>(
    things: &'t [T],
    work: impl Fn(&'t T) -> R + Sync,
    mut take: impl FnMut(&'t T, R) -> Result<(), E>,
) -> Result<(), E> {
    // To ask for the number of processors takes reading files.
    let threads = if things.len() < 2 { 1 } else { thread::available_parallelism().map_or(1, NonZero::get) };
    let threads = threads.min(things.len());
    if threads < 2 {
        return things.iter().try_for_each(|thing| take(thing, work(thing)));
    }
    let work = &work;
    thread::scope(|scope| {
        // Each thread takes every nth thing of n threads, so that order needs no sorting.
        let results: Vec<Receiver<R>> = (0..threads)
            .map(|first| {
                let (give, results) = sync_channel(AHEAD);
                scope.spawn(move || {
                    // Nobody receives any more after a failure.
                    things.iter().skip(first).step_by(threads).try_for_each(|thing| give.send(work(thing)))
                });
                results
            })
            .collect();
        let mut turns = results.iter().cycle();
        things.iter().try_for_each(|thing| match turns.next().map(Receiver::recv) {
            Some(Ok(result)) => take(thing, result),
            // A thread that ended early takes the process with it, when the scope ends.
            _ => Ok(()),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_order_and_the_first_failure_ends_it() {
        let things: Vec<u32> = (0..100).collect();
        let mut taken = Vec::new();
        let all: Result<(), ()> = in_order(
            &things,
            |n| n * n,
            |&n, square| {
                taken.push((n, square));
                Ok(())
            },
        );
        assert_eq!((all, taken), (Ok(()), things.iter().map(|&n| (n, n * n)).collect()));
        let mut last = 0;
        let failed = in_order(
            &things,
            |&n| n,
            |_, n| {
                last = n;
                if n == 41 { Err(n) } else { Ok(()) }
            },
        );
        assert_eq!((failed, last), (Err(41), 41));
        assert_eq!(in_order(&[] as &[u32], |&n| n, |_, n| Err(n)), Ok(()));
    }
}
