//! Pictures as planes of bytes, one a component.

use crate::photos::plan::Size;

/// One component of a picture: rows from the top, without padding.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) height: usize,
    /// `width * height` bytes.
    pub(super) pixels: Vec<u8>,
}

impl Plane {
    /// Takes on a size, keeping the allocation; the old pixels have no meaning any more.
    pub(super) fn shape(&mut self, width: usize, height: usize) {
        (self.width, self.height) = (width, height);
        self.pixels.resize(width * height, 0);
    }

    /// Row `y`; `y < height`.
    pub(super) fn row(&self, y: usize) -> &[u8] {
        &self.pixels[y * self.width..(y + 1) * self.width]
    }

    /// Row `y`; `y < height`.
    pub(super) fn row_mut(&mut self, y: usize) -> &mut [u8] {
        &mut self.pixels[y * self.width..(y + 1) * self.width]
    }
}

/// What the planes of a [`Decoded`] stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Model {
    /// One plane.
    #[allow(dead_code)]
    Grey,
    /// Luma, blue and red difference as JFIF has them; the differences may be coarser.
    #[allow(dead_code)]
    YCbCr,
    /// Red, green and blue.
    Rgb,
    /// Cyan, magenta, yellow and black, 0 for no ink.
    #[allow(dead_code)]
    Cmyk,
}

/// A picture as it lies in its file: not yet upright, not yet in sRGB, and perhaps already smaller.
#[derive(Debug)]
pub(super) struct Decoded {
    /// What the planes stand for; it tells how many there are.
    pub(super) model: Model,
    /// The planes with the part of each that the picture covers, as width and height. A plane made
    /// of blocks may reach past the picture's edge, and the edge may fall between two samples.
    pub(super) layers: Vec<(Plane, [f64; 2])>,
}

/// A picture ready to be encoded: upright, in sRGB, as JFIF's luma and differences.
#[derive(Clone, Debug, Default)]
pub(super) struct Picture {
    pub(super) luma: Plane,
    /// Half as wide and high as the luma, rounded up; `None` in a grey picture.
    pub(super) chroma: Option<[Plane; 2]>,
}

impl Picture {
    pub(super) fn size(&self) -> Size {
        Size { width: self.luma.width as u32, height: self.luma.height as u32 }
    }
}
