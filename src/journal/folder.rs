//! The journal's folder on the disk: its texts and the names of its photos. Nothing is written here.

use std::fmt;
use std::fs;
use std::io::Read as _;
use std::path::Path;

use anyhow::{Context as _, bail};
use rayon::prelude::*;
use walkdir::WalkDir;

use crate::problem::Problem;
use crate::text::Place;

use super::yaml;

/// What a journal's folder holds. Paths are relative to it, with `/`, in order.
#[derive(Clone, Debug, Default)]
pub struct Folder {
    /// journal.yaml, the builds' Markdown, parts and calibre sheets.
    pub texts: Vec<(String, String)>,
    /// Photos below builds/.
    pub photos: Vec<String>,
    /// Folders under builds/.
    pub builds: Vec<String>,
    /// What could not be read.
    pub problems: Vec<Problem>,
}

/// Endings of files that are taken for photos, in lower case.
pub const PHOTOS: [&str; 10] = ["jpg", "jpeg", "png", "webp", "gif", "avif", "heic", "heif", "tif", "tiff"];

/// Files larger than this are no log, and are refused before they are read whole: a novel has a megabyte.
const MOST_BYTES: u64 = 2 << 20;

/// A journal that came from elsewhere must not show what lies beside it.
pub(crate) const LINK: &str = "is a link, which is not followed: put what it leads to in its place";

/// Reads a journal's folder. Fails only where there is no journal.
pub fn read(root: &Path) -> anyhow::Result<Folder> {
    let shown = root.display();
    let about = fs::metadata(root).with_context(|| format!("there is no folder {shown}"))?;
    if !about.is_dir() {
        bail!("{shown} is a file: name the journal's folder");
    }
    let own = root.join("journal.yaml");
    if own.symlink_metadata().is_ok_and(|it| it.is_symlink()) {
        bail!("{} {LINK}", own.display());
    }
    if !own.is_file() {
        bail!("{shown} is not a journal: it has no journal.yaml (`endshake start DIR` writes a new journal)");
    }
    let mut folder = Folder::default();
    let mut texts = vec!["journal.yaml".to_owned()];
    for (part, depth) in [("calibres", 1), ("parts", 1), ("builds", usize::MAX)] {
        folder.walk(root, part, depth, &mut texts);
    }
    let read: Vec<_> = texts.into_par_iter().map(|path| (text(&root.join(&path), &path), path)).collect();
    for (text, path) in read {
        match text {
            Ok(text) => folder.texts.push((path, text)),
            Err(fault) => folder.problems.push(Problem::error(Place::file(path), fault.to_string())),
        }
    }
    Ok(folder)
}

/// Reads one text of a journal's folder, by its path in it; `None` where it cannot be read.
#[must_use]
pub fn read_one(root: &Path, path: &str) -> Option<String> {
    text(&root.join(path), path).ok()
}

impl Folder {
    fn walk(&mut self, root: &Path, part: &str, depth: usize, texts: &mut Vec<String>) {
        let top = root.join(part);
        match top.symlink_metadata() {
            Err(fault) if fault.kind() == std::io::ErrorKind::NotFound => return,
            Ok(it) if it.is_symlink() => {
                self.problems.push(Problem::warning(Place::file(part), LINK));
                return;
            }
            Ok(it) if !it.is_dir() => {
                let message = "is a file and not a folder, and nothing is read from it: move it away";
                self.problems.push(Problem::error(Place::file(part), message));
                return;
            }
            // What else is wrong with it, the walk says.
            _ => {}
        }
        let walk = WalkDir::new(&top).min_depth(1).max_depth(depth).sort_by_file_name();
        let mut walk =
            walk.into_iter().filter_entry(|entry| !is_hidden(&entry.file_name().to_string_lossy()));
        while let Some(entry) = walk.next() {
            let entry = match entry {
                Ok(entry) => entry,
                Err(fault) => {
                    let path = fault.path().unwrap_or(&top);
                    let place = Place::file(relative(root, path));
                    self.problems
                        .push(Problem::error(place, format!("cannot be read: {}", reason(fault.io_error()))));
                    continue;
                }
            };
            let path = relative(root, entry.path());
            let kind = entry.file_type();
            let Some(name) = entry.file_name().to_str() else {
                self.problems.push(Problem::error(Place::file(path), "its name is not Unicode: rename it"));
                continue;
            };
            // It would be told and shown all over, and a terminal does what such a name says.
            if let Some(c) = name.chars().find(|c| c.is_control()) {
                let message =
                    format!("its name has the invisible character U+{:04X} in it: rename it", c as u32);
                self.problems.push(Problem::error(Place::file(path), message));
                if kind.is_dir() {
                    walk.skip_current_dir();
                }
                continue;
            }
            let ending =
                name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).unwrap_or_default();
            if kind.is_dir() {
                if part == "builds" && entry.depth() == 1 {
                    self.builds.push(name.to_owned());
                }
            } else if !kind.is_file() {
                let place = Place::file(path);
                self.problems.push(if kind.is_symlink() {
                    Problem::warning(place, LINK)
                } else {
                    Problem::error(
                        place,
                        "is no plain file and was not read: put a copy of the file in its place",
                    )
                });
            } else if part == "builds" && PHOTOS.contains(&ending.as_str()) && entry.depth() > 1 {
                self.photos.push(path);
            } else if match part {
                "builds" => ending == "md" && entry.depth() == 2,
                _ => matches!(ending.as_str(), "yaml" | "yml"),
            } {
                texts.push(path);
            }
        }
    }
}

/// Swap and backup files of editors, and files that systems leave behind: nothing is read of them.
#[must_use]
pub fn is_hidden(name: &str) -> bool {
    name.starts_with('.') || name.ends_with('~') || name.starts_with('#')
}

fn relative(root: &Path, path: &Path) -> String {
    let path = path.strip_prefix(root).unwrap_or(path);
    path.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

/// Why a file is no text of a journal; in words it completes "the file ...".
enum TextFault {
    Unreadable(std::io::Error),
    TooLarge { size: u64, most: u64 },
    Utf16,
    NotUtf8 { from: usize },
    Nul { at: usize },
}

impl fmt::Display for TextFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TextFault::Unreadable(fault) => write!(f, "cannot be read: {}", reason(Some(fault))),
            TextFault::TooLarge { size, most } => {
                let megabytes = (*size as f64 / f64::from(1 << 20) * 10.0).floor() / 10.0;
                write!(f, "has {megabytes} MB, more than the {} MB that are read: split it", most >> 20)
            }
            TextFault::Utf16 => f.write_str("is UTF-16: save it as UTF-8"),
            TextFault::NotUtf8 { from } => write!(f, "is not UTF-8 from byte {from} on: save it as UTF-8"),
            TextFault::Nul { at } => write!(f, "has a NUL at byte {at}: it is no text file"),
        }
    }
}

/// A file's text.
fn text(path: &Path, name: &str) -> Result<String, TextFault> {
    let failed = TextFault::Unreadable;
    let file = fs::File::open(path).map_err(failed)?;
    let size = file.metadata().map_err(failed)?.len();
    let most = if name.ends_with(".md") { MOST_BYTES } else { yaml::MOST_BYTES as u64 };
    if size > most {
        return Err(TextFault::TooLarge { size, most });
    }
    let mut bytes = Vec::with_capacity(size as usize);
    file.take(most + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(TextFault::Utf16);
    }
    let text = String::from_utf8(bytes)
        .map_err(|fault| TextFault::NotUtf8 { from: fault.utf8_error().valid_up_to() })?;
    match text.find('\0') {
        Some(at) => Err(TextFault::Nul { at }),
        None => Ok(text),
    }
}

/// Why something could not be read, in words.
pub(crate) fn reason(fault: Option<&std::io::Error>) -> String {
    match fault.map(std::io::Error::kind) {
        Some(std::io::ErrorKind::PermissionDenied) => "permission denied".into(),
        Some(std::io::ErrorKind::NotFound) => "it is not there".into(),
        _ => fault.map_or_else(|| "a loop of links".into(), ToString::to_string),
    }
}
