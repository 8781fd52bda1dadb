//! The bench: the site keeps up while the person writes, in a browser that shows every change.
//!
//! The journal is followed by [`Follower`]; after each save the person's own view is made first
//! (all of the journal, in their cache folder), the open pages are told and take the new page in
//! place, and then the site is brought up to date, as `publish` would write it. The browser is
//! answered by [`Server`] on the loopback; its script is in the answers only.

mod answer;
mod changes;
mod events;
mod follow;
mod keeping;
mod look;
mod media;
mod range;
mod server;

use std::io::Write;

use anyhow::Result;
use serde_json::json;

pub use answer::{Found, Stock};
pub use follow::{Change, Follower};
pub use server::Server;

use crate::problem::{Problem, Severity};
use crate::publish::Order;
use changes::State;
use keeping::Keeping;

/// The port that is tried first.
pub const PORT: u16 = 4690;

/// Keeps the journal's site up to date until the process is ended. `begun` is told the address
/// once the browser can come.
pub fn run(order: &Order, port: u16, begun: &dyn Fn(&str), out: &mut dyn Write) -> Result<()> {
    // Followed from before it is first read, so that no save falls between.
    let follower = Follower::new(&order.journal)?;
    let mut keeping = Keeping::open(order)?;
    let checked = keeping.read()?;
    let seen = keeping.see(checked)?;
    let state = keeping.state(&seen.problems);
    write!(out, "{}", state.problems())?;
    let server = Server::open(port, keeping.shown())?;
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
    let mut bench = Bench { follower, keeping, server, told, state, out };
    bench.publish()?;
    bench.out.flush()?;
    loop {
        let change = bench.wait()?;
        bench.glance(&change);
        // A save that comes meanwhile is shown first, and then all is done for both.
        while !bench.catch_up()? {}
        bench.out.flush()?;
    }
}

struct Bench<'a> {
    follower: Follower,
    keeping: Keeping,
    server: Server,
    told: Notices,
    /// The findings and problems as they were last told.
    state: State,
    out: &'a mut dyn Write,
}

impl Bench<'_> {
    fn wait(&mut self) -> Result<Change> {
        let looking = self.follower.is_looking();
        let change = self.follower.wait()?;
        if self.follower.is_looking() && !looking {
            writeln!(
                self.out,
                "the system gives no more notices of changes: the journal is looked through twice a second"
            )?;
        }
        Ok(change)
    }

    /// Shows what the person looks at first, before all the rest of it.
    fn glance(&mut self, change: &Change) {
        if self.keeping.glance(change).unwrap_or(false) {
            self.server.show(self.keeping.shown());
            self.server.tell(&self.told.next(&[]));
        }
    }

    /// Whether more was saved meanwhile; that is shown at once.
    fn is_behind(&mut self) -> Result<bool> {
        let Some(change) = self.follower.waiting()? else { return Ok(false) };
        self.glance(&change);
        Ok(true)
    }

    /// Reads the journal, shows all of it and brings the site up to date, one step after the other;
    /// false where more was saved meanwhile, and it is to be done again.
    fn catch_up(&mut self) -> Result<bool> {
        let read = self.keeping.read();
        if self.is_behind()? {
            return Ok(false);
        }
        match read.and_then(|checked| self.keeping.see(checked)) {
            Err(error) => self.tell_fault(&error)?,
            Ok(seen) => {
                self.server.show(self.keeping.shown());
                let now = self.keeping.state(&seen.problems);
                let changes = now.since(&self.state);
                if seen.changed || !changes.is_empty() {
                    self.server.tell(&self.told.next(&seen.problems));
                }
                write!(self.out, "{changes}")?;
                self.out.flush()?;
                self.state = now;
                if self.is_behind()? {
                    return Ok(false);
                }
                self.publish()?;
            }
        }
        Ok(true)
    }

    /// Brings the site up to date; what hinders it is said, and the bench goes on.
    fn publish(&mut self) -> Result<()> {
        match self.keeping.publish() {
            Ok(written) => {
                let count = written.written + written.deleted;
                if count > 0 {
                    writeln!(self.out, "{count} {} changed", if count == 1 { "file" } else { "files" })?;
                }
                for left in &written.left {
                    writeln!(
                        self.out,
                        "{left} was changed by hand and is no longer part of the site: it was left alone"
                    )?;
                }
            }
            Err(error) => self.tell_fault(&error)?,
        }
        Ok(())
    }

    fn tell_fault(&mut self, error: &anyhow::Error) -> Result<()> {
        writeln!(self.out, "{error:#}")?;
        self.server.tell(&self.told.fault(&format!("{error:#}")));
        Ok(())
    }
}

/// What the open pages are told.
#[derive(Default)]
struct Notices {
    count: usize,
}

impl Notices {
    /// There is something new to show; with the problems that the person has to mend.
    fn next(&mut self, problems: &[Problem]) -> String {
        let errors: Vec<_> = problems.iter().filter(|problem| problem.severity == Severity::Error).collect();
        let said: Vec<_> = errors
            .iter()
            .take(20)
            .map(|problem| json!({ "place": problem.place.to_string(), "text": problem.message }))
            .collect();
        let head = match errors.len() {
            0 => String::new(),
            1 => "This cannot be read; the page below is as it was before".to_owned(),
            count => format!("{count} things cannot be read; the page below is as it was before"),
        };
        self.notice(&head, &json!(said))
    }

    /// Something hinders the bench itself.
    fn fault(&mut self, fault: &str) -> String {
        self.notice("The site is not up to date", &json!([{ "place": "", "text": fault }]))
    }

    fn notice(&mut self, head: &str, said: &serde_json::Value) -> String {
        self.count += 1;
        // A bench that was started again counts anew: its number tells them apart.
        let version = format!("{}-{}", std::process::id(), self.count);
        json!({ "version": version, "head": head, "said": said }).to_string()
    }
}
