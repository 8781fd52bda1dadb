//! The manifest: which files of the folder are Endshake's, and what it wrote into them.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use anyhow::{Context, Result, bail};
use serde::{Deserialize, Serialize};

use super::names;

const FORMAT: u32 = 1;

/// What the folder's manifest says; nothing in it depends on the clock or on the order of work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Manifest {
    format: u32,
    about: String,
    /// Folders in which files with content names are ours, also those that a run which did not
    /// finish left there.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub(super) claimed: BTreeSet<String>,
    /// For each of our files the hashes of what we wrote there: one after a run that finished,
    /// more after one that did not. None where the name itself says what is in it.
    pub(super) files: BTreeMap<String, Vec<String>>,
}

impl Default for Manifest {
    fn default() -> Manifest {
        Manifest {
            format: FORMAT,
            about: "Written by Endshake: the files of this site that it may replace or delete, \
                    and no others."
                .into(),
            claimed: BTreeSet::new(),
            files: BTreeMap::new(),
        }
    }
}

impl Manifest {
    /// Reads a manifest; one that is damaged, newer than this program, or that names a file
    /// outside the site's folder is refused rather than believed in part.
    pub(super) fn read(text: &[u8]) -> Result<Manifest> {
        let format: FormatNumber = serde_json::from_slice(text).context("it is damaged")?;
        if format.format != FORMAT {
            bail!(
                "it has format {}, this Endshake knows format {FORMAT}: a newer Endshake wrote it",
                format.format
            );
        }
        let read: Manifest = serde_json::from_slice(text).context("it is damaged")?;
        for path in read.files.keys().chain(&read.claimed) {
            names::check(path).context("it is damaged")?;
        }
        Ok(read)
    }

    /// One line per file, so that a site under version control shows small changes.
    pub(super) fn to_text(&self) -> Result<String> {
        let mut text = serde_json::to_string_pretty(&Manifest { files: BTreeMap::new(), ..self.clone() })?;
        let open = text.len() - "{}\n}".len();
        text.truncate(open);
        text.push('{');
        for (n, (path, hashes)) in self.files.iter().enumerate() {
            let comma = if n == 0 { "" } else { "," };
            write!(
                text,
                "{comma}\n    {}: {}",
                serde_json::to_string(path)?,
                serde_json::to_string(hashes)?
            )?;
        }
        text.push_str("\n  }\n}\n");
        Ok(text)
    }

    /// Adds a hash to those that may stand at `path`.
    pub(super) fn also(&mut self, path: &str, hash: Option<&str>) {
        let hashes = self.files.entry(path.to_owned()).or_default();
        if let Some(hash) = hash
            && !hashes.iter().any(|h| h == hash)
        {
            hashes.push(hash.to_owned());
        }
    }
}

/// The hash that the manifest keeps: 128 bits are plenty to tell a page from its neighbours.
pub(super) fn hash(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().as_str()[..32].to_owned()
}

/// Read by itself first, so that a newer format is told as such and not as damage.
#[derive(Deserialize)]
struct FormatNumber {
    format: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Manifest {
        let mut sample = Manifest::default();
        sample.also("index.html", Some(&hash(b"one")));
        sample.also("index.html", Some(&hash(b"two")));
        sample.also("photos/\"0123456789abcdef\".jpg", None);
        sample
    }

    #[test]
    fn what_is_written_is_read_again() {
        for manifest in
            [Manifest::default(), Manifest { claimed: ["photos".into()].into(), ..Manifest::default() }]
        {
            assert_eq!(Manifest::read(manifest.to_text().unwrap().as_bytes()).unwrap(), manifest);
        }
        let mut plain = sample();
        plain.files.retain(|path, _| !path.contains('"'));
        assert_eq!(Manifest::read(plain.to_text().unwrap().as_bytes()).unwrap(), plain);
    }

    #[test]
    fn a_damaged_newer_or_hostile_one_is_refused() {
        let whole = {
            let mut plain = sample();
            plain.files.retain(|path, _| !path.contains('"'));
            plain.to_text().unwrap()
        };
        // Without its last line break it is still whole.
        for cut in 0..whole.len() - 1 {
            assert!(Manifest::read(&whole.as_bytes()[..cut]).is_err(), "{cut} bytes were believed");
        }
        let newer = whole.replace("\"format\": 1", "\"format\": 2");
        assert!(format!("{:#}", Manifest::read(newer.as_bytes()).unwrap_err()).contains("newer"));
        for path in ["../x", "/x", "a/../../x", ".git/config"] {
            let hostile = whole.replace("index.html", path);
            assert!(Manifest::read(hostile.as_bytes()).is_err(), "{path} was believed");
        }
    }
}
