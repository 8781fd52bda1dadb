//! The journal's photos in their published sizes, as pages show them.

use std::collections::BTreeMap;

use jiff::civil::DateTime;
use serde::Serialize;

use super::addresses::way;
use super::context::Picture;

/// A photo's published sizes.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Sizes {
    /// Path in the site, width and height in px, narrowest first; never empty.
    pub files: Vec<(String, u32, u32)>,
    /// A picture for previews elsewhere, where one was made.
    pub share: Option<(String, u32, u32)>,
    /// When the camera took it, where the file says so.
    pub taken: Option<DateTime>,
    /// A data: URI of a few pixels in its colours, to be shown until it is there; empty for none.
    pub soft: String,
    /// Whether the photo could not be read, and `files` is what stands in its place.
    pub lost: bool,
}

/// The published photos by their path in the journal, as `builds/lantern/02-front.jpg`.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Album {
    photos: BTreeMap<String, Sizes>,
}

/// The width in px of the size that a browser takes which knows no other.
const MIDDLE: u32 = 960;

impl Album {
    /// An album of these photos.
    #[must_use]
    pub fn new(photos: BTreeMap<String, Sizes>) -> Album {
        Album { photos: photos.into_iter().filter(|(_, sizes)| !sizes.files.is_empty()).collect() }
    }

    /// The photos of a build's folder, by their paths in the journal.
    pub fn of_build(&self, slug: &str) -> impl Iterator<Item = (&str, &Sizes)> {
        let folder = format!("builds/{slug}/");
        let from = self.photos.range(folder.clone()..);
        let below = from.take_while(move |(path, _)| path.starts_with(&folder));
        below.map(|(path, sizes)| (path.as_str(), sizes))
    }

    /// Whether a file of the site, by its path there, is one of these photos.
    #[must_use]
    pub fn has(&self, file: &str) -> bool {
        let mut all = self.photos.values().flat_map(|sizes| sizes.files.iter().chain(&sizes.share));
        all.any(|(path, ..)| path == file)
    }

    /// The sizes of a photo; `None` where it is not published.
    #[must_use]
    pub fn sizes(&self, path: &str) -> Option<&Sizes> {
        self.photos.get(path)
    }

    /// The photo at `path` for the page at `page`; `None` where it is not published.
    #[must_use]
    pub fn picture(&self, page: &str, path: &str) -> Option<Picture> {
        let sizes = self.photos.get(path)?;
        let files = &sizes.files;
        let middle = files.iter().rev().find(|(_, width, _)| *width <= MIDDLE).or(files.first())?;
        let largest = files.last()?;
        let srcset: Vec<_> =
            files.iter().map(|(file, width, _)| format!("{} {width}w", way(page, file))).collect();
        Some(Picture {
            src: way(page, &middle.0),
            srcset: srcset.join(", "),
            full: way(page, &largest.0),
            width: middle.1,
            height: middle.2,
            upright: middle.2 > middle.1,
            soft: sizes.soft.clone(),
            lost: sizes.lost,
            ..Picture::default()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_seen_from_the_page() {
        let sizes = Sizes {
            files: vec![
                ("photos/a-480.jpg".to_owned(), 480, 640),
                ("photos/a-960.jpg".to_owned(), 960, 1280),
                ("photos/a-1440.jpg".to_owned(), 1440, 1920),
            ],
            ..Sizes::default()
        };
        let album = Album::new(BTreeMap::from([("builds/lantern/1.jpg".to_owned(), sizes)]));
        let picture = album.picture("builds/lantern.html", "builds/lantern/1.jpg").unwrap();
        assert_eq!(picture.src, "../photos/a-960.jpg");
        assert_eq!(picture.full, "../photos/a-1440.jpg");
        assert!(picture.srcset.starts_with("../photos/a-480.jpg 480w, "));
        assert!(picture.upright);
        assert!(album.picture("index.html", "builds/lantern/2.jpg").is_none());
    }
}
