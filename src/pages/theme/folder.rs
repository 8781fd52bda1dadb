//! A theme's folder in the journal.

use std::path::Path;

use crate::journal::folder::{LINK, reason};
use crate::text::Place;

use super::built_in::{Files, NAMES};
use super::fault::{ThemeFault, meant};

/// A larger file is refused before it is read whole.
const MOST_BYTES: u64 = 16 << 20;

/// The files in the journal's `themes/<name>/`. `named` is the place of the theme's name in the journal.
pub(super) fn read(journal: &Path, name: &str, named: &Place) -> Result<Files, ThemeFault> {
    let themes = journal.join("themes");
    let folder = themes.join(name);
    let refused = |what: String| Err(ThemeFault { place: named.clone(), what });
    let plain = !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\']);
    if !plain {
        return refused(format!(
            "`{name}` is not the name of a theme: write the name of a folder in themes/"
        ));
    }
    for (place, shown) in [(&themes, "themes".to_owned()), (&folder, format!("themes/{name}"))] {
        if place.symlink_metadata().is_ok_and(|it| it.is_symlink()) {
            return refused(format!("{shown} {LINK}"));
        }
    }
    if !folder.is_dir() {
        return if NAMES.contains(&name) { Ok(Files::new()) } else { refused(missing(&themes, name)) };
    }
    let mut files = Files::new();
    let path =
        |place: &Path| place.strip_prefix(&folder).unwrap_or(place).to_string_lossy().replace('\\', "/");
    for found in walkdir::WalkDir::new(&folder).min_depth(1).sort_by_file_name() {
        match found {
            Ok(found) if !found.file_type().is_file() => {}
            Ok(found) => {
                let path = path(found.path());
                let bytes = bytes(found.path(), &format!("themes/{name}/{path}"))?;
                files.insert(path, bytes);
            }
            Err(fault) => {
                let path = path(fault.path().unwrap_or(&folder));
                return Err(unread(&format!("themes/{name}/{path}"), fault.io_error()));
            }
        }
    }
    Ok(files)
}

fn missing(themes: &Path, name: &str) -> String {
    let folders = std::fs::read_dir(themes).into_iter().flatten().flatten();
    let mut known: Vec<String> = folders.filter_map(|it| it.file_name().into_string().ok()).collect();
    known.extend(NAMES.map(str::to_owned));
    known.sort();
    let meant = meant(name, known.iter().map(String::as_str));
    let built_in = NAMES.join(" or ");
    format!("there is no theme `{name}`{meant}: use {built_in}, or create themes/{name}/ in the journal")
}

/// The content of a file; `shown` is its path in messages.
fn bytes(place: &Path, shown: &str) -> Result<Vec<u8>, ThemeFault> {
    let unread = |fault: std::io::Error| unread(shown, Some(&fault));
    if place.metadata().map_err(unread)?.len() > MOST_BYTES {
        return Err(ThemeFault::of_file(shown, format!("is larger than {} MB", MOST_BYTES >> 20)));
    }
    std::fs::read(place).map_err(unread)
}

fn unread(shown: &str, fault: Option<&std::io::Error>) -> ThemeFault {
    ThemeFault::of_file(shown, format!("cannot be read: {}", reason(fault)))
}
