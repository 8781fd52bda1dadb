//! A source's format by its first bytes, since names can be wrong.

use crate::photos::error::{PhotoError, Unsupported};

/// A format that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    Jpeg,
    Png,
    Heic,
    WebPOrGif,
}

impl Format {
    /// The format of a file, or why it is none that can be read.
    pub(super) fn of(bytes: &[u8]) -> Result<Format, PhotoError> {
        let start = |magic: &[u8]| bytes.starts_with(magic);
        let brand = bytes.get(8..12).filter(|_| bytes.get(4..8) == Some(b"ftyp".as_slice()));
        match (bytes, brand) {
            ([], _) => Err(PhotoError::Empty),
            _ if start(b"\xFF\xD8\xFF") => Ok(Format::Jpeg),
            _ if start(b"\x89PNG\r\n\x1A\n") => Ok(Format::Png),
            _ if start(b"RIFF") && bytes.get(8..12) == Some(b"WEBP".as_slice()) => Ok(Format::WebPOrGif),
            _ if start(b"GIF87a") || start(b"GIF89a") => Ok(Format::WebPOrGif),
            (_, Some(b"avif" | b"avis")) => Err(Unsupported::Avif.into()),
            (_, Some(b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1")) => {
                Ok(Format::Heic)
            }
            (_, Some(_)) => Err(PhotoError::Film),
            _ if start(b"II*\0") || start(b"MM\0*") => Err(Unsupported::TiffOrRaw.into()),
            _ if start(b"BM") => Err(Unsupported::Bmp.into()),
            _ if start(b"\xFF\x0A") || start(b"\0\0\0\x0CJXL ") => Err(Unsupported::JpegXl.into()),
            _ if bytes.iter().take(64).all(|byte| *byte == 0) => Err(PhotoError::OnlyZeros),
            _ => Err(PhotoError::NotAPicture),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn content_decides_the_format() {
        assert_eq!(Format::of(b"\xFF\xD8\xFF\xE0rest"), Ok(Format::Jpeg));
        assert_eq!(Format::of(b"RIFF\0\0\0\0WEBPVP8 "), Ok(Format::WebPOrGif));
        assert_eq!(Format::of(b"RIFF\0\0\0\0WAVEfmt "), Err(PhotoError::NotAPicture));
        assert_eq!(Format::of(b""), Err(PhotoError::Empty));
        assert_eq!(Format::of(b"\0\0\0\x18ftypheic\0\0\0\0"), Ok(Format::Heic));
        assert_eq!(Format::of(b"\0\0\0\x18ftypavif\0\0\0\0"), Err(Unsupported::Avif.into()));
        assert_eq!(Format::of(b"\0\0\0\x18ftypqt  \0\0\0\0"), Err(PhotoError::Film));
        assert_eq!(Format::of(&[0; 100]), Err(PhotoError::OnlyZeros));
        assert_eq!(Format::of(b"---\ntitle: Lantern\n"), Err(PhotoError::NotAPicture));
    }
}
