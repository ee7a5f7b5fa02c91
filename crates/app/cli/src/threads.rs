//! Work spread over threads. A result never depends on how many there are.

use shortblock_cycle::Executor;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// So many threads, each taking the next piece when it is done with one.
#[derive(Debug, Clone, Copy)]
pub struct Threads(usize);

impl Threads {
    /// As many as told, else one for each processor that may be used.
    pub fn new(told: Option<u16>) -> Self {
        let there = || thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self(told.map_or_else(there, usize::from))
    }
}

impl Executor for Threads {
    fn for_each(&self, count: usize, work: &(dyn Fn(usize) + Sync)) {
        let next = AtomicUsize::new(0);
        let take = || {
            loop {
                let piece = next.fetch_add(1, Ordering::Relaxed);
                if piece >= count {
                    break;
                }
                work(piece);
            }
        };
        thread::scope(|scope| {
            for _ in 1..self.0.min(count) {
                scope.spawn(take);
            }
            take();
        });
    }

    fn threads(&self) -> usize {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_piece_is_done_once() {
        for threads in [1, 2, 7] {
            let seen: Vec<AtomicUsize> = (0..100).map(|_| AtomicUsize::new(0)).collect();
            let work = |piece: usize| {
                seen[piece].fetch_add(1, Ordering::Relaxed);
            };
            Threads::new(Some(threads)).for_each(seen.len(), &work);
            assert!(seen.iter().all(|times| times.load(Ordering::Relaxed) == 1));
            Threads::new(Some(threads)).for_each(0, &|_| unreachable!("there is no piece"));
        }
    }
}
