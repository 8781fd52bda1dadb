//! Following the journal: what the person saved, in batches, as soon as it has settled.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use notify::event::{CreateKind, ModifyKind, RemoveKind, RenameMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};

pub use super::polling::Change;
use super::polling::{FOLDERS, Seen, is_read};
use crate::journal::folder::is_hidden;

/// Editors write in bursts: so long after the last notice a batch is taken.
const SETTLE: Duration = Duration::from_millis(15);

/// And after so long in any case.
const LONGEST: Duration = Duration::from_millis(100);

/// How often the journal is looked through where the system gives no notices.
const LOOK: Duration = Duration::from_millis(500);

enum Notice {
    /// From the system.
    Told(notify::Result<Event>),
    /// Found by looking.
    Found(Change),
}

/// Follows a journal.
pub struct Watcher {
    journal: PathBuf,
    notices: Receiver<Notice>,
    sender: Sender<Notice>,
    /// `None` where the journal is looked through.
    watcher: Option<RecommendedWatcher>,
    /// Each watched folder as the system names it, and as the journal does.
    watched: Vec<(PathBuf, &'static str)>,
}

impl Watcher {
    /// Begins to follow. Where the system gives no notices, or no more, the journal is looked
    /// through twice a second instead: [`Watcher::is_polling`].
    pub fn new(journal: &Path) -> Result<Watcher> {
        let journal = journal
            .canonicalize()
            .with_context(|| format!("cannot find the journal {}", journal.display()))?;
        let (sender, notices) = channel();
        let telling = sender.clone();
        let tell = move |told| {
            // Nobody listens any more: then there is nobody to tell.
            let _ = telling.send(Notice::Told(told));
        };
        let watcher = RecommendedWatcher::new(tell, notify::Config::default()).ok();
        let mut follower = Watcher { journal, notices, sender, watcher, watched: Vec::new() };
        if follower.watcher.is_none() || follower.watch().is_err() {
            follower.poll()?;
        }
        Ok(follower)
    }

    /// Looks through the journal instead of waiting for notices, which some disks do not give.
    pub fn poll(&mut self) -> Result<()> {
        self.watcher = None;
        let (journal, sender) = (self.journal.clone(), self.sender.clone());
        let mut before = Seen::now(&journal);
        let look = move || {
            loop {
                std::thread::sleep(LOOK);
                let now = Seen::now(&journal);
                let change = now.since(&before);
                before = now;
                if change != Change::default() && sender.send(Notice::Found(change)).is_err() {
                    return;
                }
            }
        };
        std::thread::Builder::new()
            .name("look".into())
            .spawn(look)
            .context("the journal cannot be followed")?;
        Ok(())
    }

    /// Whether the journal is looked through again and again, for want of notices.
    pub fn is_polling(&self) -> bool {
        self.watcher.is_none()
    }

    /// Blocks until something that matters has changed and then settled.
    pub fn wait(&mut self) -> Result<Change> {
        loop {
            let first = self.notices.recv().context("the journal can no longer be followed")?;
            if let Some(change) = self.batch(first)? {
                return Ok(change);
            }
        }
    }

    /// What has changed meanwhile, if anything that matters has, once it has settled.
    pub fn waiting(&mut self) -> Result<Option<Change>> {
        while let Ok(first) = self.notices.try_recv() {
            let change = self.batch(first)?;
            if change.is_some() {
                return Ok(change);
            }
        }
        Ok(None)
    }

    fn batch(&mut self, first: Notice) -> Result<Option<Change>> {
        let mut batch = Batch::default();
        self.take(&mut batch, first)?;
        let begun = Instant::now();
        while begun.elapsed() < LONGEST {
            match self.notices.recv_timeout(SETTLE) {
                Ok(notice) => self.take(&mut batch, notice)?,
                Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => break,
            }
        }
        Ok(Some(batch.settled()).filter(|change| *change != Change::default()))
    }

    fn take(&mut self, batch: &mut Batch, notice: Notice) -> Result<()> {
        match notice {
            Notice::Found(change) => {
                batch.change.all |= change.all;
                batch.change.files.extend(change.files);
            }
            // The last words of a watcher that was given up.
            Notice::Told(_) if self.watcher.is_none() => {}
            Notice::Told(Ok(event)) => {
                let comes_or_goes = !matches!(
                    event.kind,
                    EventKind::Access(_) | EventKind::Modify(ModifyKind::Metadata(_) | ModifyKind::Data(_))
                );
                let top = |path: &PathBuf| FOLDERS.iter().any(|name| *path == self.journal.join(name));
                if comes_or_goes && event.paths.iter().any(top) {
                    batch.change.all = true;
                    if self.watch().is_err() {
                        self.poll()?;
                    }
                }
                batch.take(&event, |path| self.named(path));
            }
            // Too many folders for the system's notices, or notices lost.
            Notice::Told(Err(_)) => {
                batch.change.all = true;
                self.poll()?;
            }
        }
        Ok(())
    }

    /// Watches the journal's own folder and those below it that exist; the site is not among them.
    fn watch(&mut self) -> notify::Result<()> {
        let Some(watcher) = &mut self.watcher else { return Ok(()) };
        if self.watched.is_empty() {
            watcher.watch(&self.journal, RecursiveMode::NonRecursive)?;
            self.watched.push((self.journal.clone(), ""));
        }
        for name in FOLDERS {
            let place = self.journal.join(name).canonicalize().ok().filter(|place| place.is_dir());
            if let Some(old) = self.watched.iter().position(|(_, watched)| *watched == name) {
                // The folder may be another of the same name, or gone: then this fails, as it may.
                let (old, _) = self.watched.remove(old);
                let _ = watcher.unwatch(&old);
            }
            if let Some(place) = place {
                watcher.watch(&place, RecursiveMode::Recursive)?;
                self.watched.push((place, name));
            }
        }
        Ok(())
    }

    /// A path as the journal names it; `None` for one that the journal is not read from.
    fn named(&self, path: &Path) -> Option<String> {
        let (below, name) = self
            .watched
            .iter()
            .rev()
            .find_map(|(place, name)| Some((path.strip_prefix(place).ok()?, *name)))?;
        let below = below.components().map(|part| part.as_os_str().to_string_lossy());
        let parts: Vec<Cow<'_, str>> =
            (!name.is_empty()).then_some(Cow::Borrowed(name)).into_iter().chain(below).collect();
        let first = parts.first()?;
        let known = first == "journal.yaml" && parts.len() == 1 || FOLDERS.contains(&first.as_ref());
        let hidden = parts.iter().any(|part| is_hidden(part));
        (known && !hidden).then(|| parts.join("/"))
    }
}

/// Notices on their way to a [`Change`].
#[derive(Debug, Default)]
struct Batch {
    change: Change,
    /// Renamed away, to where is not known yet; may have been folders.
    gone: BTreeSet<String>,
}

impl Batch {
    fn take(&mut self, event: &Event, named: impl Fn(&Path) -> Option<String>) {
        if event.need_rescan() {
            self.change.all = true;
        }
        if matches!(event.kind, EventKind::Access(_)) {
            return;
        }
        for (n, place) in event.paths.iter().enumerate() {
            let Some(path) = named(place) else { continue };
            if is_read(&path) {
                self.change.files.insert(path);
                continue;
            }
            // What is left may be a folder, or a file that nobody reads, such as an editor's.
            match event.kind {
                EventKind::Remove(RemoveKind::File) | EventKind::Create(CreateKind::File) => {}
                EventKind::Modify(ModifyKind::Name(RenameMode::From)) => {
                    self.gone.insert(path);
                }
                EventKind::Modify(ModifyKind::Name(RenameMode::Both)) if n == 0 => {
                    self.gone.remove(&path);
                    self.change.all |= event.paths.get(1).is_none_or(|to| to.is_dir());
                }
                EventKind::Modify(ModifyKind::Name(_)) => self.change.all |= place.is_dir(),
                EventKind::Modify(_) => {}
                _ => self.change.all |= !place.is_file(),
            }
        }
    }

    fn settled(mut self) -> Change {
        self.change.all |= !self.gone.is_empty();
        self.change
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::thread;

    use super::*;

    /// A journal that is followed; changes come through the channel.
    fn followed(by_looking: bool) -> (tempfile::TempDir, Receiver<Change>) {
        let dir = tempfile::tempdir().unwrap();
        for folder in ["builds/lantern", "parts", "site"] {
            fs::create_dir_all(dir.path().join(folder)).unwrap();
        }
        fs::write(dir.path().join("builds/lantern/build.md"), "one").unwrap();
        let mut follower = Watcher::new(dir.path()).unwrap();
        if by_looking {
            follower.poll().unwrap();
        }
        assert_eq!(follower.is_polling(), by_looking);
        let (told, changes) = channel();
        thread::spawn(move || {
            while let Ok(change) = follower.wait() {
                if told.send(change).is_err() {
                    return;
                }
            }
        });
        (dir, changes)
    }

    /// Waits until a change of `path` is told; anything else on the way has to be of the journal.
    fn told(changes: &Receiver<Change>, path: &str) {
        loop {
            let change = changes
                .recv_timeout(Duration::from_secs(20))
                .unwrap_or_else(|_| panic!("{path} was not told"));
            assert!(
                change.files.iter().all(|file| !file.starts_with("site/") && !file.contains(".swp")),
                "{change:?}"
            );
            if change.files.contains(path) || change.all && path == "all" {
                return;
            }
        }
    }

    fn follows(by_looking: bool) {
        let (dir, changes) = followed(by_looking);
        let at = |path: &str| dir.path().join(path);
        fs::write(at("builds/lantern/build.md"), "three").unwrap();
        told(&changes, "builds/lantern/build.md");
        // Not of the journal, or of no interest: the next change must not tell them.
        fs::write(at("site/index.html"), "ours").unwrap();
        fs::write(at("builds/lantern/.build.md.swp"), "swap").unwrap();
        fs::write(at("journal.yaml"), "title: x").unwrap();
        told(&changes, "journal.yaml");
        // As editors save: written beside, then renamed over.
        fs::write(at("builds/lantern/build.md.new"), "four").unwrap();
        fs::rename(at("builds/lantern/build.md.new"), at("builds/lantern/build.md")).unwrap();
        told(&changes, "builds/lantern/build.md");
        fs::remove_file(at("builds/lantern/build.md")).unwrap();
        told(&changes, "builds/lantern/build.md");
        // A build that comes as a whole folder, from elsewhere and by renaming.
        fs::create_dir_all(at("new/deep")).unwrap();
        fs::write(at("new/build.md"), "new").unwrap();
        fs::rename(at("new"), at("builds/tide")).unwrap();
        told(&changes, "all");
        fs::write(at("builds/tide/2026-01-01.md"), "entry").unwrap();
        told(&changes, "builds/tide/2026-01-01.md");
        // A folder of the journal that was not there.
        fs::create_dir(at("calibres")).unwrap();
        told(&changes, "all");
        fs::write(at("calibres/own.yaml"), "x").unwrap();
        told(&changes, "calibres/own.yaml");
        // And one that goes, and comes back as another.
        fs::rename(at("parts"), at("old")).unwrap();
        told(&changes, "all");
        fs::create_dir(at("parts")).unwrap();
        told(&changes, "all");
        fs::write(at("parts/dials.yaml"), "x").unwrap();
        told(&changes, "parts/dials.yaml");
    }

    #[test]
    fn what_the_person_saves_is_told() {
        follows(false);
    }

    #[test]
    fn without_notices_it_is_found_by_looking() {
        follows(true);
    }

    #[cfg(unix)]
    #[test]
    fn a_journal_behind_links_is_followed() {
        let dir = tempfile::tempdir().unwrap();
        let real = dir.path().join("real");
        fs::create_dir_all(real.join("elsewhere/lantern")).unwrap();
        std::os::unix::fs::symlink("elsewhere", real.join("builds")).unwrap();
        std::os::unix::fs::symlink(&real, dir.path().join("link")).unwrap();
        let mut follower = Watcher::new(&dir.path().join("link")).unwrap();
        fs::write(real.join("elsewhere/lantern/build.md"), "x").unwrap();
        assert_eq!(follower.wait().unwrap().files, ["builds/lantern/build.md".to_owned()].into());
    }

    #[test]
    fn lost_notices_have_all_of_it_looked_through() {
        let mut batch = Batch::default();
        let lost = Event::new(EventKind::Other).set_flag(notify::event::Flag::Rescan);
        batch.take(&lost, |_| None);
        assert!(batch.settled().all);
    }

    #[test]
    fn only_files_that_are_read_are_told_one_by_one() {
        for path in [
            "journal.yaml",
            "parts/a.yaml",
            "calibres/a.YML",
            "builds/a/b.md",
            "builds/a/b/c.JPG",
            "themes/own/build.html",
        ] {
            assert!(is_read(path), "{path}");
        }
        for path in [
            "builds",
            "builds/a",
            "builds/a.b",
            "parts/a.md",
            "themes/own",
            "builds/a/4913",
            "builds/a/b.md.new",
        ] {
            assert!(!is_read(path), "{path}");
        }
    }
}
