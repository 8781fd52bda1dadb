//! The bench: a preview that keeps up while the person writes, in a browser that shows every change.
//!
//! The journal is followed by `Watcher`. A save updates the session, and the open pages ask again: each page
//! is made from memory by `preview` when a browser asks for it. What takes longer, the photos, every
//! finding and the published site, is done by `worker` afterwards. The browser is answered by `Server`
//! on the loopback; its script is in the answers only.

mod changes;
mod events;
mod media;
mod notifications;
mod polling;
mod preview;
mod range;
mod response;
mod server;
mod watcher;
mod worker;

use std::io::Write;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result};

pub use response::{Found, Stock};
pub use server::Server;
pub use watcher::{Change, Watcher};

use crate::publish::{Order, theme};
use crate::session::Session;
use changes::State;
use notifications::Notifications;
use preview::{Preview, Snapshot};
use worker::{Folders, Step, Worker};

/// The port that is tried first.
pub const PORT: u16 = 4690;

/// What the bench hears of.
enum Heard {
    /// The person saved something.
    Saved(Change),
    /// The system gives no more notices of changes.
    Polling,
    /// The journal can no longer be followed, or its site no longer be brought up to date.
    Lost(anyhow::Error),
    /// The worker has come a step further.
    Step(Step),
}

/// Keeps the journal's site up to date until the process is ended. `begun` is told the address
/// once the browser can come.
pub fn run(order: &Order, port: u16, begun: &dyn Fn(&str), out: &mut dyn Write) -> Result<()> {
    // Followed from before it is first read, so that no save falls between.
    let watcher = Watcher::new(&order.journal)?;
    // Asked first, because what is no journal must get no site.
    let session = Session::open(&order.journal)?;
    let mut folders = Folders::open(order)?;
    let theme = Arc::new(theme(&session, order)?);
    let (_, photos) = folders.photograph(&session)?;
    let now = Snapshot { session, theme, album: Arc::new(photos.album().clone()) };
    let more = now.theme.problem().cloned().into_iter().collect();
    let Step::Found { problems, state } = worker::found(&now, &photos, more) else { return Ok(()) };
    write!(out, "{}", state.problems())?;
    let preview = Arc::new(Preview::new(now.clone(), folders.photos()));
    let server = Server::open(port, Arc::clone(&preview) as Arc<dyn Stock>)?;
    let mut told = Notifications::default();
    server.tell(&told.next(&problems));
    if port != 0 && server.port() != port {
        writeln!(out, "port {port} is taken")?;
    }
    if watcher.is_polling() {
        writeln!(
            out,
            "the system gives no notices of changes here: the journal is looked through twice a second"
        )?;
    }
    writeln!(out, "open {} (Ctrl-C ends)", server.address())?;
    out.flush()?;
    begun(&server.address());
    let (sender, heard) = channel();
    follow(watcher, sender.clone())?;
    let worker = Worker::begin(folders, now.clone(), sender)?;
    Bench { order, worker, now, preview, server, told, state, out }.listen(&heard)
}

/// Follows the journal in a thread of its own.
fn follow(mut watcher: Watcher, heard: Sender<Heard>) -> Result<()> {
    let follow = move || {
        let mut polling = watcher.is_polling();
        loop {
            let (told, last) = match watcher.wait() {
                Ok(change) => (Heard::Saved(change), false),
                Err(fault) => (Heard::Lost(fault), true),
            };
            let begins = watcher.is_polling() && !std::mem::replace(&mut polling, watcher.is_polling());
            if begins && heard.send(Heard::Polling).is_err() || heard.send(told).is_err() || last {
                return;
            }
        }
    };
    std::thread::Builder::new().name("follow".into()).spawn(follow).context("cannot follow the journal")?;
    Ok(())
}

struct Bench<'a> {
    order: &'a Order,
    worker: Worker,
    now: Snapshot,
    preview: Arc<Preview>,
    server: Server,
    told: Notifications,
    /// The findings and problems as they were last told.
    state: State,
    out: &'a mut dyn Write,
}

impl Bench<'_> {
    fn listen(mut self, heard: &Receiver<Heard>) -> Result<()> {
        loop {
            match heard.recv().context("the journal can no longer be followed")? {
                Heard::Saved(change) => {
                    if let Err(fault) = self.saved(&change) {
                        self.tell_fault(&fault)?;
                    }
                }
                Heard::Step(Step::Photos(album)) => {
                    self.now.album = Arc::clone(&album);
                    if self.preview.show_photos(&album) {
                        self.server.tell(&self.told.again());
                    }
                }
                Heard::Step(Step::Found { problems, state }) => {
                    let changes = state.since(&self.state);
                    if !changes.is_empty() {
                        self.server.tell(&self.told.next(&problems));
                    }
                    write!(self.out, "{changes}")?;
                    self.state = state;
                }
                Heard::Step(Step::Published { changed, left }) => self.published(changed, &left)?,
                Heard::Step(Step::Theme(instead)) => {
                    self.now.theme = Arc::clone(&instead);
                    self.preview.show_in(&instead);
                    self.server.tell(&self.told.again());
                }
                Heard::Step(Step::Failed(fault)) => self.tell_fault(&fault)?,
                Heard::Polling => writeln!(
                    self.out,
                    "the system gives no more notices of changes: the journal is looked through twice a second"
                )?,
                Heard::Lost(fault) => return Err(fault),
            }
            self.out.flush()?;
        }
    }

    /// Shows what was saved, and has everything else follow.
    fn saved(&mut self, change: &Change) -> Result<()> {
        self.now.session.update(&change.files, change.all)?;
        let looks = |path: &String| path.starts_with("themes/") || path == "journal.yaml";
        if change.all || change.files.iter().any(looks) {
            self.now.theme = Arc::new(theme(&self.now.session, self.order)?);
        }
        self.preview.show(self.now.clone());
        self.server.tell(&self.told.again());
        self.worker.order(self.now.clone());
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
