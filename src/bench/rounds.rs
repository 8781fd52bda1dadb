//! Whole rounds, one after the other, in a thread of their own: while all of the journal is read,
//! shown and published, the next save is shown at a glance.

use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result, anyhow};

use super::Heard;
use super::keeping::{Basis, Keeping, Seen};

/// What a round comes to, step by step.
pub(super) enum Step {
    /// All is on show that was saved before the round began.
    Seen(Box<Seen>),
    /// The site is up to date: so many files changed, and these were left alone.
    Published { changed: usize, left: Vec<String> },
    /// A step failed; what stood before it still stands.
    Failed(anyhow::Error),
    /// The round has come to its end, and hands over what the next glances are made of.
    Ended(Option<Box<Basis>>),
}

/// The thread, to be told when to begin.
pub(super) struct Rounds {
    orders: Sender<usize>,
}

impl Rounds {
    /// Begins with publishing what `keeping` has just shown.
    pub(super) fn begin(keeping: Keeping, heard: Sender<Heard>) -> Result<Rounds> {
        // A glance must not stand in line behind a round: the rounds have threads of their own, and step
        // back where there is more to do than the machine has processors for.
        let pool = rayon::ThreadPoolBuilder::new().thread_name(|n| format!("round {n}"));
        let pool = pool.start_handler(|_| step_back()).build()?;
        let (orders, waiting) = channel();
        let work = move || {
            let _end = End(heard.clone());
            pool.install(move || work(keeping, &waiting, &heard));
        };
        std::thread::Builder::new().name("rounds".into()).spawn(work).context("cannot begin to publish")?;
        Ok(Rounds { orders })
    }

    /// Has a round done for the saves up to the one of this number.
    pub(super) fn order(&self, upto: usize) {
        // The thread ends with the process, which nobody waits for then.
        let _ = self.orders.send(upto);
    }
}

/// Says that no more rounds will come, whatever ended them: a bench that goes on without them would show
/// what is no longer so.
struct End(Sender<Heard>);

impl Drop for End {
    fn drop(&mut self) {
        let _ = self.0.send(Heard::Lost(anyhow!("the site can no longer be brought up to date")));
    }
}

/// Has the calling thread wait for others; where the system does not grant it, it does not.
fn step_back() {
    #[cfg(target_os = "linux")]
    let _ = rustix::process::nice(5);
}

/// Works until nobody listens any more.
fn work(mut keeping: Keeping, orders: &Receiver<usize>, heard: &Sender<Heard>) {
    let tell = |step: Step| heard.send(Heard::Step(step)).is_ok();
    let publish = |keeping: &mut Keeping| {
        tell(match keeping.publish() {
            Ok(written) => Step::Published { changed: written.written + written.deleted, left: written.left },
            Err(fault) => Step::Failed(fault),
        }) && tell(Step::Ended(keeping.hand_over().map(Box::new)))
    };
    let mut listening = publish(&mut keeping);
    while let (true, Ok(upto)) = (listening, orders.recv()) {
        listening = match keeping.read().and_then(|checked| keeping.see(checked, upto)) {
            Ok(seen) => tell(Step::Seen(Box::new(seen))) && publish(&mut keeping),
            Err(fault) => tell(Step::Failed(fault)) && tell(Step::Ended(None)),
        };
    }
}
