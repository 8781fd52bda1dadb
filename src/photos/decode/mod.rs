//! Sources of every format into planes.
//!
//! The first bytes decide the format, since names can be wrong. Each format is a file or folder with one
//! function, `open`, which reads the header and gives a decoder for the rest.

mod decoder;

mod format;

mod box_filter;

mod jpeg;

mod png;

mod heic;

mod webp_gif;

use crate::photos::error::PhotoError;
use crate::photos::pixels::image::DecodedImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::sizes::{self, Size};

use decoder::Decode;
use format::Format;

pub(super) use decoder::Header;

/// A source whose header is read and can be shown.
pub(super) struct SourceImage<'a> {
    pub(super) header: Header,
    decoder: Box<dyn Decode + 'a>,
}

impl<'a> SourceImage<'a> {
    /// Reads the header of `file`.
    pub(super) fn open(file: &'a [u8]) -> Result<SourceImage<'a>, PhotoError> {
        let (header, decoder) = match Format::of(file)? {
            Format::Jpeg => jpeg::open(file)?,
            Format::Png => png::open(file)?,
            Format::Heic => heic::open(file)?,
            Format::WebPOrGif => webp_gif::open(file)?,
        };
        sizes::check(header.stored)?;
        Ok(SourceImage { header, decoder })
    }

    /// The size, upright.
    pub(super) fn upright(&self) -> Size {
        self.header.orientation.apply(self.header.stored)
    }

    /// The size of the largest derivative, not yet upright.
    pub(super) fn wanted(&self) -> Size {
        self.header.orientation.apply(sizes::largest(self.upright()))
    }

    /// The bytes that it takes to make the largest derivative, beside the file's own: what the
    /// decoder needs, and three times the derivative in up to four planes.
    pub(super) fn memory(&self) -> u64 {
        let wanted = self.wanted();
        self.decoder.memory(wanted) + 12 * wanted.pixels()
    }

    /// The planes, at least as large as [`SourceImage::wanted`].
    pub(super) fn decode(&self, pool: &mut PlanePool) -> Result<DecodedImage, PhotoError> {
        self.decoder.decode(self.wanted(), pool)
    }
}
