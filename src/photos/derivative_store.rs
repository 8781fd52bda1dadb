//! The folder of derivatives: files appear whole or not at all.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use anyhow::Context;

/// Ends the name of a file that is still being written.
const UNFINISHED: &str = ".part";

/// The folder of derivatives.
pub(super) struct DerivativeStore {
    folder: PathBuf,
}

impl DerivativeStore {
    /// Opens the folder, makes it if it is missing, and clears what a killed run left unfinished.
    pub(super) fn open(folder: &Path) -> anyhow::Result<DerivativeStore> {
        let said = || format!("the folder for photos {}", folder.display());
        fs::create_dir_all(folder).with_context(said)?;
        for entry in fs::read_dir(folder).with_context(said)? {
            let entry = entry.with_context(said)?;
            if entry.file_name().to_str().is_some_and(is_unfinished) {
                fs::remove_file(entry.path()).with_context(said)?;
            }
        }
        Ok(DerivativeStore { folder: folder.to_owned() })
    }

    /// Whether `name` is there with the length `bytes`.
    pub(super) fn holds(&self, name: &str, bytes: u64) -> bool {
        fs::metadata(self.folder.join(name)).is_ok_and(|found| found.is_file() && found.len() == bytes)
    }

    /// Writes `name`; `worker` tells apart who writes the same content at the same time.
    pub(super) fn write(&self, name: &str, bytes: &[u8], worker: usize) -> anyhow::Result<()> {
        let target = self.folder.join(name);
        let unfinished = self.folder.join(format!(".{name}.{worker}{UNFINISHED}"));
        let written = fs::write(&unfinished, bytes).and_then(|()| fs::rename(&unfinished, &target));
        if written.is_err() {
            let _gone_or_left_for_the_next_run: io::Result<()> = fs::remove_file(&unfinished);
        }
        written.with_context(|| format!("the photo {}", target.display()))
    }
}

/// Whether `name` is that of a file which a killed run left in the store: `.<32 digits>-...part`.
pub fn is_unfinished(name: &str) -> bool {
    let Some(rest) = name.strip_prefix('.').filter(|rest| rest.ends_with(UNFINISHED)) else { return false };
    let digits = rest.bytes().take_while(u8::is_ascii_hexdigit).count();
    digits == 32 && rest.as_bytes().get(digits) == Some(&b'-')
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAME: &str = "0123456789abcdef0123456789abcdef-400.jpg";

    #[test]
    fn clears_only_what_it_left_unfinished() {
        let folder = tempfile::tempdir().unwrap();
        let left = folder.path().join(format!(".{NAME}.1.part"));
        let foreign = folder.path().join(".notes.part");
        fs::write(&left, "half").unwrap();
        fs::write(&foreign, "mine").unwrap();
        let store = DerivativeStore::open(folder.path()).unwrap();
        assert!(!left.exists() && foreign.exists());
        store.write(NAME, b"whole", 0).unwrap();
        assert!(store.holds(NAME, 5) && !store.holds(NAME, 4));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "no temporary file is left");
    }

    #[test]
    fn a_store_that_cannot_be_written_is_an_error_with_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, "").unwrap();
        let error = DerivativeStore::open(&file.join("store")).err().unwrap();
        assert!(format!("{error:#}").contains("file/store"), "{error:#}");
    }
}
