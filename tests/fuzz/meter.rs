//! Counts what each thread has allocated, so that an input that asks for too much is found without a limit on the
//! whole process.
#![expect(
    unsafe_code,
    reason = "an allocator cannot be written without; it only counts, and asks the system's"
)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

thread_local! {
    static LIVE: Cell<isize> = const { Cell::new(0) };
    static PEAK: Cell<isize> = const { Cell::new(0) };
}

struct Meter;

fn count(bytes: isize) {
    // While a thread ends there is nothing left to count in.
    let _ = LIVE.try_with(|live| {
        let now = live.get() + bytes;
        live.set(now);
        let _ = PEAK.try_with(|peak| peak.set(peak.get().max(now)));
    });
}

// SAFETY: every request goes to the system's allocator as it came.
unsafe impl GlobalAlloc for Meter {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        count(layout.size() as isize);
        // SAFETY: as the caller promised.
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        count(-(layout.size() as isize));
        // SAFETY: as the caller promised.
        unsafe { System.dealloc(at, layout) }
    }
}

#[global_allocator]
static METER: Meter = Meter;

/// Runs something and says the most bytes that this thread held at once meanwhile, beyond what it held before.
pub fn peak_of<T>(run: impl FnOnce() -> T) -> (T, u64) {
    let before = LIVE.get();
    PEAK.set(before);
    let done = run();
    (done, (PEAK.get() - before).max(0) as u64)
}

#[test]
fn the_meter_sees_what_is_asked_for() {
    let (len, peak) = peak_of(|| {
        drop(vec![1u8; 3 << 20]);
        vec![1u8; 1 << 20].len()
    });
    assert_eq!(len, 1 << 20);
    assert!((3 << 20..4 << 20).contains(&peak), "{peak}");
}
