//! Makes planes smaller.

use anyhow::Context;
use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};

use crate::photos::exif::Orientation;
use crate::photos::plan::Size;
use crate::photos::planes::{Picture, Plane};

/// Resizes planes, keeping its buffers from one to the next.
#[derive(Default)]
pub(super) struct Scaler {
    resizer: Resizer,
}

impl Scaler {
    /// Fills `to`, which has its size already, with the part of `from` at left, top, width, height.
    ///
    /// The filter is Lanczos with three lobes; applied from each size to the next smaller one it
    /// looks the same as from the full picture and costs a third.
    pub(super) fn plane(&mut self, from: &Plane, part: [f64; 4], to: &mut Plane) -> anyhow::Result<()> {
        let [left, top, width, height] = part;
        let whole = [0.0, 0.0, from.width as f64, from.height as f64];
        if part == whole && (from.width, from.height) == (to.width, to.height) {
            to.pixels.copy_from_slice(&from.pixels);
            return Ok(());
        }
        let options = ResizeOptions::new()
            .resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3))
            .crop(left, top, width, height)
            .use_alpha(false);
        let said = || format!("a plane of {} x {} pixels", from.width, from.height);
        let source = ImageRef::new(from.width as u32, from.height as u32, &from.pixels, PixelType::U8)
            .with_context(said)?;
        let mut target =
            Image::from_slice_u8(to.width as u32, to.height as u32, &mut to.pixels, PixelType::U8)
                .with_context(said)?;
        self.resizer.resize(&source, &mut target, &options).with_context(said)
    }

    /// The part of `from` at left, top, width, height, at `size`.
    pub(super) fn picture(
        &mut self,
        from: &Picture,
        [left, top, width, height]: [f64; 4],
        size: Size,
        to: &mut Picture,
    ) -> anyhow::Result<()> {
        let (wide, high) = (size.width as usize, size.height as usize);
        to.luma.shape(wide, high);
        self.plane(&from.luma, [left, top, width, height], &mut to.luma)?;
        let Some(chroma) = &from.chroma else {
            to.chroma = None;
            return Ok(());
        };
        let planes = to.chroma.get_or_insert_default();
        for (from, to) in chroma.iter().zip(planes) {
            to.shape(wide.div_ceil(2), high.div_ceil(2));
            let part = [left / 2.0, top / 2.0, width / 2.0, height / 2.0];
            self.plane(from, part, to)?;
        }
        Ok(())
    }

    /// The bytes that are kept for the next picture.
    pub(super) fn kept(&self) -> usize {
        self.resizer.size_of_internal_buffers()
    }
}

/// Turns a plane upright into `to`.
pub(super) fn turn(from: &Plane, orientation: Orientation, to: &mut Plane) {
    let Orientation { transpose, mirror, flip } = orientation;
    if !transpose {
        to.shape(from.width, from.height);
        for y in 0..from.height {
            let line = to.row_mut(if flip { from.height - 1 - y } else { y });
            line.copy_from_slice(from.row(y));
            if mirror {
                line.reverse();
            }
        }
        return;
    }
    to.shape(from.height, from.width);
    // Tile by tile, so that the rows read and the rows written both stay in the nearest cache.
    const TILE: usize = 32;
    let (width, height) = (from.width, from.height);
    for top in (0..height).step_by(TILE) {
        for left in (0..width).step_by(TILE) {
            for x in left..(left + TILE).min(width) {
                let line = to.row_mut(if flip { width - 1 - x } else { x });
                for y in top..(top + TILE).min(height) {
                    line[if mirror { height - 1 - y } else { y }] = from.pixels[y * width + x];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As the standard defines them: what value belongs to which corner of the stored picture
    /// (EXIF 2.32, Orientation: "the 0th row is ..., the 0th column is ...").
    #[test]
    fn the_eight_orientations() {
        let stored = Plane { width: 3, height: 2, pixels: vec![1, 2, 3, 4, 5, 6] };
        let expected: [(u16, usize, [u8; 6]); 8] = [
            (1, 3, [1, 2, 3, 4, 5, 6]),
            (2, 3, [3, 2, 1, 6, 5, 4]),
            (3, 3, [6, 5, 4, 3, 2, 1]),
            (4, 3, [4, 5, 6, 1, 2, 3]),
            (5, 2, [1, 4, 2, 5, 3, 6]),
            (6, 2, [4, 1, 5, 2, 6, 3]),
            (7, 2, [6, 3, 5, 2, 4, 1]),
            (8, 2, [3, 6, 2, 5, 1, 4]),
        ];
        for (value, width, pixels) in expected {
            let mut upright = Plane::default();
            turn(&stored, Orientation::of(value), &mut upright);
            assert_eq!((upright.width, upright.pixels.as_slice()), (width, pixels.as_slice()), "{value}");
        }
    }

    #[test]
    fn a_plain_plane_stays_plain() {
        let from = Plane { width: 37, height: 21, pixels: vec![93; 37 * 21] };
        let mut to = Plane::default();
        to.shape(9, 5);
        Scaler::default().plane(&from, [0.0, 0.0, 36.5, 20.5], &mut to).unwrap();
        assert_eq!(to.pixels, vec![93; 45]);
    }
}
