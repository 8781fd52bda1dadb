//! One writer at a time.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::thread;
use std::time::Duration;

use anyhow::{Context, Result, bail};

use super::names;
use super::words::told;

/// A lock that was just given up may be held for a moment longer, by a program that is being started:
/// so often, and so far apart, it is tried again.
const TRIES: u32 = 20;
const PAUSE: Duration = Duration::from_millis(10);

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
    let mut taken = file.try_lock();
    for _ in 0..TRIES {
        if !matches!(taken, Err(TryLockError::WouldBlock)) {
            break;
        }
        thread::sleep(PAUSE);
        taken = file.try_lock();
    }
    match taken {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            bail!("another publish or bench is writing {}: wait until it is done, or end it", shown.display())
        }
        Err(TryLockError::Error(error)) => {
            Err(told(error)).with_context(|| format!("cannot lock {}", shown.display()))
        }
    }
}
