//! What every format's decoder gives.

use jiff::civil::DateTime;

use crate::photos::error::PhotoError;
use crate::photos::metadata::Orientation;
use crate::photos::pixels::image::DecodedImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::sizes::Size;

/// A file's header.
pub(crate) struct Header {
    /// The size as stored, not yet upright.
    pub(crate) stored: Size,
    /// The turn that makes it upright.
    pub(crate) orientation: Orientation,
    /// When it was taken; `None` where the file has no date.
    pub(crate) taken: Option<DateTime>,
    /// The ICC profile that the file carries.
    pub(crate) profile: Option<Vec<u8>>,
}

/// A file whose header is read.
pub(super) trait Decode {
    /// The bytes that decoding for `wanted` takes.
    fn memory(&self, wanted: Size) -> u64;

    /// Decodes the picture no smaller than `wanted`, where it is that large.
    fn decode(&self, wanted: Size, pool: &mut PlanePool) -> Result<DecodedImage, PhotoError>;
}

/// What opening a file gives.
pub(super) type Opened<'a> = Result<(Header, Box<dyn Decode + 'a>), PhotoError>;
