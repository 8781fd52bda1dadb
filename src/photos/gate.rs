//! The memory budget: who wants to work on a photo asks here first.

use std::sync::{Condvar, Mutex, PoisonError};

/// What a worker may keep between two photos without asking, so that buffers need not be made anew.
pub(super) const KEEP: u64 = 16 << 20;

/// Hands out bytes of a fixed budget.
pub(super) struct Gate {
    total: u64,
    free: Mutex<u64>,
    given_back: Condvar,
}

/// Bytes taken from a gate; given back when it is dropped.
pub(super) struct Share<'a> {
    gate: &'a Gate,
    bytes: u64,
}

impl Gate {
    /// A gate for `workers` that keep [`KEEP`] each; at least that much more is handed out.
    pub(super) fn new(budget: u64, workers: usize) -> Gate {
        let total = budget.saturating_sub(KEEP * workers as u64).max(KEEP);
        Gate { total, free: Mutex::new(total), given_back: Condvar::new() }
    }

    /// The most that one photo may take.
    pub(super) fn total(&self) -> u64 {
        self.total
    }

    /// Takes `bytes`, waiting until they are free. The caller must hold no other share, or two
    /// could wait for each other; `None` if it is more than the whole budget.
    pub(super) fn take(&self, bytes: u64) -> Option<Share<'_>> {
        if bytes > self.total {
            return None;
        }
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut free =
            self.given_back.wait_while(free, |free| *free < bytes).unwrap_or_else(PoisonError::into_inner);
        *free -= bytes;
        Some(Share { gate: self, bytes })
    }
}

impl Share<'_> {
    /// Makes the share `bytes` large without waiting; whether that was possible.
    pub(super) fn grow(&mut self, bytes: u64) -> bool {
        let mut free = self.gate.free.lock().unwrap_or_else(PoisonError::into_inner);
        let more = bytes.saturating_sub(self.bytes);
        if *free < more {
            return false;
        }
        *free -= more;
        self.bytes += more;
        true
    }
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        *self.gate.free.lock().unwrap_or_else(PoisonError::into_inner) += self.bytes;
        self.gate.given_back.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicU64, Ordering};
    use std::thread;

    use super::*;

    #[test]
    fn never_more_than_the_budget_is_out() {
        let gate = Gate::new(100 << 20, 2);
        let (out, most) = (AtomicU64::new(0), AtomicU64::new(0));
        thread::scope(|scope| {
            for worker in 1..=4u64 {
                let (gate, out, most) = (&gate, &out, &most);
                scope.spawn(move || {
                    for round in 0..50 {
                        let bytes = ((worker * 7 + round) % 60 + 1) << 20;
                        let share = gate.take(bytes).unwrap();
                        most.fetch_max(out.fetch_add(bytes, Ordering::SeqCst) + bytes, Ordering::SeqCst);
                        thread::yield_now();
                        out.fetch_sub(bytes, Ordering::SeqCst);
                        drop(share);
                    }
                });
            }
        });
        assert!(most.into_inner() <= gate.total());
        assert!(gate.take(gate.total()).is_some(), "all was given back");
    }

    #[test]
    fn more_than_the_budget_is_refused_and_growing_never_waits() {
        let gate = Gate::new(64 << 20, 2);
        assert!(gate.take(gate.total() + 1).is_none());
        let mut share = gate.take(10).unwrap();
        assert!(!share.grow(gate.total() + 1));
        assert!(share.grow(gate.total()));
        drop(share);
        assert!(gate.take(gate.total()).is_some());
    }
}
