//! What tells a file from itself after a change, without reading it.

use std::fs;
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

/// A file's length, times and number: equal stamps of one path mean an unchanged file.
///
/// The time of the last change of the inode cannot be set by programs that copy or unpack, so a
/// file that was replaced by one of equal size and date is seen too, where the system keeps it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileStamp {
    length: u64,
    /// Nanoseconds since 1970.
    modified: i64,
    /// Of the inode: name, owner and rights count too. As `modified` where the system has none.
    changed: i64,
    /// The inode's number; 0 where the system has none.
    inode: u64,
}

impl FileStamp {
    /// Of what the system says of a file; `None` where it says no time.
    pub fn of(metadata: &fs::Metadata) -> Option<FileStamp> {
        let modified = metadata.modified().ok()?;
        let modified = match modified.duration_since(UNIX_EPOCH) {
            Ok(since) => i64::try_from(since.as_nanos()).ok()?,
            Err(before) => -i64::try_from(before.duration().as_nanos()).ok()?,
        };
        #[cfg(unix)]
        let (changed, inode) = {
            use std::os::unix::fs::MetadataExt as _;
            (metadata.ctime().wrapping_mul(1_000_000_000).wrapping_add(metadata.ctime_nsec()), metadata.ino())
        };
        #[cfg(not(unix))]
        let (changed, inode) = (modified, 0);
        Some(FileStamp { length: metadata.len(), modified, changed, inode })
    }

    /// When the file was last written, in nanoseconds since 1970.
    pub fn modified(&self) -> i64 {
        self.modified
    }

    /// The later of its times, in nanoseconds since 1970.
    pub fn latest(&self) -> i64 {
        self.modified.max(self.changed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_replaced_file_of_equal_size_and_date_has_another_stamp() {
        let folder = tempfile::tempdir().unwrap();
        let (one, other) = (folder.path().join("one"), folder.path().join("other"));
        fs::write(&one, "before").unwrap();
        let metadata = fs::metadata(&one).unwrap();
        let before = FileStamp::of(&metadata).unwrap();
        assert_eq!(before, FileStamp::of(&fs::metadata(&one).unwrap()).unwrap());
        fs::write(&other, "behind").unwrap();
        fs::File::options()
            .write(true)
            .open(&other)
            .unwrap()
            .set_modified(metadata.modified().unwrap())
            .unwrap();
        fs::rename(&other, &one).unwrap();
        let after = FileStamp::of(&fs::metadata(&one).unwrap()).unwrap();
        assert_eq!(after.modified(), before.modified());
        #[cfg(unix)]
        assert_ne!(after, before);
    }
}
