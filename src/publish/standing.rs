//! What is remembered of a site from one run to the next, in the person's cache folder.
//!
//! It only saves time: where it is lost, damaged, or of another program, every page is made again.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

use crate::pages::Kept;

use super::cache;

/// The pages of one site's folder that were made of known things, and how their files stood.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Standing {
    /// Which program made them: another would make others of the same journal.
    program: String,
    pub(super) kept: Kept,
    stamps: BTreeMap<String, Stamp>,
}

/// What tells a file from itself after a change, without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    length: u64,
    /// Nanoseconds since 1970.
    modified: u64,
    /// The same for its name, owner and rights, and the number of the file; 0 where the system has none.
    changed: u64,
    number: u64,
}

impl Standing {
    /// What is remembered of the site in `folder`; nothing where it cannot be believed.
    #[must_use]
    pub fn load(folder: &Path) -> Standing {
        let read = || -> Option<Standing> {
            let standing: Standing = serde_json::from_slice(&fs::read(place(folder)?).ok()?).ok()?;
            (standing.program == program()?).then_some(standing)
        };
        read().unwrap_or_default()
    }

    /// Remembers it for the next run. That it could not be is no fault: the next run takes longer.
    pub fn store(&self, folder: &Path) {
        let write = || -> Option<()> {
            let (place, program) = (place(folder)?, program()?);
            let cache = place.parent()?;
            fs::create_dir_all(cache).ok()?;
            let text = serde_json::to_vec(&Standing { program, ..self.clone() }).ok()?;
            let mut file = tempfile::NamedTempFile::new_in(cache).ok()?;
            file.write_all(&text).ok()?;
            file.persist(&place).ok()?;
            forget_old(cache)
        };
        let _ = write();
    }

    /// Notes how the pages stand in `folder`, once the round that kept or wrote them has finished.
    pub fn stamp(&mut self, folder: &Path) {
        let stamps =
            self.kept.paths().filter_map(|path| Some((path.to_owned(), Stamp::of(&folder.join(path))?)));
        self.stamps = stamps.collect();
    }

    /// Whether the file at `path` stands in `folder` as it did.
    pub(super) fn stands(&self, folder: &Path, path: &str) -> bool {
        self.stamps.get(path).is_some_and(|stamp| Stamp::of(&folder.join(path)).as_ref() == Some(stamp))
    }
}

impl Stamp {
    fn of(place: &Path) -> Option<Stamp> {
        let it = place.symlink_metadata().ok().filter(fs::Metadata::is_file)?;
        let modified = it.modified().ok()?.duration_since(UNIX_EPOCH).ok()?.as_nanos() as u64;
        #[cfg(unix)]
        let (changed, number) = {
            use std::os::unix::fs::MetadataExt as _;
            let seconds = it.ctime().wrapping_mul(1_000_000_000);
            (seconds.wrapping_add(it.ctime_nsec()) as u64, it.ino())
        };
        #[cfg(not(unix))]
        let (changed, number) = (0, 0);
        Some(Stamp { length: it.len(), modified, changed, number })
    }
}

/// So many sites are remembered.
const MOST: usize = 32;

/// Deletes what was not written for the longest time.
fn forget_old(cache: &Path) -> Option<()> {
    let files = fs::read_dir(cache).ok()?.flatten();
    let dated = files.filter_map(|file| Some((file.metadata().ok()?.modified().ok()?, file.path())));
    let mut dated: Vec<_> = dated.collect();
    dated.sort();
    for (_, place) in dated.iter().rev().skip(MOST) {
        fs::remove_file(place).ok()?;
    }
    Some(())
}

fn place(folder: &Path) -> Option<PathBuf> {
    let folder = folder.canonicalize().ok()?;
    let name = &blake3::hash(folder.as_os_str().as_encoded_bytes()).to_hex()[..16];
    Some(cache("pages")?.join(format!("{name}.json")))
}

/// This program, told from any other build of it.
fn program() -> Option<String> {
    let stamp = Stamp::of(&std::env::current_exe().ok()?.canonicalize().ok()?)?;
    Some(format!("{} {} {} {}", env!("CARGO_PKG_VERSION"), stamp.length, stamp.modified, stamp.number))
}
