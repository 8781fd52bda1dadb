//! Putting together the next state of the site, while the present one stays as it is.

use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

use anyhow::{Context, Result, bail};

use super::manifest::hash;
use super::next_state::{FileRole, NextState, Planned, Written, write_new};
use super::words::told;
use super::{Site, links, names, switch};

/// The next state of a site. Files may be put from several threads and in any order.
///
/// A round that is dropped, or whose finish fails before it begins to move files in, leaves the
/// site as it was.
#[derive(Debug)]
pub struct Round<'a> {
    pub(super) site: &'a mut Site,
    pub(super) state: Mutex<NextState>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum OnDisk {
    Nothing,
    File,
    Folder,
}

impl<'a> Round<'a> {
    pub(super) fn new(site: &'a mut Site) -> Round<'a> {
        Round { site, state: Mutex::new(NextState::default()) }
    }

    /// Where the site stands, links followed.
    pub fn folder(&self) -> &std::path::Path {
        &self.site.folder
    }

    /// Gives the file at `path` (relative, with `/`) these bytes once the round finishes. Bytes
    /// that stand there already are left alone.
    pub fn put(&self, path: &str, kind: FileRole, bytes: &[u8]) -> Result<()> {
        names::check(path)?;
        let standing = self.enter(path)?;
        if standing == OnDisk::Folder {
            bail!("{} is a folder and not a file: move it away", self.site.shown.join(path).display());
        }
        let standing = standing == OnDisk::File;
        let place = self.site.folder.join(path);
        let is_ours = standing && self.site.manifest.files.contains_key(path);
        if standing && !is_ours {
            self.state().strange.insert(path.to_owned());
            return Ok(());
        }
        let mut planned =
            Planned { kind, hash: Some(hash(bytes)), waiting: None, is_new: !standing, links: Vec::new() };
        let same = is_ours
            && place.metadata().is_ok_and(|it| it.len() == bytes.len() as u64)
            && fs::read(&place).is_ok_and(|stands| stands == bytes);
        if !same {
            if kind == FileRole::Page && planned.is_new {
                planned.links = links::of(path, bytes);
            }
            planned.waiting = Some(self.wait(path, bytes)?);
        }
        self.state().files.insert(path.to_owned(), planned);
        Ok(())
    }

    /// Takes back what was put at `path`, as if it never had been.
    pub fn take_back(&self, path: &str) {
        let mut state = self.state();
        state.files.remove(path);
        state.folded.remove(&names::folded(path));
    }

    /// Whether the file at `path` is one that the last round left there as it was put.
    pub fn is_ours(&self, path: &str) -> bool {
        self.site.manifest.files.get(path).is_some_and(|hashes| hashes.len() == 1)
    }

    /// Keeps a file that stands in the folder and is right: one that the caller wrote under its
    /// content name into a folder that it claimed, or one of an earlier round.
    pub fn keep(&self, path: &str, kind: FileRole) -> Result<()> {
        names::check(path)?;
        if self.enter(path)? != OnDisk::File {
            bail!("{} is gone", self.site.shown.join(path).display());
        }
        let known = self.site.manifest.files.get(path);
        let hash = match known.map(Vec::as_slice) {
            Some([hash]) => Some(hash.clone()),
            Some([]) => None,
            // Of several hashes the file's own is the one that matters from now on.
            Some(_) => Some(hash(&fs::read(self.site.folder.join(path)).map_err(told)?)),
            None if self.claims(path) => None,
            None => {
                self.state().strange.insert(path.to_owned());
                return Ok(());
            }
        };
        let planned = Planned { kind, hash, waiting: None, is_new: false, links: Vec::new() };
        self.state().files.insert(path.to_owned(), planned);
        Ok(())
    }

    /// Says before the first of them is written that files with content names in `folder` will
    /// be ours, so that a run that is ended half-way leaves none that nobody owns. The folder is
    /// made if need be.
    pub fn claim(&self, folder: &str) -> Result<()> {
        names::check(folder)?;
        if self.enter(folder)? == OnDisk::File {
            bail!("{} is a file and not a folder: move it away", self.site.shown.join(folder).display());
        }
        let mut state = self.state();
        // It tells the next run that this one was under way.
        self.site.make_working_folder()?;
        state.claimed.insert(folder.to_owned());
        if !self.site.manifest.claimed.contains(folder) {
            let mut next = self.site.manifest.clone();
            next.claimed.extend(state.claimed.iter().cloned());
            switch::write_manifest(self.site, &next)?;
        }
        drop(state);
        fs::create_dir_all(self.site.folder.join(folder))
            .map_err(told)
            .with_context(|| format!("cannot make {}", self.site.shown.join(folder).display()))
    }

    /// A name for a temporary file of the caller's, on the same disk as the site: cleared away
    /// when the round ends, or by the next run.
    pub fn temporary(&self) -> Result<PathBuf> {
        Ok(self.site.next_waiting(&mut self.state())?.1)
    }

    /// Moves everything in. On success the folder holds the files put and kept, and whatever is
    /// not ours.
    pub fn finish(self) -> Result<Written> {
        self.finish_stepwise(&mut || Ok(()))
    }

    /// Calls `step` before each change that a reader can see, and stops where it fails.
    pub(super) fn finish_stepwise(self, step: &mut dyn FnMut() -> Result<()>) -> Result<Written> {
        let state = self.state();
        if !state.strange.is_empty() {
            let some: Vec<_> = state.strange.iter().take(5).map(|path| format!("`{path}`")).collect();
            let more = state.strange.len() - some.len();
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            bail!(
                "{} holds files that Endshake did not write and would have to replace: {}{more}; move them away",
                self.site.shown.display(),
                some.join(", ")
            );
        }
        drop(state);
        let state = std::mem::take(&mut *self.state());
        self.site.manifest.claimed.extend(state.claimed.iter().cloned());
        switch::make(self.site, state, step)
    }

    pub(super) fn state(&self) -> MutexGuard<'_, NextState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Notes the path and looks at what stands there. Links and devices are refused, and so is a
    /// folder on the way that is none.
    fn enter(&self, path: &str) -> Result<OnDisk> {
        let mut state = self.state();
        let fresh = state.folded.insert(names::folded(path), path.to_owned());
        if let Some(other) = fresh.filter(|other| other != path || state.files.contains_key(path)) {
            bail!("`{path}` and `{other}` are one file of the site on some systems: rename one");
        }
        for (at, _) in path.match_indices('/') {
            let folder = &path[..at];
            if state.folders.contains(folder) {
                continue;
            }
            match self.site.folder.join(folder).symlink_metadata() {
                Ok(it) if it.is_dir() => {}
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Ok(it) => {
                    let what = if it.is_symlink() { "a link" } else { "a file" };
                    bail!(
                        "{} is {what} and not a folder: move it away",
                        self.site.shown.join(folder).display()
                    )
                }
                Err(error) => {
                    return Err(told(error)).with_context(|| {
                        format!("cannot look at {}", self.site.shown.join(folder).display())
                    });
                }
            }
            state.folders.insert(folder.to_owned());
        }
        drop(state);
        match self.site.folder.join(path).symlink_metadata() {
            Ok(it) if it.is_symlink() => {
                bail!(
                    "{} is a link: Endshake writes no links and follows none; move it away",
                    self.site.shown.join(path).display()
                )
            }
            Ok(it) if it.is_dir() => Ok(OnDisk::Folder),
            Ok(it) if it.is_file() => Ok(OnDisk::File),
            Ok(_) => bail!("{} is not a plain file: move it away", self.site.shown.join(path).display()),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(OnDisk::Nothing),
            Err(error) => Err(told(error))
                .with_context(|| format!("cannot look at {}", self.site.shown.join(path).display())),
        }
    }

    fn claims(&self, path: &str) -> bool {
        let state = self.state();
        let mut claimed = state.claimed.iter().chain(&self.site.manifest.claimed);
        names::is_content_name(path) && claimed.any(|folder| path.starts_with(&format!("{folder}/")))
    }

    /// Writes the bytes beside the site and answers the number they wait under.
    fn wait(&self, path: &str, bytes: &[u8]) -> Result<usize> {
        let (number, place) = self.site.next_waiting(&mut self.state())?;
        write_new(&place, bytes).map_err(told).with_context(|| {
            format!("cannot write {} (the site is unchanged)", self.site.shown.join(path).display())
        })?;
        Ok(number)
    }
}

impl Drop for Round<'_> {
    fn drop(&mut self) {
        // Empty after a finish that came to its end or was stopped while files were moved.
        let claimed = std::mem::take(&mut self.state().claimed);
        if !claimed.is_empty() {
            self.site.manifest.claimed.extend(claimed);
            self.site.adopt_claimed();
        }
        // What cannot be cleared now is cleared by the next run.
        let _ = self.site.clear_working_folder();
    }
}
