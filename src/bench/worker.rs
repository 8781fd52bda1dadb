//! What takes longer than a page, in a thread of its own: photos, every finding, the published site.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use anyhow::{Context, Result, anyhow};

use crate::pages::addresses::Scope;
use crate::pages::album::Album;
use crate::pages::theme::{Theme, ThemeFault};
use crate::problem::Problem;
use crate::publish::{Look, Order, Photography, Standing, cached, make_strictly, photograph};
use crate::session::Session;
use crate::site::{Site, Written};

use super::Heard;
use super::changes::State;
use super::preview::Snapshot;

/// What the worker comes to, step by step.
pub(super) enum Step {
    /// The photos as they stand now.
    Photos(Arc<Album>),
    /// What was found, to be compared with what was found before.
    Found { problems: Vec<Problem>, state: State },
    /// The site is up to date: so many files changed, and these were left alone.
    Published { changed: usize, left: Vec<String> },
    /// The theme that the journal asks for has a fault: this one is taken until it is sound.
    Theme(Arc<Theme>),
    /// A step failed; what stood before it still stands.
    Failed(anyhow::Error),
}

/// The folders that are written to: the site, and the photos of builds that are not published.
pub(super) struct Folders {
    order: Order,
    public: Site,
    hidden: Site,
    standing: Standing,
    /// Gone with the bench, where the machine names no cache.
    _temporary: Option<tempfile::TempDir>,
}

impl Folders {
    /// Opens them.
    pub(super) fn open(order: &Order) -> Result<Folders> {
        let public = Site::open(&order.journal, &order.target())?;
        let (folder, temporary) = hidden_folder(order)?;
        let hidden = Site::open(&order.journal, &folder)?;
        let standing = Standing::load(public.folder());
        Ok(Folders { order: order.clone(), public, hidden, standing, _temporary: temporary })
    }

    /// Where photos stand.
    pub(super) fn photos(&self) -> [PathBuf; 2] {
        [self.public.folder().to_owned(), self.hidden.folder().to_owned()]
    }

    /// Derives the photos: those that are published, and all of them.
    pub(super) fn photograph(&mut self, session: &Session) -> Result<(Photography, Photography)> {
        let journal = session.journal();
        let public = {
            let round = self.public.begin();
            photograph(&round, &self.order, journal, &|build| !build.hidden, &())?
        };
        let round = self.hidden.begin();
        let hidden = photograph(&round, &self.order, journal, &|build| build.hidden, &())?;
        round.finish()?;
        let all = public.clone().and(&hidden);
        Ok((public, all))
    }

    /// All that there is to do for one state of the journal.
    fn steps(&mut self, snapshot: &Snapshot) -> Result<Vec<Step>> {
        let (public, all) = self.photograph(&snapshot.session)?;
        let mut steps = vec![Step::Photos(Arc::new(all.album().clone()))];
        if let Some(problem) = snapshot.theme.problem() {
            steps.push(found(snapshot, &all, vec![problem.clone()]));
            return Ok(steps);
        }
        match self.publish(snapshot, &public) {
            Ok((written, more)) => steps.extend([found(snapshot, &all, more), published(written)]),
            Err(error) if error.is::<ThemeFault>() => {
                let instead = snapshot.theme.instead(error.downcast()?)?;
                steps.push(found(snapshot, &all, instead.problem().cloned().into_iter().collect()));
                steps.push(Step::Theme(Arc::new(instead)));
            }
            Err(fault) => steps.extend([found(snapshot, &all, Vec::new()), Step::Failed(fault)]),
        }
        Ok(steps)
    }

    /// Writes what `publish` would write. A fault of the theme is an error, and leaves the site as it is.
    fn publish(&mut self, snapshot: &Snapshot, photos: &Photography) -> Result<(Written, Vec<Problem>)> {
        let round = self.public.begin();
        photos.keep(&round)?;
        let scope = Scope { only: None, private: false };
        let look = Look { theme: &snapshot.theme, scope, album: photos.album() };
        let made = make_strictly(&round, &snapshot.session, look, &self.standing)?;
        let written = round.finish()?;
        self.standing.note(self.public.folder());
        self.standing.store(self.public.folder());
        Ok((written, made.problems))
    }
}

/// The thread, to be told what to work on.
pub(super) struct Worker {
    orders: Sender<Snapshot>,
}

impl Worker {
    /// Begins with `first`.
    pub(super) fn begin(folders: Folders, first: Snapshot, heard: Sender<Heard>) -> Result<Worker> {
        // A page that somebody waits for must not stand in line behind this: it has threads of its own, and
        // steps back where there is more to do than the machine has processors for.
        let pool = rayon::ThreadPoolBuilder::new().thread_name(|n| format!("worker {n}"));
        let pool = pool.start_handler(|_| step_back()).build()?;
        let (orders, waiting) = channel();
        orders.send(first).context("cannot begin to publish")?;
        let run = move || {
            let _end = End(heard.clone());
            pool.install(move || work(folders, &waiting, &heard));
        };
        std::thread::Builder::new().name("worker".into()).spawn(run).context("cannot begin to publish")?;
        Ok(Worker { orders })
    }

    /// Has it work on the journal as it is now; states that it has not come to yet are passed over.
    pub(super) fn order(&self, snapshot: Snapshot) {
        // The thread ends with the process, which nobody waits for then.
        let _ = self.orders.send(snapshot);
    }
}

/// Says that no more steps will come, whatever ended them: a bench that goes on without them would show
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
fn work(mut folders: Folders, orders: &Receiver<Snapshot>, heard: &Sender<Heard>) {
    while let Ok(mut snapshot) = orders.recv() {
        while let Ok(later) = orders.try_recv() {
            snapshot = later;
        }
        let steps = folders.steps(&snapshot).unwrap_or_else(|fault| vec![Step::Failed(fault)]);
        if !steps.into_iter().all(|step| heard.send(Heard::Step(step)).is_ok()) {
            return;
        }
    }
}

fn published(written: Written) -> Step {
    Step::Published { changed: written.written + written.deleted, left: written.left }
}

/// Everything that is wrong, and every finding.
pub(super) fn found(snapshot: &Snapshot, photos: &Photography, more: Vec<Problem>) -> Step {
    let mut problems = snapshot.session.problems();
    problems.extend(photos.problems.iter().cloned());
    problems.extend(more);
    crate::problem::sort(&mut problems);
    problems.dedup();
    let state = State::of(&snapshot.session, &problems);
    Step::Found { problems, state }
}

/// A folder that only this person can look into.
fn hidden_folder(order: &Order) -> Result<(PathBuf, Option<tempfile::TempDir>)> {
    let Some(folder) = cached("bench", &order.journal) else {
        let temporary = tempfile::tempdir().context("cannot make a temporary folder")?;
        return Ok((temporary.path().join("photos"), Some(temporary)));
    };
    let doing = || format!("cannot make {}", folder.display());
    std::fs::create_dir_all(&folder).with_context(doing)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o700)).with_context(doing)?;
    }
    Ok((folder, None))
}
