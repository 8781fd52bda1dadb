//! Formats that come as rows of red, green and blue.

use std::io::Cursor;

use image::{ImageDecoder, ImageReader};

use crate::photos::plan::Size;
use crate::photos::planes::{Decoded, Model, Plane};

/// A decoder for one file, its header read.
pub(super) struct Raster<'a> {
    pub(super) size: Size,
    pub(super) exif: Option<Vec<u8>>,
    pub(super) profile: Option<Vec<u8>>,
    pub(super) xmp: Option<Vec<u8>>,
    pub(super) bytes: u64,
    file: &'a [u8],
}

impl<'a> Raster<'a> {
    pub(super) fn open(file: &'a [u8]) -> Result<Raster<'a>, String> {
        let reader =
            ImageReader::new(Cursor::new(file)).with_guessed_format().map_err(|error| error.to_string())?;
        let mut decoder = reader.into_decoder().map_err(|error| damaged(&error))?;
        let (width, height) = decoder.dimensions();
        Ok(Raster {
            size: Size { width, height },
            exif: decoder.exif_metadata().ok().flatten(),
            profile: decoder.icc_profile().ok().flatten(),
            xmp: decoder.xmp_metadata().ok().flatten(),
            bytes: decoder.total_bytes(),
            file,
        })
    }

    pub(super) fn decode(&self, stored: Size) -> Result<Decoded, String> {
        let reader = ImageReader::new(Cursor::new(self.file))
            .with_guessed_format()
            .map_err(|error| error.to_string())?;
        let pixels = reader.decode().map_err(|error| damaged(&error))?.into_rgba8();
        let mut gatherer = Gatherer::new(self.size, stored);
        for row in pixels.as_raw().chunks(self.size.width as usize * 4) {
            gatherer.row(row);
        }
        Ok(gatherer.finish())
    }
}

fn damaged(error: &image::ImageError) -> String {
    format!("the file is damaged ({error}); copy it again from the camera, or export it anew")
}

/// Takes rows and keeps the mean of squares of pixels, as few as the wanted size allows.
struct Gatherer {
    size: Size,
    side: usize,
    sums: Vec<[u32; 3]>,
    rows: usize,
    planes: [Plane; 3],
}

impl Gatherer {
    fn new(size: Size, wanted: Size) -> Gatherer {
        let side = (size.width / wanted.width).min(size.height / wanted.height).max(1) as usize;
        let width = (size.width as usize).div_ceil(side);
        let plane = Plane {
            width,
            height: 0,
            pixels: Vec::with_capacity(width * (size.height as usize).div_ceil(side)),
        };
        Gatherer {
            size,
            side,
            sums: vec![[0; 3]; width],
            rows: 0,
            planes: [plane.clone(), plane.clone(), plane],
        }
    }

    fn row(&mut self, row: &[u8]) {
        for (pixels, sum) in row.chunks(4 * self.side).zip(&mut self.sums) {
            for [r, g, b, a] in pixels.as_chunks::<4>().0 {
                for (sum, value) in sum.iter_mut().zip([r, g, b]) {
                    *sum += (u32::from(*value) * u32::from(*a) + 255 * (255 - u32::from(*a)) + 127) / 255;
                }
            }
        }
        self.rows += 1;
        if self.rows == self.side {
            self.flush();
        }
    }

    fn flush(&mut self) {
        let last = self.sums.len() - 1;
        let over = self.size.width as usize - last * self.side;
        for (x, sum) in self.sums.iter_mut().enumerate() {
            let count = (self.rows * if x == last { over } else { self.side }) as u32;
            for (plane, sum) in self.planes.iter_mut().zip(sum.iter()) {
                plane.pixels.push(((sum + count / 2) / count) as u8);
            }
            *sum = [0; 3];
        }
        self.rows = 0;
    }

    fn finish(mut self) -> Decoded {
        if self.rows > 0 {
            self.flush();
        }
        let covered = [self.size.width, self.size.height].map(|side| f64::from(side) / self.side as f64);
        let layers = self.planes.into_iter().map(|mut plane| {
            plane.height = plane.pixels.len() / plane.width;
            (plane, covered)
        });
        Decoded { model: Model::Rgb, layers: layers.collect() }
    }
}
