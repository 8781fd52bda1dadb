//! Which sizes are made of a photo, and which are read.

use crate::photos::error::PhotoError;

/// The widths that a page may choose from, narrowest first, in pixels.
///
/// 400 fills a card, 800 a column on a plain screen, 1600 a column on a dense one or a large window.
pub const WIDTHS: [u32; 3] = [400, 800, 1600];

/// The picture for link previews: the proportions that services show whole, in pixels.
const SHARE: (u32, u32) = (1200, 630);

/// The most that a picture may measure along one side, the limit of JPEG.
const LONGEST: u32 = 65_500;

/// The most pixels of a source. The largest sensors in phones have 200 million; a file of a few
/// kilobytes may claim thousands of millions.
const PIXELS: u64 = 400_000_000;

/// A picture's width and height, in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) width: u32,
    pub(super) height: u32,
}

impl Size {
    /// The size at `width`, in the same proportions.
    fn at(self, width: u32) -> Size {
        let (old, height) = (u64::from(self.width), u64::from(self.height));
        let height = (height * u64::from(width) + old / 2) / old;
        Size { width, height: u32::try_from(height).unwrap_or(u32::MAX).max(1) }
    }

    /// How many pixels it has.
    pub(super) fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// The size after a quarter turn.
    pub(super) fn turned(self) -> Size {
        Size { width: self.height, height: self.width }
    }
}

/// The sizes that are made of a picture of `full` size, upright, narrowest first.
///
/// The last is as wide as the source where that is narrower than the widest of [`WIDTHS`]; a width
/// within a quarter of it is left out, as no page would gain by it.
pub(super) fn sizes(full: Size) -> Vec<Size> {
    let largest = largest(full).width;
    let narrower = WIDTHS.into_iter().filter(|width| width * 5 <= largest * 4);
    narrower.chain([largest]).map(|width| full.at(width)).collect()
}

/// The largest size that is made of a picture of `full` size, upright.
pub(super) fn largest(full: Size) -> Size {
    full.at(full.width.min(WIDTHS[WIDTHS.len() - 1]))
}

/// Refuses what no camera makes, before anything is decoded.
pub(super) fn check(size: Size) -> Result<(), PhotoError> {
    let Size { width, height } = size;
    if size.pixels() == 0 {
        return Err(PhotoError::NoPixels(width, height));
    }
    if size.pixels() > PIXELS {
        return Err(PhotoError::TooManyPixels(width, height, PIXELS));
    }
    if width.max(height) > LONGEST {
        return Err(PhotoError::TooLong(width, height, LONGEST));
    }
    Ok(())
}

/// The part of a picture of `size` that a link preview shows, as left, top, width and height, and the
/// size that it is shown at: from the middle, in fixed proportions, never enlarged.
pub(super) fn link_preview(size: Size) -> ([f64; 4], Size) {
    let (width, height) = (f64::from(size.width), f64::from(size.height));
    let proportion = f64::from(SHARE.0) / f64::from(SHARE.1);
    let (wide, high) =
        if width > height * proportion { (height * proportion, height) } else { (width, width / proportion) };
    let shown = if wide >= f64::from(SHARE.0) {
        Size { width: SHARE.0, height: SHARE.1 }
    } else {
        Size { width: (wide as u32).max(1), height: (high as u32).max(1) }
    };
    ([(width - wide) / 2.0, (height - high) / 2.0, wide, high], shown)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn widths(width: u32, height: u32) -> Vec<(u32, u32)> {
        sizes(Size { width, height }).iter().map(|size| (size.width, size.height)).collect()
    }

    #[test]
    fn never_larger_than_the_source_and_never_two_alike() {
        assert_eq!(widths(4000, 3000), [(400, 300), (800, 600), (1600, 1200)]);
        assert_eq!(widths(3000, 4000), [(400, 533), (800, 1067), (1600, 2133)]);
        assert_eq!(widths(1600, 1200), [(400, 300), (800, 600), (1600, 1200)]);
        assert_eq!(widths(1000, 500), [(400, 200), (800, 400), (1000, 500)]);
        assert_eq!(widths(900, 450), [(400, 200), (900, 450)]);
        assert_eq!(widths(64, 48), [(64, 48)]);
        assert_eq!(widths(1, 1), [(1, 1)]);
        assert_eq!(widths(20_000, 1), [(400, 1), (800, 1), (1600, 1)]);
    }

    #[test]
    fn a_link_preview_keeps_its_proportions_and_is_never_enlarged() {
        assert_eq!(
            link_preview(Size { width: 1600, height: 1200 }),
            ([0.0, 180.0, 1600.0, 840.0], Size { width: 1200, height: 630 })
        );
        let ([left, top, wide, high], shown) = link_preview(Size { width: 900, height: 300 });
        assert_eq!((top, high), (0.0, 300.0));
        assert!((left * 2.0 + wide - 900.0).abs() < 1e-9);
        assert_eq!(shown, Size { width: 571, height: 300 });
        assert_eq!(link_preview(Size { width: 1, height: 1 }).1, Size { width: 1, height: 1 });
    }
}
