//! Work spread over threads. A result never depends on how many there are.

use shortblock_cycle::Executor;
use std::sync::OnceLock;
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

/// What `work` makes of 0, 1 and so on up to `count`, in that order, by all cores.
pub fn side_by_side<T: Send + Sync>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let made: Vec<OnceLock<T>> = (0..count).map(|_| OnceLock::new()).collect();
    Threads::new(None).for_each(count, &|i| {
        made[i].get_or_init(|| work(i));
    });
    made.into_iter().filter_map(OnceLock::into_inner).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn things_come_back_in_their_order() {
        for count in [0, 1, 2, 1000] {
            let squares: Vec<usize> = (0..count).map(|i| i * i).collect();
            assert_eq!(super::side_by_side(count, |i| i * i), squares);
        }
    }

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
