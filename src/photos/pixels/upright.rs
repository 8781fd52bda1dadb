//! Turns planes upright.

use super::plane::Plane;
use crate::photos::metadata::Orientation;

/// Turns a plane upright into `to`.
pub(crate) fn turn(from: &Plane, orientation: Orientation, to: &mut Plane) {
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
}
