//! Input and output: sources, photos and their derivatives.

use std::path::PathBuf;

use jiff::civil::DateTime;

use crate::photos::error::PhotoError;

/// A photo as the person keeps it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// The name that a person knows it by, for faults: relative to the journal.
    pub name: String,
    /// Where the file is.
    pub path: PathBuf,
    /// Whether it needs a picture for link previews.
    pub share: bool,
}

/// What the pages need of a photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The source's width, upright, in pixels; with the height the aspect ratio of all derivatives.
    pub width: u32,
    /// The source's height, upright, in pixels.
    pub height: u32,
    /// When it was taken by the camera's clock; `None` where the file has no date.
    pub taken: Option<DateTime>,
    /// The same picture in several widths, narrowest first; at least one, none wider than the source.
    pub derivatives: Vec<Derivative>,
    /// A picture for link previews, where one was wanted.
    pub share: Option<Derivative>,
    /// A data: URI of a picture of a few pixels in the photo's colours, to be shown until it is there.
    pub placeholder: String,
}

/// A baseline JPEG in the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Derivative {
    /// The file's name in the store.
    pub file: String,
    /// In pixels.
    pub width: u32,
    /// In pixels.
    pub height: u32,
    /// The file's length.
    pub bytes: u64,
}

/// A source that gave no photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The source's name.
    pub name: String,
    /// What is wrong.
    pub reason: PhotoError,
}
