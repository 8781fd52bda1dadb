//! Whether anything has changed at all since a site was published.
//!
//! Publishing looks at every file that it may read before it reads one, and at every file of the
//! site once it is written; what it said is kept with both. Where the next run finds all of these
//! files as they were, it says the same and reads nothing.
//!
//! What may not be: to say that nothing changed where something did. So a file counts as the same
//! only if its length, its number and both its times are (the time of the last change of a file's
//! entry cannot be set by hand); a text that was younger than [`SETTLED`] when it was looked at is
//! compared by its content; where a photo or a theme's file was, or where links lead somewhere that
//! is not looked at, nothing is remembered.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs::{self, File, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::fit::key::Key;
use crate::journal::Journal;
use crate::pages;
use crate::problem::Problem;
use crate::site::{LOCK, MANIFEST, Written};

use super::memory::{self, Stamp};
use super::{Order, Published};

/// Nanoseconds: a file that changed within so little of the look at it may have changed again
/// without its times telling.
const SETTLED: u64 = 2_000_000_000;

/// What it is remembered as.
const KIND: &str = "runs";

/// A run that begins: how everything that it may read looks.
pub(super) struct Begun {
    journal: PathBuf,
    target: PathBuf,
    looks: Looks,
}

/// What a run found and said.
#[derive(Debug, Serialize, Deserialize)]
struct Run {
    /// The journal's folder, and how what is read of it looked.
    journal: String,
    inputs: String,
    /// Texts that were young, and the digests of what was read.
    young: BTreeMap<String, String>,
    /// How the site's folder looked but for its manifest, and the manifest itself.
    outputs: String,
    manifest: String,
    pages: usize,
    files: usize,
    problems: Vec<Problem>,
}

impl Begun {
    /// Looks at everything that publishing may read; `None` where that does not tell whether it
    /// changed.
    pub(super) fn look(told: &Order) -> Option<Begun> {
        if told.fresh || told.only.is_some() || !cfg!(unix) {
            return None;
        }
        let now = memory::now(KIND)?;
        let journal = told.journal.canonicalize().ok()?;
        let looks = inputs(&journal, now.saturating_sub(SETTLED))?;
        Some(Begun { journal, target: told.target(), looks })
    }

    /// What the last run said, where nothing has changed since.
    pub(super) fn recall(&self) -> Option<Published> {
        let run: Run = memory::recall(KIND, &self.target)?;
        if run.journal != self.name() || run.inputs != self.looks.digest() {
            return None;
        }
        for (path, content) in &run.young {
            if digest_of(&self.journal.join(path))? != *content {
                return None;
            }
        }
        // Whoever writes to it just now has the lock.
        let _lock = lock(&self.target)?;
        let outputs = site(&self.target)?;
        if run.outputs != outputs.digest() || run.manifest != digest_of(&self.target.join(MANIFEST))? {
            return None;
        }
        Some(Published {
            start: self.target.join(pages::START),
            pages: run.pages,
            kept: run.pages,
            written: Written { unchanged: run.files, ..Written::default() },
            problems: run.problems,
        })
    }

    /// Remembers what a run said that began like this and has ended.
    pub(super) fn remember(self, journal: &Journal, published: &Published) {
        let _ = self.remembered(journal, published);
    }

    fn remembered(self, journal: &Journal, published: &Published) -> Option<()> {
        let mut young = BTreeMap::new();
        for place in &self.looks.young {
            let path = place.strip_prefix(&self.journal).ok()?.to_str()?;
            let text = journal.files.text(journal.files.find(path)?);
            young.insert(path.to_owned(), blake3::hash(text.as_bytes()).to_hex().to_string());
        }
        let now = memory::now(KIND)?;
        let outputs = site(&self.target)?;
        // What was written in this moment might be written again in it, unseen.
        if outputs.latest >= now {
            return None;
        }
        let run = Run {
            journal: self.name(),
            inputs: self.looks.digest(),
            young,
            outputs: outputs.digest(),
            manifest: digest_of(&self.target.join(MANIFEST))?,
            pages: published.pages,
            files: published.written.written + published.written.unchanged,
            problems: published.problems.clone(),
        };
        memory::remember(KIND, &self.target, &run);
        Some(())
    }

    fn name(&self) -> String {
        Key::of(&format!("{:?}", self.journal)).to_string()
    }
}

fn lock(target: &Path) -> Option<File> {
    let file = OpenOptions::new().write(true).open(target.join(LOCK)).ok()?;
    file.try_lock().ok()?;
    Some(file)
}

fn digest_of(place: &Path) -> Option<String> {
    Some(blake3::hash(&fs::read(place).ok()?).to_hex().to_string())
}

/// How files and folders look: what of them tells that they are the same.
#[derive(Default)]
struct Looks {
    hasher: blake3::Hasher,
    /// The latest time of any of them.
    latest: u64,
    /// Files that are younger than was asked.
    young: Vec<PathBuf>,
}

impl Looks {
    fn digest(&self) -> String {
        self.hasher.finalize().to_hex().to_string()
    }

    fn take(&mut self, name: &OsStr, kind: &str) {
        let name = name.as_encoded_bytes();
        self.hasher.update(kind.as_bytes()).update(&(name.len() as u64).to_le_bytes()).update(name);
    }

    fn file(&mut self, place: &Path, name: &OsStr, it: &fs::Metadata, settled: u64) -> Option<()> {
        let stamp = Stamp::told(it)?;
        self.take(name, if it.is_file() { "file" } else { "other" });
        self.hasher.update(&stamp.to_bytes());
        self.latest = self.latest.max(stamp.latest());
        if stamp.latest() >= settled {
            self.young.push(place.to_owned());
        }
        Some(())
    }

    fn folder(&mut self, name: &OsStr, inside: Looks) {
        self.take(name, "folder");
        self.hasher.update(inside.hasher.finalize().as_bytes());
        self.latest = self.latest.max(inside.latest);
        self.young.extend(inside.young);
    }
}

/// All that a journal's site is made of.
fn inputs(journal: &Path, settled: u64) -> Option<Looks> {
    let mut looks = Looks::default();
    let read = |name: &OsStr| !crate::journal::folder::is_hidden(&name.to_string_lossy());
    for part in ["journal.yaml", "builds", "calibres", "parts", "themes"] {
        let (place, name) = (journal.join(part), OsStr::new(part));
        match place.symlink_metadata() {
            Err(fault) if fault.kind() == ErrorKind::NotFound => {}
            Err(_) => return None,
            Ok(it) if !it.is_dir() => looks.file(&place, name, &it, settled)?,
            Ok(_) if part == "themes" => {
                // A theme may be a link; where it leads is not looked at.
                let plain = |place: &Path| place.symlink_metadata().is_ok_and(|it| !it.is_symlink());
                if !fs::read_dir(&place).ok()?.all(|entry| entry.is_ok_and(|entry| plain(&entry.path()))) {
                    return None;
                }
                looks.folder(name, folder(&place, &|_| true, settled)?);
            }
            Ok(_) => looks.folder(name, folder(&place, &read, settled)?),
        }
    }
    Some(looks)
}

/// All of a site but its lock and its manifest, which is compared by its content.
fn site(target: &Path) -> Option<Looks> {
    folder(target, &|name| name != LOCK && name != MANIFEST, u64::MAX)
}

/// Deeper than any journal or site; each folder in another is a call in a call.
const DEEPEST: usize = 16;

/// Everything below a folder whose name `read` holds for; links are not followed. `None` where
/// something of it cannot be looked at.
fn folder(place: &Path, read: &(dyn Fn(&OsStr) -> bool + Sync), settled: u64) -> Option<Looks> {
    within(DEEPEST, place, read, settled)
}

fn within(depth: usize, place: &Path, read: &(dyn Fn(&OsStr) -> bool + Sync), settled: u64) -> Option<Looks> {
    let depth = depth.checked_sub(1)?;
    let mut entries = Vec::new();
    for entry in fs::read_dir(place).ok()? {
        let entry = entry.ok()?;
        let name = entry.file_name();
        if read(&name) {
            entries.push((name, entry.metadata().ok()?));
        }
    }
    entries.sort_by(|(a, _), (b, _)| a.cmp(b));
    let folders = entries.par_iter().filter(|(_, it)| it.is_dir());
    let folders: Option<Vec<Looks>> =
        folders.map(|(name, _)| within(depth, &place.join(name), read, settled)).collect();
    let mut folders = folders?.into_iter();
    let mut looks = Looks::default();
    for (name, it) in &entries {
        if it.is_dir() {
            looks.folder(name, folders.next()?);
        } else {
            looks.file(&place.join(name), name, it, settled)?;
        }
    }
    Some(looks)
}

#[cfg(test)]
#[cfg(unix)]
mod tests {
    use std::time::Duration;

    use super::super::publish;
    use super::*;

    type Change<'a> = &'a dyn Fn(&Order);

    fn write(order: &Order, path: &str, bytes: impl AsRef<[u8]>) {
        let place = order.journal.join(path);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, bytes).unwrap();
    }

    /// Writes over a file without its length or its time telling.
    fn swap(place: &Path) {
        let before = place.metadata().unwrap();
        let mut bytes = fs::read(place).unwrap();
        let at = bytes.iter().rposition(u8::is_ascii_lowercase).unwrap();
        bytes[at] = if bytes[at] == b'e' { b'o' } else { b'e' };
        fs::write(place, bytes).unwrap();
        File::options().write(true).open(place).unwrap().set_modified(before.modified().unwrap()).unwrap();
        assert_eq!(place.metadata().unwrap().len(), before.len());
    }

    fn recalled(order: &Order) -> Option<Published> {
        Begun::look(order)?.recall()
    }

    /// Publishes until it is remembered: what is younger than a moment is not.
    fn settled(order: &Order) -> Published {
        for _ in 0..600 {
            let published = publish(order, &()).unwrap();
            if recalled(order).is_some() {
                return published;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("it was never remembered");
    }

    fn journal() -> (tempfile::TempDir, Order) {
        let dir = tempfile::tempdir().unwrap();
        let order = Order { journal: dir.path().join("journal"), ..Order::default() };
        write(&order, "journal.yaml", "title: Quiet\n");
        write(&order, "parts/a.yaml", "tub: { kind: case, dial_seat: 28.6 }\nold: { kind: dail }\n");
        write(&order, "builds/a/build.md", "---\ntitle: A\nparts: { case: tub }\n---\nOne watch.\n");
        write(&order, "builds/a/day.md", "---\ndate: 2026-01-02\n---\nOne day.\n");
        write(&order, "themes/linen/more.css", "main { margin: 1px; }\n");
        (dir, order)
    }

    fn site_of(order: &Order) -> BTreeMap<PathBuf, Vec<u8>> {
        let files = walkdir::WalkDir::new(order.target()).into_iter().map(Result::unwrap);
        let files = files.filter(|entry| entry.file_type().is_file() && entry.file_name() != LOCK);
        files
            .map(|entry| {
                let path = entry.path().strip_prefix(order.target()).unwrap().to_owned();
                (path, fs::read(entry.path()).unwrap())
            })
            .collect()
    }

    #[test]
    fn what_has_not_changed_is_said_again() {
        let (_dir, order) = journal();
        let published = settled(&order);
        assert!(!published.problems.is_empty());
        let again = publish(&order, &()).unwrap();
        assert_eq!((again.pages, again.kept), (published.pages, published.pages));
        assert_eq!((&again.problems, &again.start), (&published.problems, &published.start));
        assert_eq!(again.written, Written { unchanged: again.written.unchanged, ..Written::default() });
        let afresh = publish(&Order { fresh: true, ..order.clone() }, &()).unwrap();
        assert_eq!((again.written, again.problems), (afresh.written, afresh.problems));
        // Nobody reads what an editor leaves behind.
        write(&order, "builds/a/.day.md.swp", "swap");
        assert!(recalled(&order).is_some());
    }

    #[test]
    fn whatever_changed_is_seen() {
        let (_dir, order) = journal();
        let elsewhere = order.journal.parent().unwrap().join("other");
        let changes: &[(&str, Change<'_>)] = &[
            ("a text of the same length and time", &|order| swap(&order.journal.join("builds/a/day.md"))),
            ("a part of the same length and time", &|order| swap(&order.journal.join("parts/a.yaml"))),
            ("settings", &|order| write(order, "journal.yaml", "title: Loud!\n")),
            ("a theme of the same length and time", &|order| {
                swap(&order.journal.join("themes/linen/more.css"));
            }),
            ("a theme's new file", &|order| write(order, "themes/linen/icon.svg", "<svg/>")),
            ("a template that fails", &|order| write(order, "themes/linen/part.html", "{{ part.nothing }}")),
            ("a template that cannot be read", &|order| write(order, "themes/linen/part.html", "{% if")),
            ("a template that is mended", &|order| {
                write(order, "themes/linen/part.html", "{% extends \"linen/part.html\" %}");
            }),
            ("no theme", &|order| fs::remove_dir_all(order.journal.join("themes")).unwrap()),
            ("an entry", &|order| write(order, "builds/a/more.md", "---\ndate: 2026-01-03\n---\n")),
            ("an entry that is gone", &|order| {
                fs::remove_file(order.journal.join("builds/a/more.md")).unwrap();
            }),
            ("a name", &|order| {
                fs::rename(order.journal.join("builds/a"), order.journal.join("builds/b")).unwrap();
            }),
            ("an empty build", &|order| fs::create_dir(order.journal.join("builds/c")).unwrap()),
            ("a photo", &|order| write(order, "builds/b/a.jpg", "no photo")),
            ("a photo of the same length and time", &|order| swap(&order.journal.join("builds/b/a.jpg"))),
            ("a folder that is a link to itself elsewhere", &|order| {
                let (here, there) = (order.journal.join("parts"), order.journal.join("elsewhere"));
                fs::rename(&here, &there).unwrap();
                std::os::unix::fs::symlink(&there, &here).unwrap();
            }),
            ("a link that is the folder again", &|order| {
                fs::remove_file(order.journal.join("parts")).unwrap();
                fs::rename(order.journal.join("elsewhere"), order.journal.join("parts")).unwrap();
            }),
            ("a folder that cannot be read as one", &|order| {
                fs::remove_dir(order.journal.join("builds/c")).unwrap();
                std::os::unix::fs::symlink("b", order.journal.join("builds/c")).unwrap();
            }),
            ("a page that is gone", &|order| fs::remove_file(order.target().join("builds/b.html")).unwrap()),
            ("a page of the same length and time", &|order| swap(&order.target().join("builds/b.html"))),
            ("a damaged index", &|order| swap(&order.target().join("search/pages.js"))),
            ("an empty style", &|order| {
                let styles =
                    fs::read_dir(order.target().join("assets")).unwrap().map(|it| it.unwrap().path());
                let style = styles.into_iter().find(|it| it.to_string_lossy().contains("style")).unwrap();
                fs::write(style, "").unwrap();
            }),
            ("what a run left that was ended", &|order| {
                fs::create_dir(order.target().join(".endshake-new")).unwrap();
                fs::write(order.target().join(".endshake-new/1"), "half").unwrap();
            }),
            ("no site", &|order| fs::remove_dir_all(order.target()).unwrap()),
        ];
        for (what, change) in changes {
            settled(&order);
            change(&order);
            assert!(recalled(&order).is_none(), "{what} was not seen");
            let published = publish(&order, &()).unwrap();
            let _ = fs::remove_dir_all(&elsewhere);
            let fresh = Order { to: Some(elsewhere.clone()), fresh: true, ..order.clone() };
            let afresh = publish(&fresh, &()).unwrap();
            assert_eq!(published.problems, afresh.problems, "{what}");
            assert_eq!(site_of(&order), site_of(&fresh), "{what}");
        }
    }

    #[test]
    fn another_folder_or_another_writer_is_another_matter() {
        let (dir, order) = journal();
        settled(&order);
        assert!(recalled(&Order { fresh: true, ..order.clone() }).is_none());
        assert!(recalled(&Order { only: Some("a".into()), ..order.clone() }).is_none());
        assert!(recalled(&Order { to: Some(dir.path().join("to")), ..order.clone() }).is_none());
        let held = lock(&order.target()).unwrap();
        assert!(recalled(&order).is_none());
        drop(held);
        assert!(recalled(&order).is_some());
        // The same site of a journal that was moved: its photos lie elsewhere.
        let moved = Order { journal: dir.path().join("moved"), to: Some(order.target()), ..Order::default() };
        let copy =
            std::process::Command::new("cp").arg("-a").arg(&order.journal).arg(&moved.journal).status();
        assert!(copy.unwrap().success());
        assert!(recalled(&moved).is_none());
    }

    #[test]
    fn a_theme_behind_a_link_is_never_taken_for_the_same() {
        let (dir, order) = journal();
        fs::create_dir(dir.path().join("mine")).unwrap();
        std::os::unix::fs::symlink(dir.path().join("mine"), order.journal.join("themes/mine")).unwrap();
        publish(&order, &()).unwrap();
        assert!(Begun::look(&order).is_none());
    }
}
