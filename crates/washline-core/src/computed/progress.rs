//! How far this process has come with working drinks out: for whoever waits for many.

use std::sync::atomic::{AtomicUsize, Ordering};

static BEGUN: AtomicUsize = AtomicUsize::new(0);
static DONE: AtomicUsize = AtomicUsize::new(0);

/// How many drinks this process has worked out, and how many it has set out to; of others than those that are told
/// beforehand the second is as large as the first. For show only: nothing hangs on it.
#[must_use]
pub fn progress() -> (usize, usize) {
    let done = DONE.load(Ordering::Relaxed);
    (done, BEGUN.load(Ordering::Relaxed).max(done))
}

/// So many more are going to be worked out.
pub(crate) fn expect(drinks: usize) {
    BEGUN.fetch_add(drinks, Ordering::Relaxed);
}

/// One more is.
pub(super) fn one_more() {
    DONE.fetch_add(1, Ordering::Relaxed);
}
