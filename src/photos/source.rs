//! A source's format by its first bytes, as names lie, and what its header says.

use jiff::civil::DateTime;

use crate::photos::exif::{Exif, Orientation};
use crate::photos::heic::Heic;
use crate::photos::jpeg::Jpeg;
use crate::photos::plan::{self, Size};
use crate::photos::planes::{Decoded, Shelf};
use crate::photos::png::Png;
use crate::photos::raster::Raster;

/// A source whose header is read and can be shown.
pub(super) struct Opened<'a> {
    reader: Reader<'a>,
    /// As stored, not yet upright.
    stored: Size,
    exif: Exif,
    profile: Option<Vec<u8>>,
}

enum Reader<'a> {
    Jpeg(Jpeg<'a>),
    Png(Png<'a>),
    Heic(Box<Heic<'a>>),
    Other(Raster<'a>),
}

impl<'a> Opened<'a> {
    /// Reads the header of `file`.
    pub(super) fn new(file: &'a [u8]) -> Result<Opened<'a>, String> {
        let opened = match kind(file)? {
            Kind::Jpeg => {
                let jpeg = Jpeg::open(file)?;
                let (exif, profile) = (jpeg.exif, jpeg.profile.clone());
                Opened { stored: jpeg.size(), exif, profile, reader: Reader::Jpeg(jpeg) }
            }
            Kind::Png => {
                let png = Png::open(file)?;
                let (exif, profile) = (png.exif, png.profile.clone());
                Opened { stored: png.size, exif, profile, reader: Reader::Png(png) }
            }
            Kind::Heic => {
                let heic = Heic::open(file)?;
                let (exif, profile) = (heic.exif, heic.profile.clone());
                Opened { stored: heic.size, exif, profile, reader: Reader::Heic(Box::new(heic)) }
            }
            Kind::WebP | Kind::Gif => {
                let raster = Raster::open(file)?;
                let (exif, profile) = (raster.exif, raster.profile.clone());
                Opened { stored: raster.size, exif, profile, reader: Reader::Other(raster) }
            }
        };
        plan::refuse(opened.stored)?;
        Ok(opened)
    }

    /// The size, upright.
    pub(super) fn upright(&self) -> Size {
        self.orientation().apply(self.stored)
    }

    /// The size of the largest derivative, not yet upright.
    pub(super) fn wanted(&self) -> Size {
        self.orientation().apply(plan::largest(self.upright()))
    }

    /// What is to be done to make it upright.
    pub(super) fn orientation(&self) -> Orientation {
        match &self.reader {
            Reader::Heic(heic) => heic.orientation,
            _ => Orientation::of(self.exif.orientation.unwrap_or(1)),
        }
    }

    /// When it was taken.
    pub(super) fn taken(&self) -> Option<DateTime> {
        self.exif.taken
    }

    /// The colour profile that the file carries.
    pub(super) fn profile(&self) -> Option<&[u8]> {
        self.profile.as_deref()
    }

    /// The bytes that it takes to make the largest derivative, beside the file's own: what the
    /// decoder needs, and three times the derivative in up to four planes.
    pub(super) fn need(&self) -> u64 {
        let wanted = self.wanted();
        let decoder = match &self.reader {
            Reader::Jpeg(jpeg) => jpeg.need(wanted),
            Reader::Png(png) => png.need(wanted),
            Reader::Heic(heic) => heic.need(wanted),
            Reader::Other(raster) => raster.need(wanted),
        };
        decoder + 12 * wanted.pixels()
    }

    /// The planes, at least as large as [`Opened::wanted`].
    pub(super) fn decode(&self, shelf: &mut Shelf) -> Result<Decoded, String> {
        match &self.reader {
            Reader::Jpeg(jpeg) => jpeg.decode(self.wanted(), shelf),
            Reader::Png(png) => png.decode(self.wanted()),
            Reader::Heic(heic) => heic.decode(self.wanted()),
            Reader::Other(raster) => raster.decode(self.wanted()),
        }
    }
}

/// A format that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Jpeg,
    Png,
    Heic,
    WebP,
    Gif,
}

/// The kind of a file, or why it is none that can be read.
fn kind(bytes: &[u8]) -> Result<Kind, String> {
    let start = |magic: &[u8]| bytes.starts_with(magic);
    let brand = bytes.get(8..12).filter(|_| bytes.get(4..8) == Some(b"ftyp".as_slice()));
    match (bytes, brand) {
        ([], _) => Err("the file is empty; copy it again from the camera".into()),
        _ if start(b"\xFF\xD8\xFF") => Ok(Kind::Jpeg),
        _ if start(b"\x89PNG\r\n\x1A\n") => Ok(Kind::Png),
        _ if start(b"RIFF") && bytes.get(8..12) == Some(b"WEBP".as_slice()) => Ok(Kind::WebP),
        _ if start(b"GIF87a") || start(b"GIF89a") => Ok(Kind::Gif),
        (_, Some(b"avif" | b"avis")) => Err(not_read("AVIF")),
        (_, Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1")) => {
            Ok(Kind::Heic)
        }
        (_, Some(_)) => Err("a film is not shown: put a still picture of it in its place".into()),
        _ if start(b"II*\0") || start(b"MM\0*") => Err(not_read("TIFF or raw")),
        _ if start(b"BM") => Err(not_read("BMP")),
        _ if start(b"\xFF\x0A") || start(b"\0\0\0\x0CJXL ") => Err(not_read("JPEG XL")),
        _ if bytes.iter().take(64).all(|byte| *byte == 0) => {
            Err("the file holds only zeros: it was not copied whole; copy it again from the camera".into())
        }
        _ => Err(
            "not a picture, whatever its name says: it begins with none of the marks of JPEG, PNG, WebP, \
                  HEIC or GIF"
                .into(),
        ),
    }
}

/// What is said of a format that is told and not read.
pub(super) fn not_read(format: &str) -> String {
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
        assert_eq!(kind(b"\0\0\0\x18ftypheic\0\0\0\0"), Ok(Kind::Heic));
        assert!(kind(b"\0\0\0\x18ftypavif\0\0\0\0").unwrap_err().contains("AVIF"));
        assert!(kind(b"\0\0\0\x18ftypqt  \0\0\0\0").unwrap_err().contains("film"));
        assert!(kind(&[0; 100]).unwrap_err().contains("only zeros"));
        assert!(kind(b"---\ntitle: Lantern\n").unwrap_err().contains("not a picture"));
    }
}
