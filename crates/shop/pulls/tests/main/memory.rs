//! How much memory a piece of work takes at most, counted for the thread that does it.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

struct Counted;

thread_local! {
    static NOW: Cell<isize> = const { Cell::new(0) };
    static MOST: Cell<isize> = const { Cell::new(0) };
}

fn count(bytes: isize) {
    // At the end of a thread the counters may be gone; nobody asks for them then.
    let _ = NOW.try_with(|now| {
        now.set(now.get() + bytes);
        let _ = MOST.try_with(|most| most.set(most.get().max(now.get())));
    });
}

// SAFETY: every call goes to the system's allocator with the arguments as they came.
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        count(layout.size() as isize);
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        count(layout.size() as isize);
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, place: *mut u8, layout: Layout) {
        count(-(layout.size() as isize));
        unsafe { System.dealloc(place, layout) }
    }

    unsafe fn realloc(&self, place: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        count(size as isize - layout.size() as isize);
        unsafe { System.realloc(place, layout, size) }
    }
}

#[global_allocator]
static COUNTED: Counted = Counted;

/// Returns what the work returns and the most bytes that it held at a time.
pub fn most_bytes<T>(work: impl FnOnce() -> T) -> (T, usize) {
    let before = NOW.get();
    MOST.set(before);
    let done = work();
    (done, (MOST.get() - before).max(0) as usize)
}
