//! Planes of bytes, one for each component of a picture.

/// One component of a picture: rows from the top, without padding.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Plane {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// `width * height` bytes.
    pub(crate) pixels: Vec<u8>,
}

impl Plane {
    /// Takes on a size, keeping the allocation; the old pixels have no meaning any more.
    pub(crate) fn shape(&mut self, width: usize, height: usize) {
        (self.width, self.height) = (width, height);
        self.pixels.resize(width * height, 0);
    }

    /// Row `y`; `y < height`.
    pub(crate) fn row(&self, y: usize) -> &[u8] {
        &self.pixels[y * self.width..(y + 1) * self.width]
    }

    /// Row `y`; `y < height`.
    pub(crate) fn row_mut(&mut self, y: usize) -> &mut [u8] {
        &mut self.pixels[y * self.width..(y + 1) * self.width]
    }
}

/// Planes that are not in use, kept for the next picture.
#[derive(Default)]
pub(crate) struct PlanePool(Vec<Plane>);

impl PlanePool {
    /// A plane of a size; what was in it has no meaning any more.
    pub(crate) fn take(&mut self, width: usize, height: usize) -> Plane {
        // The smallest that is large enough, so that each use finds its own again.
        let fits = |plane: &&Plane| plane.pixels.capacity() >= width * height;
        let found = self.0.iter().filter(fits).map(|plane| plane.pixels.capacity()).min();
        let place = found.and_then(|found| self.0.iter().position(|plane| plane.pixels.capacity() == found));
        let mut plane = place.map(|place| self.0.swap_remove(place)).unwrap_or_default();
        plane.shape(width, height);
        plane
    }

    /// Takes planes back.
    pub(crate) fn give_back(&mut self, planes: impl IntoIterator<Item = Plane>) {
        self.0.extend(planes);
    }

    /// The bytes that it keeps.
    pub(crate) fn retained(&self) -> usize {
        self.0.iter().map(|plane| plane.pixels.capacity()).sum()
    }
}
