//! The folder of caches is bounded: in number, and by how long a cache was not used.
//!
//! One cache is written for each store, and a store may be deleted or moved at any time.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::file_stamp::FileStamp;

/// The most caches that are kept.
const MOST: usize = 32;

const DAY: i64 = 24 * 60 * 60 * 1_000_000_000;

/// A cache that was not written for so long is deleted, in nanoseconds.
const OLDEST: i64 = 180 * DAY;

/// A cache in use that did not change is written again after so long, in nanoseconds.
pub(super) const RENEWED: i64 = 30 * DAY;

/// Begins and ends the name of a file that is still being written.
const UNFINISHED: (&str, &str) = (".unfinished-", ".part");

/// A file in `folder` to be written and renamed, and the time by the disk's clock.
pub(super) fn unfinished(folder: &Path) -> io::Result<(NamedTempFile, i64)> {
    let (prefix, suffix) = UNFINISHED;
    let file = tempfile::Builder::new().prefix(prefix).suffix(suffix).tempfile_in(folder)?;
    let now = FileStamp::of(&file.as_file().metadata()?).map_or(0, |stamp| stamp.modified());
    Ok((file, now))
}

/// Deletes caches beside `written`, which was written just now: those that were not written for the
/// longest time, and what a killed run left unfinished. Caches end in the same extension.
pub(super) fn enforce(written: &Path, now: i64) -> io::Result<()> {
    let mut caches: Vec<(i64, PathBuf)> = Vec::new();
    for entry in fs::read_dir(written.parent().unwrap_or(written))? {
        let entry = entry?;
        let (path, name) = (entry.path(), entry.file_name());
        let Some(stamp) =
            entry.metadata().ok().filter(fs::Metadata::is_file).and_then(|it| FileStamp::of(&it))
        else {
            continue;
        };
        let (prefix, suffix) = UNFINISHED;
        let left = name.to_str().is_some_and(|name| name.starts_with(prefix) && name.ends_with(suffix));
        if left && stamp.modified() < now - DAY {
            fs::remove_file(&path)?;
        } else if path != written && path.extension() == written.extension() {
            caches.push((stamp.modified(), path));
        }
    }
    caches.sort_unstable();
    let too_many = caches.len().saturating_sub(MOST - 1);
    for (index, (modified, path)) in caches.iter().enumerate() {
        if index < too_many || *modified < now - OLDEST {
            fs::remove_file(path)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    /// Writes an empty file that is `days` old by the clock of the disk.
    fn aged(folder: &Path, name: &str, days: u64) {
        let path = folder.join(name);
        fs::write(&path, "").unwrap();
        let now = fs::metadata(&path).unwrap().modified().unwrap();
        let file = fs::File::options().write(true).open(&path).unwrap();
        file.set_modified(now - Duration::from_secs(days * 24 * 60 * 60)).unwrap();
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<_> = entries.map(|one| one.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn old_and_surplus_caches_are_deleted() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path();
        for days in 1..=40 {
            aged(folder, &format!("{days:03}.json"), days);
        }
        aged(folder, "notes.txt", 400);
        aged(folder, ".unfinished-a1.part", 2);
        aged(folder, ".unfinished-b2.part", 0);
        let written = folder.join("written.json");
        fs::write(&written, "").unwrap();
        let (file, now) = unfinished(folder).unwrap();
        drop(file);
        enforce(&written, now).unwrap();
        let kept = names(folder);
        let caches: Vec<_> = kept.iter().filter(|name| name.ends_with(".json")).collect();
        assert_eq!(caches.len(), MOST);
        assert_eq!((caches[0].as_str(), caches[MOST - 1].as_str()), ("001.json", "written.json"));
        assert_eq!(caches[MOST - 2], "031.json");
        assert!(kept.contains(&"notes.txt".to_owned()), "a foreign file stays");
        assert!(kept.contains(&".unfinished-b2.part".to_owned()), "another run may be writing it");
        assert!(!kept.contains(&".unfinished-a1.part".to_owned()));

        aged(folder, "001.json", 181);
        enforce(&written, now).unwrap();
        assert!(!folder.join("001.json").exists() && folder.join("002.json").exists());
    }
}
