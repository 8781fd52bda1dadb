//! A picture of a few pixels, small enough for the page itself.

use anyhow::Context;

use crate::photos::pixels::colour_conversion;
use crate::photos::pixels::image::YCbCrImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::pixels::resize::Scaler;
use crate::photos::sizes::Size;

/// The longer side, in pixels: enough for the light and dark of a photo, some 120 bytes.
const LONGER: u32 = 4;

/// A data: URI of `picture` at the size of a placeholder, as PNG.
pub(crate) fn placeholder(
    picture: &YCbCrImage,
    scaler: &mut Scaler,
    pool: &mut PlanePool,
) -> anyhow::Result<String> {
    let Size { width, height } = picture.size();
    let longer = width.max(height).max(1);
    let part = |side: u32| ((side * LONGER.min(longer) + longer / 2) / longer).max(1);
    let size = Size { width: part(width), height: part(height) };
    let whole = [0.0, 0.0, f64::from(width), f64::from(height)];
    let small = scaler.picture(picture, whole, size, pool)?;
    let mut file = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut file, size.width, size.height);
    encoder.set_color(::png::ColorType::Rgb);
    encoder.set_depth(::png::BitDepth::Eight);
    let mut writer = encoder.write_header().context("a placeholder")?;
    writer.write_image_data(&colour_conversion::rgb(&small)).context("a placeholder")?;
    writer.finish().context("a placeholder")?;
    Ok(format!("data:image/png;base64,{}", base64(&file)))
}

fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let word =
            three.iter().chain([0, 0].iter()).take(3).fold(0u32, |word, byte| word << 8 | u32::from(*byte));
        for sign in 0..4 {
            if sign <= three.len() {
                text.push(char::from(SIGNS[(word >> (18 - 6 * sign)) as usize & 63]));
            } else {
                text.push('=');
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn the_vectors_of_the_standard() {
        let vectors = ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"];
        for (length, expected) in vectors.into_iter().enumerate() {
            assert_eq!(base64(&b"foobar"[..length]), expected);
        }
    }
}
