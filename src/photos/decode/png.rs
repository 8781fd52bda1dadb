//! Reads PNG row by row, so that a picture of any size takes the memory of a small one.

use std::io::Cursor;

use ::png::{Decoder, Reader, Transformations};

use super::box_filter::BoxFilter;
use super::decoder::{Decode, Header, Opened};
use crate::photos::error::PhotoError;
use crate::photos::metadata::{Exif, Orientation, xmp_orientation};
use crate::photos::pixels::image::DecodedImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::sizes::Size;

/// A PNG file whose header is read.
struct Png<'a> {
    file: &'a [u8],
    size: Size,
    interlaced: bool,
    /// Bytes of a row as the decoder gives it, 8 bits a sample.
    row: u64,
    /// Bytes of a row as it is stored, up to 16 bits a sample.
    stored_row: u64,
}

/// Reads the header of `file`.
pub(super) fn open(file: &[u8]) -> Opened<'_> {
    let reader = reader(file)?;
    let info = reader.info();
    let row = reader.output_line_size(info.width).ok_or(PhotoError::Damaged)?;
    let size = Size { width: info.width, height: info.height };
    let exif = exif(file, info);
    let header = Header {
        stored: size,
        orientation: Orientation::of(exif.orientation.unwrap_or(1)),
        taken: exif.taken,
        profile: info.icc_profile.as_ref().map(|profile| profile.to_vec()),
    };
    let stored_row = info.raw_row_length() as u64;
    Ok((header, Box::new(Png { file, size, interlaced: info.interlaced, row: row as u64, stored_row })))
}

impl Decode for Png<'_> {
    /// All rows of an interlaced picture are in memory at once.
    fn memory(&self, wanted: Size) -> u64 {
        let held = if self.interlaced { self.row * u64::from(self.size.height) } else { 0 };
        held + 8 * self.stored_row + BoxFilter::memory(self.size, wanted)
    }

    fn decode(&self, wanted: Size, _: &mut PlanePool) -> Result<DecodedImage, PhotoError> {
        let mut reader = reader(self.file)?;
        let channels = reader.output_color_type().0.samples();
        let mut filter = BoxFilter::new(self.size, wanted, channels);
        if self.interlaced {
            let mut pixels = vec![0; reader.output_buffer_size().ok_or(PhotoError::Damaged)?];
            reader.next_frame(&mut pixels).map_err(|error| damaged(&error))?;
            pixels.chunks(self.row as usize).for_each(|row| filter.push(row));
        } else {
            while let Some(row) = reader.next_row().map_err(|error| damaged(&error))? {
                filter.push(row.data());
            }
        }
        filter.finish().ok_or(PhotoError::Damaged)
    }
}

fn reader(file: &[u8]) -> Result<Reader<Cursor<&[u8]>>, PhotoError> {
    let mut decoder = Decoder::new(Cursor::new(file));
    // Palettes into colours, few bits into eight, sixteen into eight.
    decoder.set_transformations(Transformations::normalize_to_color8());
    decoder.read_info().map_err(|error| damaged(&error))
}

/// EXIF and XMP. Their chunks may come after the pixels, which the decoder never reaches in time.
fn exif(file: &[u8], info: &::png::Info<'_>) -> Exif {
    let (mut exif, mut xmp) = (Exif::default(), None);
    let mut rest = file.get(8..).unwrap_or_default();
    while let Some((head, after)) = rest.split_first_chunk::<8>() {
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let Some(chunk) = after.get(..length) else { break };
        match &head[4..] {
            b"eXIf" => exif = exif.or(Exif::read(chunk)),
            b"iTXt" if chunk.starts_with(b"XML:com.adobe.xmp\0") => xmp = xmp.or(xmp_orientation(chunk)),
            _ => {}
        }
        rest = after.get(length + 4..).unwrap_or_default();
    }
    // Older writers have EXIF in hexadecimal digits in a text.
    let raw = |keyword: &str| keyword == "Raw profile type exif" || keyword == "Raw profile type APP1";
    let texts = info.compressed_latin1_text.iter().filter(|text| raw(&text.keyword));
    let texts = texts.filter_map(|text| text.get_text().ok());
    let plain = info.uncompressed_latin1_text.iter().filter(|text| raw(&text.keyword));
    for text in texts.chain(plain.map(|text| text.text.clone())) {
        exif = exif.or(Exif::read(&from_hexadecimal(&text)));
    }
    exif.or(Exif { orientation: xmp, taken: None })
}

/// The bytes of such a text: its name, its length, then digits in lines.
fn from_hexadecimal(text: &str) -> Vec<u8> {
    let lines = text.trim_start().lines().skip(2).flat_map(str::bytes);
    let digits: Vec<u8> =
        lines.filter_map(|digit| char::from(digit).to_digit(16)).map(|digit| digit as u8).collect();
    digits.as_chunks::<2>().0.iter().map(|[high, low]| high << 4 | low).collect()
}

fn damaged(error: &::png::DecodingError) -> PhotoError {
    PhotoError::DamagedAt(error.to_string())
}
