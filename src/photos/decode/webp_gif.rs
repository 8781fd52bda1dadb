//! Reads WebP and GIF, whole: their decoders give no rows.

use std::io::Cursor;

use image::{ImageDecoder, ImageReader};

use super::box_filter::BoxFilter;
use super::decoder::{Decode, Header, Opened};
use crate::photos::error::PhotoError;
use crate::photos::metadata::{Exif, Orientation, xmp_orientation};
use crate::photos::pixels::image::DecodedImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::sizes::Size;

/// A WebP or GIF file whose header is read.
struct WebPOrGif<'a> {
    file: &'a [u8],
    size: Size,
    /// Bytes of all pixels as the decoder gives them.
    bytes: u64,
}

/// Reads the header of `file`.
pub(super) fn open(file: &[u8]) -> Opened<'_> {
    let mut decoder = decoder(file)?;
    let (width, height) = decoder.dimensions();
    let size = Size { width, height };
    let exif = decoder.exif_metadata().ok().flatten();
    let xmp = decoder.xmp_metadata().ok().flatten();
    let said = Exif { orientation: xmp.as_deref().and_then(xmp_orientation), taken: None };
    let exif = exif.as_deref().map(Exif::read).unwrap_or_default().or(said);
    let header = Header {
        stored: size,
        orientation: Orientation::of(exif.orientation.unwrap_or(1)),
        taken: exif.taken,
        profile: decoder.icc_profile().ok().flatten(),
    };
    Ok((header, Box::new(WebPOrGif { file, size, bytes: decoder.total_bytes() })))
}

impl Decode for WebPOrGif<'_> {
    /// The decoders keep the picture about twice.
    fn memory(&self, wanted: Size) -> u64 {
        2 * self.bytes + BoxFilter::memory(self.size, wanted)
    }

    /// The first picture of a moving one.
    fn decode(&self, wanted: Size, _: &mut PlanePool) -> Result<DecodedImage, PhotoError> {
        let decoder = decoder(self.file)?;
        let channels = usize::from(decoder.color_type().channel_count());
        let mut pixels = vec![0; usize::try_from(self.bytes).map_err(|_| PhotoError::Damaged)?];
        decoder.read_image(&mut pixels).map_err(|error| damaged(&error))?;
        let mut filter = BoxFilter::new(self.size, wanted, channels);
        pixels.chunks(self.size.width as usize * channels).for_each(|row| filter.push(row));
        filter.finish().ok_or(PhotoError::Damaged)
    }
}

fn decoder(file: &[u8]) -> Result<Box<dyn ImageDecoder + '_>, PhotoError> {
    let mut reader = ImageReader::new(Cursor::new(file))
        .with_guessed_format()
        .map_err(|error| PhotoError::Io(error.to_string()))?;
    // The budget is asked before a pixel is decoded; a second limit would only differ from it.
    reader.no_limits();
    reader
        .into_decoder()
        .map(|decoder| Box::new(decoder) as Box<dyn ImageDecoder>)
        .map_err(|error| damaged(&error))
}

fn damaged(error: &image::ImageError) -> PhotoError {
    PhotoError::DamagedAt(error.to_string())
}
