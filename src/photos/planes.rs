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

/// Planes that are not in use; the next picture takes them up again.
#[derive(Default)]
pub(super) struct Shelf(Vec<Plane>);

impl Shelf {
    /// A plane of a size; what was in it has no meaning any more.
    pub(super) fn take(&mut self, width: usize, height: usize) -> Plane {
        // The smallest that is large enough, so that each use finds its own again.
        let fits = |plane: &&Plane| plane.pixels.capacity() >= width * height;
        let found = self.0.iter().filter(fits).map(|plane| plane.pixels.capacity()).min();
        let place = found.and_then(|found| self.0.iter().position(|plane| plane.pixels.capacity() == found));
        let mut plane = place.map(|place| self.0.swap_remove(place)).unwrap_or_default();
        plane.shape(width, height);
        plane
    }

    /// Puts planes back.
    pub(super) fn put(&mut self, planes: impl IntoIterator<Item = Plane>) {
        self.0.extend(planes);
    }

    /// The bytes that lie on it.
    pub(super) fn kept(&self) -> usize {
        self.0.iter().map(|plane| plane.pixels.capacity()).sum()
    }
}

/// What the planes of a [`Decoded`] stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Model {
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
    /// In pixels.
    pub(super) fn size(&self) -> Size {
        Size { width: self.luma.width as u32, height: self.luma.height as u32 }
    }

    /// The planes, to be put on the shelf.
    pub(super) fn into_planes(self) -> impl Iterator<Item = Plane> {
        [self.luma].into_iter().chain(self.chroma.into_iter().flatten())
    }
}
