//! A picture's own colours into sRGB, and into the luma and differences of JPEG.

use std::sync::Arc;

use moxcms::{ColorProfile, DataColorSpace, Layout, Transform8BitExecutor, TransformOptions};

use super::image::{ColourModel, YCbCrImage};
use super::plane::Plane;

/// How the planes of one picture become sRGB.
pub(crate) struct Conversion {
    model: ColourModel,
    profile: Option<Arc<Transform8BitExecutor>>,
}

impl Conversion {
    /// For planes of `model` with the `profile` that the file carries. A profile that cannot be read
    /// or is for other planes is left out, as viewers do; one that says sRGB needs no work.
    pub(crate) fn new(model: ColourModel, profile: Option<&[u8]>) -> Conversion {
        Conversion { model, profile: profile.and_then(|bytes| transform(model, bytes)) }
    }

    /// Whether planes may stay as they are, the differences at half the luma's size.
    pub(crate) fn is_direct(&self) -> bool {
        self.profile.is_none() && matches!(self.model, ColourModel::Grey | ColourModel::YCbCr)
    }

    /// The picture of `planes`, which have one size.
    pub(crate) fn apply(&self, planes: &[Plane], picture: &mut YCbCrImage) {
        let (width, height) = (planes[0].width, planes[0].height);
        picture.luma.shape(width, height);
        let [blue, red] = picture.chroma.get_or_insert_default();
        blue.shape(width.div_ceil(2), height.div_ceil(2));
        red.shape(width.div_ceil(2), height.div_ceil(2));
        let mut own = vec![0; width * planes.len()];
        let mut lines = [vec![0; width * 3], vec![0; width * 3]];
        for y in (0..height).step_by(2) {
            for (line, y) in lines.iter_mut().zip([y, (y + 1).min(height - 1)]) {
                self.line(planes, y, &mut own, line);
            }
            for (line, y) in lines.iter().zip(y..height) {
                for (luma, [r, g, b]) in picture.luma.row_mut(y).iter_mut().zip(line.as_chunks::<3>().0) {
                    *luma = weigh([*r, *g, *b].map(i32::from), [19_595, 38_470, 7_471], 0, 16);
                }
            }
            let [above, below] = lines.each_ref().map(|line| line.as_chunks::<3>().0);
            let pairs = blue.row_mut(y / 2).iter_mut().zip(red.row_mut(y / 2)).enumerate();
            for (x, (blue, red)) in pairs {
                let (left, right) = (2 * x, (2 * x + 1).min(width - 1));
                let sum = std::array::from_fn(|channel| {
                    [above[left], above[right], below[left], below[right]]
                        .map(|pixel| i32::from(pixel[channel]))
                        .iter()
                        .sum()
                });
                *blue = weigh(sum, [-11_059, -21_709, 32_768], 128, 18);
                *red = weigh(sum, [32_768, -27_439, -5_329], 128, 18);
            }
        }
    }

    /// Row `y` as sRGB, three bytes a pixel; `own` is room for the row in its own colours.
    fn line(&self, planes: &[Plane], y: usize, own: &mut [u8], out: &mut [u8]) {
        let rgb = match self.model {
            ColourModel::YCbCr => {
                let rows = [planes[0].row(y), planes[1].row(y), planes[2].row(y)];
                for (x, pixel) in own.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                    *pixel = to_rgb(rows[0][x], rows[1][x], rows[2][x]);
                }
                true
            }
            ColourModel::Ycck => {
                let rows = [planes[0].row(y), planes[1].row(y), planes[2].row(y), planes[3].row(y)];
                for (x, pixel) in own.as_chunks_mut::<4>().0.iter_mut().enumerate() {
                    let [c, m, y] = to_rgb(rows[0][x], rows[1][x], rows[2][x]);
                    *pixel = [c, m, y, 255 - rows[3][x]];
                }
                false
            }
            _ => {
                for (channel, plane) in planes.iter().enumerate() {
                    for (slot, value) in own.iter_mut().skip(channel).step_by(planes.len()).zip(plane.row(y))
                    {
                        *slot = *value;
                    }
                }
                self.model == ColourModel::Rgb
            }
        };
        if self.profile.as_ref().is_some_and(|profile| profile.transform(own, out).is_ok()) {
            return;
        }
        if rgb {
            out.copy_from_slice(own);
        } else if self.model == ColourModel::Grey {
            for (pixel, value) in out.as_chunks_mut::<3>().0.iter_mut().zip(own) {
                *pixel = [*value; 3];
            }
        } else {
            for (pixel, [c, m, y, k]) in out.as_chunks_mut::<3>().0.iter_mut().zip(own.as_chunks::<4>().0) {
                *pixel = [c, m, y].map(|ink| {
                    let (light, black) = (255 - u32::from(*ink), 255 - u32::from(*k));
                    ((light * black + 127) / 255) as u8
                });
            }
        }
    }
}

/// The pixels of a picture, three bytes each; for pictures so small that speed does not count.
pub(crate) fn rgb(picture: &YCbCrImage) -> Vec<u8> {
    let (width, luma) = (picture.luma.width, &picture.luma.pixels);
    let pixel = |(index, luma): (usize, &u8)| match &picture.chroma {
        None => [*luma; 3],
        Some([blue, red]) => {
            let at = index / width / 2 * blue.width + index % width / 2;
            to_rgb(*luma, blue.pixels[at], red.pixels[at])
        }
    };
    luma.iter().enumerate().flat_map(pixel).collect()
}

/// A weighed sum in fixed point: 16 bits for a sum of one pixel, 18 for a sum of four.
fn weigh(values: [i32; 3], weights: [i32; 3], offset: i32, shift: u32) -> u8 {
    let sum = values[0] * weights[0] + values[1] * weights[1] + values[2] * weights[2];
    (((sum + (1 << (shift - 1))) >> shift) + offset).clamp(0, 255) as u8
}

/// JFIF's luma and differences as RGB, in 16 bits of fixed point.
fn to_rgb(luma: u8, blue: u8, red: u8) -> [u8; 3] {
    let luma = (i32::from(luma) << 16) + (1 << 15);
    let (blue, red) = (i32::from(blue) - 128, i32::from(red) - 128);
    [luma + 91_881 * red, luma - 22_554 * blue - 46_802 * red, luma + 116_130 * blue]
        .map(|value| (value >> 16).clamp(0, 255) as u8)
}

/// The transform from a profile to sRGB for rows of bytes; `None` where there is nothing to do.
fn transform(model: ColourModel, bytes: &[u8]) -> Option<Arc<Transform8BitExecutor>> {
    let profile = ColorProfile::new_from_slice(bytes).ok()?;
    let layout = match (model, profile.color_space) {
        (ColourModel::Grey, DataColorSpace::Gray) => Layout::Gray,
        (ColourModel::YCbCr | ColourModel::Rgb, DataColorSpace::Rgb) => Layout::Rgb,
        // Four bytes without alpha share a layout with RGBA there.
        (ColourModel::Cmyk | ColourModel::Ycck, DataColorSpace::Cmyk) => Layout::Rgba,
        _ => return None,
    };
    let transform = profile
        .create_transform_8bit(layout, &ColorProfile::new_srgb(), Layout::Rgb, TransformOptions::default())
        .ok()?;
    let changes = match layout {
        Layout::Rgb => {
            // Nine steps of each channel.
            let step = |index: usize| (index % 9 * 32).min(255) as u8;
            let probe: Vec<u8> =
                (0..729).flat_map(|index| [step(index), step(index / 9), step(index / 81)]).collect();
            let mut seen = vec![0; probe.len()];
            transform.transform(&probe, &mut seen).ok()?;
            probe.iter().zip(&seen).any(|(a, b)| a.abs_diff(*b) > 1)
        }
        _ => true,
    };
    changes.then_some(transform)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane(pixels: &[u8]) -> Plane {
        Plane { width: pixels.len(), height: 1, pixels: pixels.to_vec() }
    }

    fn convert(model: ColourModel, profile: Option<&[u8]>, planes: &[Plane]) -> YCbCrImage {
        let mut picture = YCbCrImage::default();
        Conversion::new(model, profile).apply(planes, &mut picture);
        picture
    }

    #[test]
    fn rgb_by_the_formulas_of_jfif() {
        let planes = [plane(&[255, 255, 0, 0]), plane(&[0, 0, 0, 0]), plane(&[0, 0, 255, 255])];
        let picture = convert(ColourModel::Rgb, None, &planes);
        let [blue, red] = picture.chroma.unwrap();
        assert_eq!(picture.luma.pixels, [76, 76, 29, 29]);
        assert_eq!(blue.pixels, [85, 255]);
        assert_eq!(red.pixels, [255, 107]);
    }

    #[test]
    fn luma_and_differences_come_back_as_they_were() {
        for (luma, blue, red) in [(128, 128, 128), (100, 120, 140), (180, 100, 120), (60, 140, 125)] {
            let planes = [plane(&[luma; 2]), plane(&[blue; 2]), plane(&[red; 2])];
            let picture = convert(ColourModel::YCbCr, None, &planes);
            let [b, r] = picture.chroma.unwrap();
            for (is, was) in [(picture.luma.pixels[0], luma), (b.pixels[0], blue), (r.pixels[0], red)] {
                assert!(is.abs_diff(was) <= 1, "{is} was {was}");
            }
        }
    }

    #[test]
    fn display_p3_gets_brighter_numbers_and_srgb_stays() {
        let p3 = ColorProfile::new_display_p3().encode().unwrap();
        let srgb = ColorProfile::new_srgb().encode().unwrap();
        assert!(Conversion::new(ColourModel::YCbCr, Some(&srgb)).is_direct());
        assert!(!Conversion::new(ColourModel::YCbCr, Some(&p3)).is_direct());
        assert!(Conversion::new(ColourModel::Grey, Some(&p3)).is_direct(), "a profile for other planes");
        assert!(Conversion::new(ColourModel::YCbCr, Some(b"no profile")).is_direct());
        // Display P3 (200, 50, 50) is sRGB (218, 24, 40): worked out from the published primaries and curve.
        let planes = [plane(&[200; 2]), plane(&[50; 2]), plane(&[50; 2])];
        let picture = convert(ColourModel::Rgb, Some(&p3), &planes);
        let [blue, red] = picture.chroma.unwrap();
        let [r, g, b] = to_rgb(picture.luma.pixels[0], blue.pixels[0], red.pixels[0]);
        assert!(r.abs_diff(218) <= 2 && g.abs_diff(24) <= 2 && b.abs_diff(40) <= 2, "{r} {g} {b}");
    }

    #[test]
    fn ink_is_taken_from_white() {
        let planes = [plane(&[0, 255]), plane(&[0, 0]), plane(&[0, 0]), plane(&[0, 0])];
        let picture = convert(ColourModel::Cmyk, None, &planes);
        assert_eq!(picture.luma.pixels, [255, 179]);
    }
}
