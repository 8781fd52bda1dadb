//! The memory budget: a worker reserves what its photo takes before it decodes it.

use std::sync::{Condvar, Mutex, PoisonError};

/// What a worker may keep between two photos without asking, so that buffers need not be made anew.
pub(super) const RETAINED: u64 = 16 << 20;

/// Hands out bytes of a fixed budget.
pub(super) struct MemoryBudget {
    total: u64,
    free: Mutex<u64>,
    given_back: Condvar,
}

/// Bytes of a budget; given back when it is dropped.
pub(super) struct Reservation<'a> {
    budget: &'a MemoryBudget,
    bytes: u64,
}

impl MemoryBudget {
    /// A budget for `workers` that keep [`RETAINED`] each; at least that much more is handed out.
    pub(super) fn new(budget: u64, workers: usize) -> MemoryBudget {
        let total = budget.saturating_sub(RETAINED * workers as u64).max(RETAINED);
        MemoryBudget { total, free: Mutex::new(total), given_back: Condvar::new() }
    }

    /// The most that one photo may take.
    pub(super) fn total(&self) -> u64 {
        self.total
    }

    /// Takes `bytes`, waiting until they are free. The caller must hold no other reservation, or two
    /// could wait for each other; `None` if it is more than the whole budget.
    pub(super) fn reserve(&self, bytes: u64) -> Option<Reservation<'_>> {
        if bytes > self.total {
            return None;
        }
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut free =
            self.given_back.wait_while(free, |free| *free < bytes).unwrap_or_else(PoisonError::into_inner);
        *free -= bytes;
        Some(Reservation { budget: self, bytes })
    }
}

impl Reservation<'_> {
    /// Makes the reservation `bytes` large without waiting; whether that was possible.
    pub(super) fn grow(&mut self, bytes: u64) -> bool {
        let mut free = self.budget.free.lock().unwrap_or_else(PoisonError::into_inner);
        let more = bytes.saturating_sub(self.bytes);
        if *free < more {
            return false;
        }
        *free -= more;
        self.bytes += more;
        true
    }
}

impl Drop for Reservation<'_> {
    fn drop(&mut self) {
        *self.budget.free.lock().unwrap_or_else(PoisonError::into_inner) += self.bytes;
        self.budget.given_back.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicU64, Ordering};
    use std::thread;

    use super::*;

    #[test]
    fn never_more_than_the_budget_is_out() {
        let budget = MemoryBudget::new(100 << 20, 2);
        let (out, most) = (AtomicU64::new(0), AtomicU64::new(0));
        thread::scope(|scope| {
            for worker in 1..=4u64 {
                let (budget, out, most) = (&budget, &out, &most);
                scope.spawn(move || {
                    for round in 0..50 {
                        let bytes = ((worker * 7 + round) % 60 + 1) << 20;
                        let reservation = budget.reserve(bytes).unwrap();
                        most.fetch_max(out.fetch_add(bytes, Ordering::SeqCst) + bytes, Ordering::SeqCst);
                        thread::yield_now();
                        out.fetch_sub(bytes, Ordering::SeqCst);
                        drop(reservation);
                    }
                });
            }
        });
        assert!(most.into_inner() <= budget.total());
        assert!(budget.reserve(budget.total()).is_some(), "all was given back");
    }

    #[test]
    fn more_than_the_budget_is_refused_and_growing_never_waits() {
        let budget = MemoryBudget::new(64 << 20, 2);
        assert!(budget.reserve(budget.total() + 1).is_none());
        let mut reservation = budget.reserve(10).unwrap();
        assert!(!reservation.grow(budget.total() + 1));
        assert!(reservation.grow(budget.total()));
        drop(reservation);
        assert!(budget.reserve(budget.total()).is_some());
    }
}
