//! What a file is, by its first bytes: names lie.

use jiff::civil::DateTime;

use crate::photos::exif::{Exif, Orientation, xmp_orientation};
use crate::photos::plan::Size;
use crate::photos::planes::Decoded;
use crate::photos::raster::Raster;

/// A source whose header is read.
pub(super) struct Opened<'a> {
    raster: Raster<'a>,
    exif: Exif,
}

impl<'a> Opened<'a> {
    /// Reads the header of `file`.
    pub(super) fn new(file: &'a [u8]) -> Result<Opened<'a>, String> {
        kind(file)?;
        let raster = Raster::open(file)?;
        let exif = raster.exif.as_deref().map(Exif::read).unwrap_or_default();
        let xmp = Exif { orientation: raster.xmp.as_deref().and_then(xmp_orientation), taken: None };
        Ok(Opened { exif: exif.or(xmp), raster })
    }

    /// The size as stored, not yet upright.
    pub(super) fn size(&self) -> Size {
        self.raster.size
    }

    /// What is to be done to make it upright.
    pub(super) fn orientation(&self) -> Orientation {
        Orientation::of(self.exif.orientation.unwrap_or(1))
    }

    /// When it was taken.
    pub(super) fn taken(&self) -> Option<DateTime> {
        self.exif.taken
    }

    /// The colour profile that the file carries.
    pub(super) fn profile(&self) -> Option<&[u8]> {
        self.raster.profile.as_deref()
    }

    /// The bytes that decoding for `wanted` takes beside the file's own.
    pub(super) fn need(&self, wanted: Size) -> u64 {
        let pixels = u64::from(self.size().width) * u64::from(self.size().height);
        self.raster.bytes + 8 * pixels + 12 * u64::from(wanted.width) * u64::from(wanted.height)
    }

    /// The planes, at least as large as `wanted`, which is a size as stored.
    pub(super) fn decode(&self, wanted: Size) -> Result<Decoded, String> {
        self.raster.decode(wanted)
    }
}

/// A format by its first bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Jpeg,
    Png,
    WebP,
    Gif,
}

/// The kind of a file, or why it is none that can be read.
pub(super) fn kind(bytes: &[u8]) -> Result<Kind, String> {
    let start = |magic: &[u8]| bytes.starts_with(magic);
    let box_of = |brands: &[&[u8]]| {
        bytes.get(4..8) == Some(b"ftyp".as_slice())
            && bytes.get(8..12).is_some_and(|brand| brands.contains(&brand))
    };
    match bytes {
        [] => Err("the file is empty; copy it again from the camera".into()),
        _ if start(b"\xFF\xD8\xFF") => Ok(Kind::Jpeg),
        _ if start(b"\x89PNG\r\n\x1A\n") => Ok(Kind::Png),
        _ if start(b"RIFF") && bytes.get(8..12) == Some(b"WEBP".as_slice()) => Ok(Kind::WebP),
        _ if start(b"GIF87a") || start(b"GIF89a") => Ok(Kind::Gif),
        _ if box_of(&[b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"]) => {
            Err(not_read("HEIC"))
        }
        _ if box_of(&[b"avif", b"avis"]) => Err(not_read("AVIF")),
        _ if start(b"II*\0") || start(b"MM\0*") => Err(not_read("TIFF or raw")),
        _ if start(b"BM") => Err(not_read("BMP")),
        _ if start(b"\xFF\x0A") || start(b"\0\0\0\x0CJXL ") => Err(not_read("JPEG XL")),
        _ if bytes.iter().take(64).all(|byte| *byte == 0) => {
            Err("the file holds only zeros: it was not copied whole; copy it again from the camera".into())
        }
        _ => {
            Err("not a picture, whatever its name says: it begins with none of the marks of JPEG, PNG, WebP \
                  or GIF"
                .into())
        }
    }
}

fn not_read(format: &str) -> String {
    format!("{format} pictures are not read: export it as JPEG and put that in its place")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn told_by_content() {
        assert_eq!(kind(b"\xFF\xD8\xFF\xE0rest"), Ok(Kind::Jpeg));
        assert_eq!(kind(b"RIFF\0\0\0\0WEBPVP8 "), Ok(Kind::WebP));
        assert!(kind(b"RIFF\0\0\0\0WAVEfmt ").unwrap_err().contains("not a picture"));
        assert!(kind(b"").unwrap_err().contains("empty"));
        assert!(kind(b"\0\0\0\x18ftypheic\0\0\0\0").unwrap_err().contains("HEIC"));
        assert!(kind(&[0; 100]).unwrap_err().contains("only zeros"));
        assert!(kind(b"---\ntitle: Lantern\n").unwrap_err().contains("not a picture"));
    }
}
