//! Errors of the disk, in words that say what to do.

use std::io::{Error, ErrorKind};

/// A disk error as a person would say it; any other keeps the system's words.
pub(super) fn told(error: Error) -> anyhow::Error {
    let words = match error.kind() {
        ErrorKind::StorageFull => "the disk is full: free some space and try again",
        ErrorKind::QuotaExceeded => "your disk quota is used up: free some space and try again",
        ErrorKind::FileTooLarge => "the file would be larger than the system allows here",
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only: choose a folder on another one",
        ErrorKind::PermissionDenied => {
            "you may not write there: change its permissions, or choose another folder"
        }
        ErrorKind::NotADirectory => "part of the path is a file, not a folder",
        ErrorKind::CrossesDevices => "a folder of the site is on another disk: move it to this one",
        _ => return anyhow::Error::new(error),
    };
    anyhow::Error::new(error).context(words)
}
