//! A theme's folder in the journal.

use std::collections::BTreeMap;
use std::path::Path;

use crate::journal::folder::{LINK, reason};
use crate::text::Place;

use super::NAMES;
use super::fault::{Fault, meant};

/// A larger file is refused before it is read whole.
const MOST_BYTES: u64 = 16 << 20;

/// Files of a theme by their paths in its folder, with `/`.
type Files = BTreeMap<String, Vec<u8>>;

/// What lies in the journal's `themes/<name>/`, and what of it cannot be read. What is wrong with the theme
/// as a whole is an error, in words.
pub(super) fn read(journal: &Path, name: &str) -> Result<(Files, Vec<Fault>), String> {
    let plain = !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\']);
    if !plain {
        return Err(format!("`{name}` is no name of a theme: write the name of a folder in themes/"));
    }
    let themes = journal.join("themes");
    let folder = themes.join(name);
    for (place, shown) in [(&themes, "themes".to_owned()), (&folder, format!("themes/{name}"))] {
        if place.symlink_metadata().is_ok_and(|it| it.is_symlink()) {
            return Err(format!("{shown} {LINK}"));
        }
    }
    if !folder.is_dir() {
        return if NAMES.contains(&name) { Ok(Default::default()) } else { Err(missing(&themes, name)) };
    }
    let mut files = Files::new();
    let mut faults = Vec::new();
    for found in walkdir::WalkDir::new(&folder).min_depth(1).sort_by_file_name() {
        let (place, bytes) = match found {
            Ok(found) if !found.file_type().is_file() => continue,
            Ok(found) => (found.path().to_owned(), bytes(found.path())),
            Err(fault) => {
                let why = format!("cannot be read: {}", reason(fault.io_error()));
                (fault.path().unwrap_or(&folder).to_owned(), Err(why))
            }
        };
        let path = place.strip_prefix(&folder).unwrap_or(&place).to_string_lossy().replace('\\', "/");
        match bytes {
            Ok(bytes) => drop(files.insert(path, bytes)),
            Err(what) => faults.push(Fault { place: Place::file(format!("themes/{name}/{path}")), what }),
        }
    }
    Ok((files, faults))
}

fn missing(themes: &Path, name: &str) -> String {
    let folders = std::fs::read_dir(themes).into_iter().flatten().flatten();
    let mut known: Vec<String> = folders.filter_map(|it| it.file_name().into_string().ok()).collect();
    known.extend(NAMES.map(str::to_owned));
    known.sort();
    let meant = meant(name, known.iter().map(String::as_str));
    let built_in = NAMES.join(" or ");
    format!("there is no theme `{name}`{meant}: take {built_in}, or make themes/{name}/ in the journal")
}

fn bytes(place: &Path) -> Result<Vec<u8>, String> {
    let told = |fault: std::io::Error| format!("cannot be read: {}", reason(Some(&fault)));
    if place.metadata().map_err(told)?.len() > MOST_BYTES {
        return Err(format!("is larger than {} MB", MOST_BYTES / 1024 / 1024));
    }
    std::fs::read(place).map_err(told)
}
