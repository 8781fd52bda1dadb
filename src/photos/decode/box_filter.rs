//! Rows of colours into smaller planes, as they come.

use crate::photos::pixels::image::{ColourModel, DecodedImage};
use crate::photos::pixels::plane::Plane;
use crate::photos::sizes::Size;

/// Takes rows, lays them on white and keeps the mean of squares of pixels: as few as are wanted.
pub(super) struct BoxFilter {
    size: Size,
    channels: usize,
    /// The side of a square, in pixels.
    side: usize,
    /// A square's sum in each colour.
    sums: Vec<[u32; 3]>,
    rows: usize,
    planes: Vec<Plane>,
}

impl BoxFilter {
    /// For rows of 8-bit samples: grey, grey and opacity, colours, or colours and opacity.
    pub(super) fn new(size: Size, wanted: Size, channels: usize) -> BoxFilter {
        let side = Self::side(size, wanted);
        let (width, height) = ((size.width as usize).div_ceil(side), (size.height as usize).div_ceil(side));
        let plane = || Plane { width, height: 0, pixels: Vec::with_capacity(width * height) };
        let planes = (0..if channels < 3 { 1 } else { 3 }).map(|_| plane()).collect();
        BoxFilter { size, channels, side, sums: vec![[0; 3]; width], rows: 0, planes }
    }

    /// The bytes that it takes.
    pub(super) fn memory(size: Size, wanted: Size) -> u64 {
        let side = Self::side(size, wanted) as u64;
        3 * size.pixels() / (side * side) + 16 * u64::from(size.width)
    }

    fn side(size: Size, wanted: Size) -> usize {
        // A square of more than 4096 pixels' side could overflow its sum, and no picture has one.
        (size.width / wanted.width).min(size.height / wanted.height).clamp(1, 4096) as usize
    }

    /// Takes the next row.
    pub(super) fn push(&mut self, row: &[u8]) {
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
    pub(super) fn finish(mut self) -> Option<DecodedImage> {
        if self.rows > 0 {
            self.close();
        }
        let height = (self.size.height as usize).div_ceil(self.side);
        let covered = [self.size.width, self.size.height].map(|side| f64::from(side) / self.side as f64);
        let model = if self.planes.len() == 1 { ColourModel::Grey } else { ColourModel::Rgb };
        let whole = self.planes.iter().all(|plane| plane.pixels.len() == plane.width * height);
        let layers = self.planes.into_iter().map(|plane| (Plane { height, ..plane }, covered));
        whole.then(|| DecodedImage { model, layers: layers.collect() })
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
        let mut filter = BoxFilter::new(size, wanted, 1);
        for row in [[10, 20, 30, 40, 50], [30, 40, 50, 60, 70], [1, 2, 3, 4, 5]] {
            filter.push(&row);
        }
        let decoded = filter.finish().unwrap();
        let (plane, covered) = &decoded.layers[0];
        assert_eq!((plane.width, plane.height), (3, 2));
        assert_eq!(plane.pixels, [25, 45, 60, 2, 4, 5]);
        assert_eq!(*covered, [2.5, 1.5]);
    }

    #[test]
    fn missing_rows_are_noticed() {
        let size = Size { width: 2, height: 3 };
        let mut filter = BoxFilter::new(size, size, 3);
        filter.push(&[0; 6]);
        assert!(filter.finish().is_none());
    }

    #[test]
    fn clear_is_white() {
        assert_eq!(over_white(0, 0), 255);
        assert_eq!(over_white(77, 255), 77);
        assert_eq!(over_white(0, 51), 204);
    }
}
