//! Makes planes smaller.

use std::f64::consts::PI;
use std::sync::LazyLock;

use anyhow::Context;
use fast_image_resize::images::{TypedCroppedImage, TypedImage, TypedImageRef};
use fast_image_resize::pixels::U8;
use fast_image_resize::{Filter, FilterType, ResizeAlg, ResizeOptions, Resizer};

use super::image::YCbCrImage;
use super::plane::{Plane, PlanePool};
use crate::photos::sizes::Size;

/// Resizes planes, keeping its buffers from one to the next.
///
/// The filter is Lanczos with three lobes; applied from each size to the next smaller one it looks
/// the same as from the full picture and costs a third.
pub(crate) struct Scaler {
    resizer: Resizer,
    filter: FilterType,
}

impl Default for Scaler {
    fn default() -> Self {
        let filter = Filter::new("Lanczos", lanczos, LOBES).map_or(FilterType::Lanczos3, FilterType::Custom);
        Scaler { resizer: Resizer::default(), filter }
    }
}

const LOBES: f64 = 3.0;

/// How finely the filter is tabulated, a unit of distance: past this the weights, which have 16 bits,
/// no longer change.
const STEPS: usize = 1024;

/// The filter's weight at a distance, from a table: the library's own takes the sine of the system,
/// which differs between systems, and two of them for each weight.
fn lanczos(distance: f64) -> f64 {
    static TABLE: LazyLock<Vec<f64>> = LazyLock::new(|| {
        let sinc = |x: f64| if x == 0.0 { 1.0 } else { libm::sin(PI * x) / (PI * x) };
        let at = |index| index as f64 / STEPS as f64;
        (0..=LOBES as usize * STEPS + 1).map(at).map(|x| sinc(x) * sinc(x / LOBES)).collect()
    });
    let place = distance.abs() * STEPS as f64;
    if place >= LOBES * STEPS as f64 {
        return 0.0;
    }
    let (index, rest) = (place as usize, place - place.floor());
    TABLE[index] + (TABLE[index + 1] - TABLE[index]) * rest
}

impl Scaler {
    /// Fills `to`, which has its size already, with the part of `from` at left, top, width, height.
    /// Pixels right of that part and below it are not used: they pad the last blocks.
    ///
    /// First the columns, then the rows: the latter cost more, and are fewer by then.
    pub(crate) fn plane(
        &mut self,
        from: &Plane,
        [left, top, width, height]: [f64; 4],
        to: &mut Plane,
        pool: &mut PlanePool,
    ) -> anyhow::Result<()> {
        let (right, bottom) = ((left + width).min(from.width as f64), (top + height).min(from.height as f64));
        let (wide, high) = (right.ceil() as usize, bottom.ceil() as usize);
        let mut squat = pool.take(wide, to.height);
        self.pass(from, [wide, high], [0.0, top, wide as f64, bottom - top], &mut squat)?;
        self.pass(&squat, [wide, to.height], [left, 0.0, right - left, to.height as f64], to)?;
        pool.give_back([squat]);
        Ok(())
    }

    /// Fills `to` with a part of the upper left corner of `from`.
    fn pass(
        &mut self,
        from: &Plane,
        corner: [usize; 2],
        part: [f64; 4],
        to: &mut Plane,
    ) -> anyhow::Result<()> {
        let [left, top, width, height] = part;
        let options = ResizeOptions::new()
            .resize_alg(ResizeAlg::Convolution(self.filter))
            .crop(left, top, width, height)
            .use_alpha(false);
        let said = || format!("a plane of {} x {} pixels", from.width, from.height);
        // The kind of pixel is part of the types: else the resizer is compiled for all of its kinds.
        let whole = TypedImageRef::<U8>::from_buffer(from.width as u32, from.height as u32, &from.pixels)
            .with_context(said)?;
        let source = TypedCroppedImage::from_ref(&whole, 0, 0, corner[0] as u32, corner[1] as u32)
            .with_context(said)?;
        let (wide, high) = (to.width as u32, to.height as u32);
        let mut target = TypedImage::<U8>::from_buffer(wide, high, &mut to.pixels).with_context(said)?;
        self.resizer.resize_typed(&source, &mut target, &options).with_context(said)
    }

    /// The part of `from` at left, top, width, height, at `size`.
    pub(crate) fn picture(
        &mut self,
        from: &YCbCrImage,
        part: [f64; 4],
        size: Size,
        pool: &mut PlanePool,
    ) -> anyhow::Result<YCbCrImage> {
        let (wide, high) = (size.width as usize, size.height as usize);
        let mut scaled = |from: &Plane, part, wide, high| {
            let mut to = pool.take(wide, high);
            self.plane(from, part, &mut to, pool).map(|()| to)
        };
        let luma = scaled(&from.luma, part, wide, high)?;
        let half = part.map(|side| side / 2.0);
        let mut difference = |plane| scaled(plane, half, wide.div_ceil(2), high.div_ceil(2));
        let chroma = match &from.chroma {
            Some([blue, red]) => Some([difference(blue)?, difference(red)?]),
            None => None,
        };
        Ok(YCbCrImage { luma, chroma })
    }

    /// The bytes that are kept for the next picture.
    pub(crate) fn retained(&self) -> usize {
        self.resizer.size_of_internal_buffers()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The definition: sinc(x) sinc(x / 3).
    #[test]
    fn the_filter_is_lanczos() {
        for step in 0..3500 {
            let x = f64::from(step) * 0.001 + 0.0003;
            let sinc = |x: f64| libm::sin(PI * x) / (PI * x);
            let should = if x < 3.0 { sinc(x) * sinc(x / 3.0) } else { 0.0 };
            assert!((lanczos(-x) - should).abs() < 1e-6, "{x}");
        }
        assert!((lanczos(0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_plain_plane_stays_plain() {
        let from = Plane { width: 37, height: 21, pixels: vec![93; 37 * 21] };
        let mut to = Plane::default();
        to.shape(9, 5);
        Scaler::default().plane(&from, [0.0, 0.0, 36.5, 20.5], &mut to, &mut PlanePool::default()).unwrap();
        assert_eq!(to.pixels, vec![93; 45]);
    }
}
