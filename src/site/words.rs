//! The disk's answers, in words.

use std::io::{Error, ErrorKind};

/// An error of the disk as a person would say it; the others keep the system's words.
pub(super) fn told(error: Error) -> anyhow::Error {
    let words = match error.kind() {
        ErrorKind::StorageFull => "the disk is full: make room and try again",
        ErrorKind::QuotaExceeded => "your share of the disk is used up: make room and try again",
        ErrorKind::FileTooLarge => "the file would be larger than the system allows here",
        ErrorKind::ReadOnlyFilesystem => "the disk can only be read: give a folder on another one",
        ErrorKind::PermissionDenied => {
            "you may not write there: change its permissions, or give another folder"
        }
        ErrorKind::NotADirectory => "a part of the path is a file and not a folder",
        ErrorKind::CrossesDevices => "a folder of the site stands on another disk: move it away",
        _ => return anyhow::Error::new(error),
    };
    anyhow::Error::new(error).context(words)
}
