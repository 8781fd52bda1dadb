//! What is remembered from one run to the next, in the person's cache folder.
//!
//! It only saves time: where it is lost, damaged, or of another program, everything is made again.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::{cache, cached};

/// What tells a file from itself after a change, without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Stamp {
    length: u64,
    /// Nanoseconds since 1970.
    modified: u64,
    /// The same for its name, owner and rights, and the number of the file; 0 where the system has none.
    changed: u64,
    number: u64,
}

impl Stamp {
    /// That of a plain file; `None` for anything else.
    pub(super) fn of(place: &Path) -> Option<Stamp> {
        Stamp::told(&place.symlink_metadata().ok().filter(fs::Metadata::is_file)?)
    }

    /// That of whatever the system told it of.
    pub(super) fn told(it: &fs::Metadata) -> Option<Stamp> {
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

    /// The later of its times.
    pub(super) fn latest(&self) -> u64 {
        self.modified.max(self.changed)
    }

    pub(super) fn to_bytes(self) -> [u8; 32] {
        let mut bytes = [0; 32];
        let numbers = [self.length, self.modified, self.changed, self.number];
        bytes
            .chunks_exact_mut(8)
            .zip(numbers)
            .for_each(|(to, number)| to.copy_from_slice(&number.to_le_bytes()));
        bytes
    }
}

#[derive(Serialize, Deserialize)]
struct Remembered<T> {
    /// Which program remembers it: another may make something else of the same journal.
    program: String,
    what: T,
}

/// What is remembered as `kind` of the site in `folder`; `None` where it cannot be believed.
pub(super) fn recall<T: DeserializeOwned>(kind: &str, folder: &Path) -> Option<T> {
    let read: Remembered<T> = serde_json::from_slice(&fs::read(place(kind, folder)?).ok()?).ok()?;
    (read.program == program()?).then_some(read.what)
}

/// Remembers it for the next run. That it could not be is no fault: the next run takes longer.
pub(super) fn remember<T: Serialize>(kind: &str, folder: &Path, what: &T) {
    let write = || -> Option<()> {
        let (place, program) = (place(kind, folder)?, program()?);
        let text = serde_json::to_vec(&Remembered { program, what }).ok()?;
        let cache = place.parent()?;
        let mut file = fresh_file(kind)?;
        file.write_all(&text).ok()?;
        file.persist(&place).ok()?;
        forget_old(cache)
    };
    let _ = write();
}

/// What time it is to the disk, in nanoseconds since 1970: whatever changes later has this time or a later one.
pub(super) fn now(kind: &str) -> Option<u64> {
    Some(Stamp::told(&fresh_file(kind)?.as_file().metadata().ok()?)?.modified)
}

fn fresh_file(kind: &str) -> Option<tempfile::NamedTempFile> {
    let cache = cache(kind)?;
    fs::create_dir_all(&cache).ok()?;
    tempfile::NamedTempFile::new_in(cache).ok()
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

fn place(kind: &str, folder: &Path) -> Option<PathBuf> {
    Some(cached(kind, folder)?.with_extension("json"))
}

/// This program, told from any other build of it.
fn program() -> Option<String> {
    let it = Stamp::of(&std::env::current_exe().ok()?.canonicalize().ok()?)?;
    Some(format!("{} {} {} {}", env!("CARGO_PKG_VERSION"), it.length, it.modified, it.number))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_another_program_remembered_is_not_believed() {
        let dir = tempfile::tempdir().unwrap();
        remember("pages", dir.path(), &"something");
        assert_eq!(recall("pages", dir.path()), Some("something".to_owned()));
        assert_eq!(recall::<u32>("pages", dir.path()), None);
        let file = place("pages", dir.path()).unwrap();
        let text = fs::read_to_string(&file).unwrap();
        let other = text.replacen("\"program\":\"", "\"program\":\"9", 1);
        assert_ne!(text, other);
        for damaged in [other.as_str(), &text[..text.len() / 2], ""] {
            fs::write(&file, damaged).unwrap();
            assert_eq!(recall::<String>("pages", dir.path()), None, "{damaged}");
        }
        fs::remove_file(file).unwrap();
    }
}
