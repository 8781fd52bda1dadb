//! One writer at a time.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

use anyhow::{Context, Result, bail};

use super::names;
use super::words::told;

/// Takes the folder's lock, or says that another run has it. The lock goes with the process; its
/// file stays, because taking it away would let two runs hold two different files.
pub(super) fn take(folder: &Path, shown: &Path) -> Result<File> {
    let path = folder.join(names::LOCK);
    if path.symlink_metadata().is_ok_and(|it| !it.is_file()) {
        bail!("{} is not a plain file: move it away", shown.join(names::LOCK).display());
    }
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&path)
        .map_err(told)
        .with_context(|| format!("cannot write the site to {}", shown.display()))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            bail!("another publish or bench is writing {}: wait until it is done, or end it", shown.display())
        }
        Err(TryLockError::Error(error)) => {
            Err(told(error)).with_context(|| format!("cannot lock {}", shown.display()))
        }
    }
}
