//! Formats that come as rows of colours.

use std::io::Cursor;

use image::{ImageDecoder, ImageReader};

use crate::photos::exif::{Exif, xmp_orientation};
use crate::photos::plan::Size;
use crate::photos::planes::{Decoded, Model, Plane};

/// A WebP or GIF file whose header is read.
pub(super) struct Raster<'a> {
    file: &'a [u8],
    pub(super) size: Size,
    /// Bytes of all pixels as they are given out.
    bytes: u64,
    pub(super) exif: Exif,
    pub(super) profile: Option<Vec<u8>>,
}

impl<'a> Raster<'a> {
    /// Reads the header of `file`.
    pub(super) fn open(file: &'a [u8]) -> Result<Raster<'a>, String> {
        let mut decoder = decoder(file)?;
        let (width, height) = decoder.dimensions();
        let exif = decoder.exif_metadata().ok().flatten();
        let xmp = decoder.xmp_metadata().ok().flatten();
        let said = Exif { orientation: xmp.as_deref().and_then(xmp_orientation), taken: None };
        Ok(Raster {
            file,
            size: Size { width, height },
            bytes: decoder.total_bytes(),
            exif: exif.as_deref().map(Exif::read).unwrap_or_default().or(said),
            profile: decoder.icc_profile().ok().flatten(),
        })
    }

    /// The bytes that decoding for `wanted` takes: the decoders hold the picture about twice.
    pub(super) fn need(&self, wanted: Size) -> u64 {
        2 * self.bytes + Gatherer::need(self.size, wanted)
    }

    /// Decodes the picture, the first one of a moving one, no smaller than `wanted`, where it is that large.
    pub(super) fn decode(&self, wanted: Size) -> Result<Decoded, String> {
        let decoder = decoder(self.file)?;
        let channels = usize::from(decoder.color_type().channel_count());
        let mut pixels = vec![0; usize::try_from(self.bytes).map_err(|_| super::make::DAMAGED)?];
        decoder.read_image(&mut pixels).map_err(|error| damaged(&error))?;
        let mut gatherer = Gatherer::new(self.size, wanted, channels);
        pixels.chunks(self.size.width as usize * channels).for_each(|row| gatherer.row(row));
        gatherer.finish().ok_or_else(|| super::make::DAMAGED.into())
    }
}

fn decoder(file: &[u8]) -> Result<Box<dyn ImageDecoder + '_>, String> {
    let reader =
        ImageReader::new(Cursor::new(file)).with_guessed_format().map_err(|error| error.to_string())?;
    // The budget is asked before a pixel is decoded; a second limit would only differ from it.
    let mut reader = reader;
    reader.no_limits();
    reader
        .into_decoder()
        .map(|decoder| Box::new(decoder) as Box<dyn ImageDecoder>)
        .map_err(|error| damaged(&error))
}

fn damaged(error: &image::ImageError) -> String {
    format!("the file is damaged ({error}); copy it again from the camera, or export it anew")
}

/// Takes rows, lays them on white and keeps the mean of squares of pixels: as few as are wanted.
pub(super) struct Gatherer {
    size: Size,
    channels: usize,
    /// The side of a square, in pixels.
    side: usize,
    /// A square's sum in each colour.
    sums: Vec<[u32; 3]>,
    rows: usize,
    planes: Vec<Plane>,
}

impl Gatherer {
    /// For rows of 8-bit samples: grey, grey and opacity, colours, or colours and opacity.
    pub(super) fn new(size: Size, wanted: Size, channels: usize) -> Gatherer {
        let side = Self::side(size, wanted);
        let (width, height) = ((size.width as usize).div_ceil(side), (size.height as usize).div_ceil(side));
        let plane = || Plane { width, height: 0, pixels: Vec::with_capacity(width * height) };
        let planes = (0..if channels < 3 { 1 } else { 3 }).map(|_| plane()).collect();
        Gatherer { size, channels, side, sums: vec![[0; 3]; width], rows: 0, planes }
    }

    /// The bytes that it takes.
    pub(super) fn need(size: Size, wanted: Size) -> u64 {
        let side = Self::side(size, wanted) as u64;
        3 * size.pixels() / (side * side) + 16 * u64::from(size.width)
    }

    fn side(size: Size, wanted: Size) -> usize {
        // A square of more than 4096 pixels' side could overflow its sum, and no picture has one.
        (size.width / wanted.width).min(size.height / wanted.height).clamp(1, 4096) as usize
    }

    /// Takes the next row.
    pub(super) fn row(&mut self, row: &[u8]) {
        match self.channels {
            1 => self.add(row, |[value]: [u8; 1]| [value; 3]),
            2 => self.add(row, |[value, opacity]: [u8; 2]| [over_white(value, opacity); 3]),
            3 => self.add(row, |colours: [u8; 3]| colours),
            _ => {
                self.add(row, |[r, g, b, opacity]: [u8; 4]| {
                    [r, g, b].map(|value| over_white(value, opacity))
                });
            }
        }
        self.rows += 1;
        if self.rows == self.side {
            self.close();
        }
    }

    fn add<const CHANNELS: usize>(&mut self, row: &[u8], colours: impl Fn([u8; CHANNELS]) -> [u8; 3]) {
        let (pixels, _) = row.as_chunks::<CHANNELS>();
        for (square, sums) in pixels.chunks(self.side).zip(&mut self.sums) {
            for pixel in square {
                for (sum, value) in sums.iter_mut().zip(colours(*pixel)) {
                    *sum += u32::from(value);
                }
            }
        }
    }

    /// Ends a row of squares.
    fn close(&mut self) {
        let last = self.sums.len() - 1;
        let rest = self.size.width as usize - last * self.side;
        for (x, sums) in self.sums.iter_mut().enumerate() {
            let count = (self.rows * if x == last { rest } else { self.side }) as u32;
            for (plane, sum) in self.planes.iter_mut().zip(sums.iter()) {
                plane.pixels.push(((sum + count / 2) / count) as u8);
            }
            *sums = [0; 3];
        }
        self.rows = 0;
    }

    /// The picture; `None` if rows were missing.
    pub(super) fn finish(mut self) -> Option<Decoded> {
        if self.rows > 0 {
            self.close();
        }
        let height = (self.size.height as usize).div_ceil(self.side);
        let covered = [self.size.width, self.size.height].map(|side| f64::from(side) / self.side as f64);
        let model = if self.planes.len() == 1 { Model::Grey } else { Model::Rgb };
        let whole = self.planes.iter().all(|plane| plane.pixels.len() == plane.width * height);
        let layers = self.planes.into_iter().map(|plane| (Plane { height, ..plane }, covered));
        whole.then(|| Decoded { model, layers: layers.collect() })
    }
}

fn over_white(value: u8, opacity: u8) -> u8 {
    let (value, opacity) = (u32::from(value), u32::from(opacity));
    ((value * opacity + 255 * (255 - opacity) + 127) / 255) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn squares_are_averaged_and_the_edge_ones_by_what_they_have() {
        let (size, wanted) = (Size { width: 5, height: 3 }, Size { width: 2, height: 1 });
        let mut gatherer = Gatherer::new(size, wanted, 1);
        for row in [[10, 20, 30, 40, 50], [30, 40, 50, 60, 70], [1, 2, 3, 4, 5]] {
            gatherer.row(&row);
        }
        let decoded = gatherer.finish().unwrap();
        let (plane, covered) = &decoded.layers[0];
        assert_eq!((plane.width, plane.height), (3, 2));
        assert_eq!(plane.pixels, [25, 45, 60, 2, 4, 5]);
        assert_eq!(*covered, [2.5, 1.5]);
    }

    #[test]
    fn missing_rows_are_noticed() {
        let size = Size { width: 2, height: 3 };
        let mut gatherer = Gatherer::new(size, size, 3);
        gatherer.row(&[0; 6]);
        assert!(gatherer.finish().is_none());
    }

    #[test]
    fn clear_is_white() {
        assert_eq!(over_white(0, 0), 255);
        assert_eq!(over_white(77, 255), 77);
        assert_eq!(over_white(0, 51), 204);
    }
}
