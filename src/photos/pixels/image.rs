//! Pictures as planes: as decoded, and ready to be encoded.

use super::plane::Plane;
use crate::photos::sizes::Size;

/// The meaning of the planes of a [`DecodedImage`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ColourModel {
    /// One plane.
    Grey,
    /// Luma, blue and red difference as JFIF has them; the differences may be coarser.
    YCbCr,
    /// Red, green and blue.
    Rgb,
    /// Cyan, magenta, yellow and black, 0 for no ink.
    Cmyk,
    /// Luma and differences of what the first three inks leave of white, and black as light.
    Ycck,
}

/// A picture as stored in its file: not yet upright, not yet in sRGB, and perhaps already smaller.
#[derive(Debug)]
pub(crate) struct DecodedImage {
    /// The meaning of the planes, and with it their number.
    pub(crate) model: ColourModel,
    /// The planes with the part of each that the picture covers, as width and height. A plane made
    /// of blocks may reach past the picture's edge, and the edge may fall between two samples.
    pub(crate) layers: Vec<(Plane, [f64; 2])>,
}

/// A picture ready to be encoded: upright, in sRGB, as JFIF's luma and differences.
#[derive(Clone, Debug, Default)]
pub(crate) struct YCbCrImage {
    pub(crate) luma: Plane,
    /// Half as wide and high as the luma, rounded up; `None` in a grey picture.
    pub(crate) chroma: Option<[Plane; 2]>,
}

impl YCbCrImage {
    /// In pixels.
    pub(crate) fn size(&self) -> Size {
        Size { width: self.luma.width as u32, height: self.luma.height as u32 }
    }

    /// The planes, to be given back to the pool.
    pub(crate) fn into_planes(self) -> impl Iterator<Item = Plane> {
        [self.luma].into_iter().chain(self.chroma.into_iter().flatten())
    }
}
