//! Writing the site into its folder, so that it is whole whenever the program ends.
//!
//! The writer knows files, not journals: a caller opens a `Site`, begins a `Round`, puts the
//! bytes of every file of the site into it and finishes. While files are put, nothing that a
//! reader can see changes: new bytes wait in a folder of their own inside the site's. Finishing
//! then moves them in by renames, in an order in which every link and picture leads somewhere at
//! any moment: files with content names, then pages that are new, then pages that change, then
//! the data that scripts load, and what is no longer wanted goes last.
//!
//! The promise is for a process that ends anywhere, by a signal or a full disk: every file is
//! whole, every link resolves, each page is the old or the new one (a new page whose neighbours
//! are not there yet may lack its links to them), and the next round finishes. A machine that
//! loses its power is left to the file system.
//!
//! The manifest `.endshake.json` says which files are ours. No other file is written over or
//! deleted, links are not followed, and a file of ours that someone changed is not deleted.

mod links;
mod lock;
mod manifest;
mod names;
mod next_state;
mod order;
mod place;
mod round;
mod switch;
mod words;

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

pub use names::{LOCK, MANIFEST};
pub use next_state::{FileRole, Written};
pub use place::allowed;
pub use round::Round;

use crate::photos;
use manifest::Manifest;
use next_state::NextState;
use words::told;

/// The folder of a site, held so that no other run writes to it.
#[derive(Debug)]
pub struct Site {
    folder: PathBuf,
    /// The folder as the person named it, for messages.
    shown: PathBuf,
    manifest: Manifest,
    /// Released by the system when the process ends, however it ends.
    _lock: File,
}

impl Site {
    /// Opens the folder for writing, and makes it if need be. What a run that was ended left
    /// half-done in our own working folder is cleared away.
    ///
    /// Refused, with nothing changed: a place that [`allowed`] refuses, a folder that is not empty
    /// and has no manifest, a damaged manifest, a folder that another run writes to.
    pub fn open(journal: &Path, target: &Path) -> Result<Site> {
        let folder = allowed(journal, target)?;
        let doing = || format!("cannot write the site to {}", target.display());
        refuse_strange(&folder, target)?;
        fs::create_dir_all(&folder).map_err(told).with_context(doing)?;
        let lock = lock::take(&folder, target)?;
        // Another run may have come in between; now none can.
        refuse_strange(&folder, target)?;
        let manifest = read_manifest(&folder, target)?.unwrap_or_default();
        let mut site = Site { folder, shown: target.to_owned(), manifest, _lock: lock };
        // It stands only while a round is under way, or where one was ended.
        if site.clear_working_folder()? {
            site.adopt_claimed();
        }
        Ok(site)
    }

    /// Where the site stands, links followed. The photo store writes below it, into folders that
    /// it has claimed in the round ([`Round::claim`]).
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Begins to put together the next state of the site.
    pub fn begin(&mut self) -> Round<'_> {
        Round::new(self)
    }

    fn working_folder(&self) -> PathBuf {
        self.folder.join(names::STAGING)
    }

    /// Removes our working folder, and tells whether it was there; only plain files directly in it
    /// are ours.
    fn clear_working_folder(&self) -> Result<bool> {
        let working = self.working_folder();
        match working.symlink_metadata() {
            Ok(it) if it.is_dir() => {}
            Ok(_) => bail!("{} is not a folder: move it away", working.display()),
            Err(_) => return Ok(false),
        }
        let clear = || -> std::io::Result<()> {
            for entry in fs::read_dir(&working)? {
                fs::remove_file(entry?.path())?;
            }
            fs::remove_dir(&working)
        };
        clear().map_err(told).with_context(|| format!("cannot clear {}", working.display()))?;
        Ok(true)
    }

    /// Takes over the files that a run which did not finish wrote under their content names, and
    /// clears those that it began.
    fn adopt_claimed(&mut self) {
        for claimed in self.manifest.claimed.clone() {
            for entry in walkdir::WalkDir::new(self.folder.join(&claimed)).into_iter().flatten() {
                let Ok(within) = entry.path().strip_prefix(&self.folder) else { continue };
                let path = within.to_string_lossy().replace('\\', "/");
                if entry.file_type().is_file()
                    && entry.file_name().to_str().is_some_and(photos::is_unfinished)
                {
                    // What cannot be cleared now is cleared by the photo store.
                    let _ = fs::remove_file(entry.path());
                } else if entry.file_type().is_file()
                    && names::is_content_name(&path)
                    && names::check(&path).is_ok()
                {
                    self.manifest.also(&path, None);
                }
            }
        }
    }

    /// A number and a place for the next file that waits.
    fn next_waiting(&self, state: &mut NextState) -> Result<(usize, PathBuf)> {
        if state.waiting == 0 {
            self.make_working_folder()?;
        }
        state.waiting += 1;
        Ok((state.waiting, self.working_folder().join(state.waiting.to_string())))
    }

    fn make_working_folder(&self) -> Result<()> {
        fs::create_dir_all(self.working_folder())
            .map_err(told)
            .with_context(|| format!("cannot write the site to {}", self.shown.display()))
    }
}

/// Refuses a folder that somebody else fills: not empty, and without a manifest of ours.
fn refuse_strange(folder: &Path, shown: &Path) -> Result<()> {
    let shown = shown.display();
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(told(error)).with_context(|| format!("cannot read the folder {shown}")),
    };
    let mut strange = BTreeSet::new();
    for entry in entries {
        let name = entry.map_err(told)?.file_name().to_string_lossy().into_owned();
        if name == names::MANIFEST {
            return Ok(());
        }
        if name != names::LOCK && name != names::STAGING {
            strange.insert(name);
        }
    }
    if let Some(first) = strange.first() {
        bail!(
            "{shown} is not empty (it holds `{first}`) and Endshake did not make it: give an empty or a new folder"
        );
    }
    Ok(())
}

fn read_manifest(folder: &Path, shown: &Path) -> Result<Option<Manifest>> {
    let path = folder.join(names::MANIFEST);
    let shown = shown.join(names::MANIFEST);
    match path.symlink_metadata() {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Ok(it) if !it.is_file() => bail!("{} is not a plain file: move it away", shown.display()),
        _ => {}
    }
    let read = || -> Result<Manifest> { Manifest::read(&fs::read(&path).map_err(told)?) };
    read().map(Some).with_context(|| {
        format!(
            "cannot use {}, which says which files of the site Endshake may replace: \
             move the folder away and publish again",
            shown.display()
        )
    })
}

#[cfg(test)]
mod tests;
