//! Why a photo cannot be shown.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Why a source gives no photo. `Display` is for the person: what is wrong and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PhotoError {
    /// A folder, or something else that is not a plain file.
    NotAFile,
    /// No file at that path.
    Missing,
    /// The file's permissions forbid reading it.
    Forbidden,
    /// Any other fault of the disk, in the system's words.
    Io(String),
    /// A file of no bytes.
    Empty,
    /// A file that begins with zeros only.
    OnlyZeros,
    /// A file of no format known here.
    NotAPicture,
    /// A film.
    Film,
    /// A picture of a kind that is recognised but not supported.
    Unsupported(Unsupported),
    /// The header claims a size with a zero in it: width and height, in pixels.
    NoPixels(u32, u32),
    /// More pixels than the limit: width and height, and the most, in pixels.
    TooManyPixels(u32, u32, u64),
    /// A longer side than the limit: width and height, and the longest side, in pixels.
    TooLong(u32, u32, u32),
    /// More memory than one photo may take, in bytes.
    OverBudget {
        /// What the photo takes.
        needed: u64,
        /// What one photo may take.
        allowed: u64,
    },
    /// The contents contradict themselves.
    Damaged,
    /// The decoder found a fault, in the decoder's words.
    DamagedAt(String),
    /// The contents contradict themselves after this share of the picture, in per cent.
    DamagedAfter(usize),
    /// The HEIC decoder found a fault, in the decoder's words.
    DamagedHeic(String),
    /// The file ends within its header.
    CutOffBeforePicture,
    /// The file ends after this share of the picture, in per cent.
    CutOffAfter(usize),
    /// The file ends between two scans of the picture.
    CutOffBetweenScans,
}

/// A kind of picture that is recognised but not supported.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unsupported {
    /// AVIF.
    Avif,
    /// TIFF, which the raw formats of cameras are too.
    TiffOrRaw,
    /// BMP.
    Bmp,
    /// JPEG XL.
    JpegXl,
    /// Lossless JPEG.
    LosslessJpeg,
    /// JPEG with arithmetic coding.
    ArithmeticJpeg,
    /// Hierarchical JPEG.
    HierarchicalJpeg,
    /// JPEG of this precision, in bits a sample.
    JpegPrecision(u8),
    /// HEIC with tiles of different sizes or of another coding.
    HeicTiles,
    /// HEIC with a main item of this type.
    HeicItem(String),
    /// High dynamic range.
    HighDynamicRange,
}

impl std::error::Error for PhotoError {}

impl fmt::Display for PhotoError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PhotoError::NotAFile => out.write_str("not a file"),
            PhotoError::Missing => out.write_str("there is no such file"),
            PhotoError::Forbidden => out.write_str("no permission to read the file: allow it (chmod u+r)"),
            PhotoError::Io(error) => write!(out, "the file cannot be read: {error}"),
            PhotoError::Empty => out.write_str("the file is empty; copy it again from the camera"),
            PhotoError::OnlyZeros => out.write_str(
                "the file contains only zeros: the copy is incomplete; copy it again from the camera",
            ),
            PhotoError::NotAPicture => {
                out.write_str("not a picture, despite its name: the file is not JPEG, PNG, WebP, HEIC or GIF")
            }
            PhotoError::Film => out.write_str("a film cannot be shown: replace it with a still picture"),
            PhotoError::Unsupported(kind) => kind.fmt(out),
            PhotoError::NoPixels(width, height) => {
                write!(out, "the file is damaged: it claims a size of {width} x {height} pixels")
            }
            PhotoError::TooManyPixels(width, height, most) => write!(
                out,
                "the picture claims {width} x {height} pixels; the limit is {} million pixels: make it smaller \
                 first",
                most / 1_000_000
            ),
            PhotoError::TooLong(width, height, longest) => write!(
                out,
                "the picture is {width} x {height} pixels; the limit is {longest} along one side: make it \
                 smaller first"
            ),
            PhotoError::OverBudget { needed, allowed } => write!(
                out,
                "this picture needs {} MB of memory, and {} MB are allowed: make it smaller first",
                needed.div_ceil(1 << 20),
                allowed.div_ceil(1 << 20)
            ),
            PhotoError::Damaged => {
                out.write_str("the file is damaged; copy it again from the camera, or export it again")
            }
            PhotoError::DamagedAt(error) => {
                write!(
                    out,
                    "the file is damaged ({error}); copy it again from the camera, or export it again"
                )
            }
            PhotoError::DamagedAfter(share) => write!(
                out,
                "the file is damaged after {share} % of the picture; copy it again from the camera, or export \
                 it again"
            ),
            PhotoError::DamagedHeic(error) => write!(
                out,
                "the HEIC picture cannot be read ({error}): copy it again from the camera, or export it as JPEG"
            ),
            PhotoError::CutOffBeforePicture => {
                out.write_str("the file is cut off before the picture begins; copy it again from the camera")
            }
            PhotoError::CutOffAfter(share) => write!(
                out,
                "the file is cut off after {share} % of the picture; copy it again from the camera"
            ),
            PhotoError::CutOffBetweenScans => {
                out.write_str("the file is cut off before the picture ends; copy it again from the camera")
            }
        }
    }
}

impl fmt::Display for Unsupported {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let format = |out: &mut fmt::Formatter<'_>, name: &str| {
            write!(out, "{name} pictures are not supported: export it as JPEG and use that")
        };
        let jpeg = |out: &mut fmt::Formatter<'_>, kind: &str| {
            write!(out, "{kind} is not supported: export it as an ordinary JPEG")
        };
        let heic = |out: &mut fmt::Formatter<'_>, what: &str| {
            write!(out, "this kind of HEIC picture ({what}) is not supported: export it as JPEG and use that")
        };
        match self {
            Unsupported::Avif => format(out, "AVIF"),
            Unsupported::TiffOrRaw => format(out, "TIFF or raw"),
            Unsupported::Bmp => format(out, "BMP"),
            Unsupported::JpegXl => format(out, "JPEG XL"),
            Unsupported::LosslessJpeg => jpeg(out, "lossless JPEG"),
            Unsupported::ArithmeticJpeg => jpeg(out, "JPEG with arithmetic coding"),
            Unsupported::HierarchicalJpeg => jpeg(out, "hierarchical JPEG"),
            Unsupported::JpegPrecision(bits) => jpeg(out, &format!("JPEG with {bits} bits a sample")),
            Unsupported::HeicTiles => heic(out, "tiles"),
            Unsupported::HeicItem(kind) => heic(out, kind),
            Unsupported::HighDynamicRange => out.write_str(
                "the picture has more light than a page can show (HDR): export it as JPEG and use that",
            ),
        }
    }
}

impl From<Unsupported> for PhotoError {
    fn from(kind: Unsupported) -> PhotoError {
        PhotoError::Unsupported(kind)
    }
}
