//! The bench: the site keeps up while the person writes, in a browser that shows every change.
//!
//! The journal is followed by [`Follower`]. A saved log is shown at a glance: its build alone is read
//! and checked again, and the open pages take the new page in place. Then a whole round, in a thread of
//! its own, reads all of the journal, makes the person's own view (all of it, in their cache folder) and
//! brings the site up to date, as `publish` would write it. The browser is answered by [`Server`] on the
//! loopback; its script is in the answers only.

mod answer;
mod changes;
mod events;
mod follow;
mod glancing;
mod keeping;
mod look;
mod media;
mod notices;
mod range;
mod rounds;
mod server;
mod shown;

use std::io::Write;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result};

pub use answer::{Found, Stock};
pub use follow::{Change, Follower};
pub use server::Server;

use crate::publish::Order;
use changes::State;
use glancing::Glancing;
use keeping::{Keeping, Seen};
use notices::Notices;
use rounds::{Rounds, Step};
use shown::Shown;

/// The port that is tried first.
pub const PORT: u16 = 4690;

/// What the bench hears of.
enum Heard {
    /// The person saved something.
    Saved(Change),
    /// The system gives no more notices of changes.
    Looking,
    /// The journal can no longer be followed, or its site no longer be brought up to date.
    Lost(anyhow::Error),
    /// A round has come a step further.
    Step(Step),
}

/// Keeps the journal's site up to date until the process is ended. `begun` is told the address
/// once the browser can come.
pub fn run(order: &Order, port: u16, begun: &dyn Fn(&str), out: &mut dyn Write) -> Result<()> {
    // Followed from before it is first read, so that no save falls between.
    let follower = Follower::new(&order.journal)?;
    let mut keeping = Keeping::open(order)?;
    let checked = keeping.read()?;
    let seen = keeping.see(checked, 0)?;
    write!(out, "{}", seen.state.problems())?;
    let server = Server::open(port, Arc::new(seen.shown.clone()))?;
    let mut told = Notices::default();
    server.tell(&told.next(&seen.problems));
    if port != 0 && server.port() != port {
        writeln!(out, "port {port} is taken")?;
    }
    if follower.is_looking() {
        writeln!(
            out,
            "the system gives no notices of changes here: the journal is looked through twice a second"
        )?;
    }
    writeln!(out, "open {} (Ctrl-C ends)", server.address())?;
    out.flush()?;
    begun(&server.address());
    let (sender, heard) = channel();
    follow(follower, sender.clone())?;
    let bench = Bench {
        rounds: Rounds::begin(keeping, sender)?,
        busy: true,
        saves: 0,
        in_round: 0,
        glancing: Glancing::new(order.journal.clone()),
        shown: seen.shown,
        server,
        told,
        state: seen.state,
        out,
    };
    bench.listen(&heard)
}

/// Follows the journal in a thread of its own.
fn follow(mut follower: Follower, heard: Sender<Heard>) -> Result<()> {
    let follow = move || {
        let mut looking = follower.is_looking();
        loop {
            let (told, last) = match follower.wait() {
                Ok(change) => (Heard::Saved(change), false),
                Err(fault) => (Heard::Lost(fault), true),
            };
            let begins = follower.is_looking() && !std::mem::replace(&mut looking, follower.is_looking());
            if begins && heard.send(Heard::Looking).is_err() || heard.send(told).is_err() || last {
                return;
            }
        }
    };
    std::thread::Builder::new().name("follow".into()).spawn(follow).context("cannot follow the journal")?;
    Ok(())
}

struct Bench<'a> {
    rounds: Rounds,
    /// A round is under way.
    busy: bool,
    /// How often something was saved, and how many of these saves are in the last round that was begun.
    saves: usize,
    in_round: usize,
    glancing: Glancing,
    shown: Shown,
    server: Server,
    told: Notices,
    /// The findings and problems as they were last told.
    state: State,
    out: &'a mut dyn Write,
}

impl Bench<'_> {
    fn listen(mut self, heard: &Receiver<Heard>) -> Result<()> {
        loop {
            match heard.recv().context("the journal can no longer be followed")? {
                Heard::Saved(change) => self.glance(change),
                Heard::Step(Step::Seen(seen)) => self.show(*seen)?,
                Heard::Step(Step::Published { changed, left }) => self.published(changed, &left)?,
                Heard::Step(Step::Failed(fault)) => self.tell_fault(&fault)?,
                Heard::Step(Step::Ended(basis)) => {
                    self.busy = false;
                    if let Some(basis) = basis {
                        self.glancing.take(basis);
                    }
                }
                Heard::Looking => writeln!(
                    self.out,
                    "the system gives no more notices of changes: the journal is looked through twice a second"
                )?,
                Heard::Lost(fault) => return Err(fault),
            }
            self.out.flush()?;
            if !self.busy && self.in_round < self.saves {
                (self.busy, self.in_round) = (true, self.saves);
                self.rounds.order(self.saves);
            }
        }
    }

    /// Shows what the person looks at before all the rest of it. What cannot be shown so is found out by
    /// the round that follows.
    fn glance(&mut self, change: Change) {
        self.saves += 1;
        let pages = self.glancing.glance(self.saves, change).unwrap_or_default();
        if pages.is_empty() {
            return;
        }
        for page in pages {
            self.shown.ahead.insert(page.path, (self.saves, page.bytes.into()));
        }
        self.server.show(Arc::new(self.shown.clone()));
        self.server.tell(&self.told.again());
    }

    /// Shows what a round found, and tells what got better and what got worse.
    fn show(&mut self, seen: Seen) -> Result<()> {
        // What was saved since the round began is shown as it was seen at a glance.
        let mut ahead = std::mem::take(&mut self.shown.ahead);
        ahead.retain(|_, (number, _)| seen.upto < *number);
        self.shown = Shown { ahead, ..seen.shown };
        self.server.show(Arc::new(self.shown.clone()));
        let changes = seen.state.since(&self.state);
        if seen.changed || !changes.is_empty() {
            self.server.tell(&self.told.next(&seen.problems));
        }
        write!(self.out, "{changes}")?;
        self.state = seen.state;
        Ok(())
    }

    /// Says how the site was brought up to date.
    fn published(&mut self, changed: usize, left: &[String]) -> Result<()> {
        if changed > 0 {
            writeln!(self.out, "{changed} {} changed", if changed == 1 { "file" } else { "files" })?;
        }
        for left in left {
            writeln!(
                self.out,
                "{left} was changed by hand and is no longer part of the site: it was left alone"
            )?;
        }
        Ok(())
    }

    /// Says what hinders the bench, which goes on.
    fn tell_fault(&mut self, fault: &anyhow::Error) -> Result<()> {
        writeln!(self.out, "{fault:#}")?;
        self.server.tell(&self.told.fault(&format!("{fault:#}")));
        Ok(())
    }
}
