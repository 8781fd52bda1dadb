//! How a component's blocks become samples of its plane.

use super::inverse_dct::{DISCARDED, InverseDct};
use crate::photos::jpeg_zigzag::ZIGZAG;

/// How a component's blocks become samples.
pub(super) struct ComponentOutput {
    pub(super) inverse: InverseDct,
    /// Where the n-th coefficient of the file goes in a block.
    pub(super) places: [u8; 256],
}

impl ComponentOutput {
    /// Of blocks that are wanted in `side` by `side` samples.
    pub(super) fn new(side: usize) -> ComponentOutput {
        ComponentOutput { inverse: InverseDct::new(side), places: places(side) }
    }
}

/// Where the n-th coefficient of a file goes in a block by rows of `side`; what is past it, and what
/// is past the 64th, goes to [`DISCARDED`].
fn places(side: usize) -> [u8; 256] {
    let mut places = [DISCARDED; 256];
    for (place, natural) in places.iter_mut().zip(ZIGZAG) {
        let (row, column) = (usize::from(natural / 8), usize::from(natural % 8));
        if row < side && column < side {
            *place = (row * side + column) as u8;
        }
    }
    places
}
