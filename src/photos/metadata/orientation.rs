//! Which way is up.

use crate::photos::sizes::Size;

/// Which way is up: the eight cases of EXIF's Orientation (tag 0x0112), named by what is to be done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Orientation {
    /// Swap rows and columns, before the mirrorings below.
    pub(crate) transpose: bool,
    /// Then mirror left to right.
    pub(crate) mirror: bool,
    /// Then mirror top to bottom.
    pub(crate) flip: bool,
}

impl Orientation {
    /// Of the tag's value; what is not 1 to 8 means upright.
    pub(crate) fn of(value: u16) -> Orientation {
        let (transpose, mirror, flip) = match value {
            2 => (false, true, false),
            3 => (false, true, true),
            4 => (false, false, true),
            5 => (true, false, false),
            6 => (true, true, false),
            7 => (true, true, true),
            8 => (true, false, true),
            _ => (false, false, false),
        };
        Orientation { transpose, mirror, flip }
    }

    /// A stored size as it is upright, and the other way round.
    pub(crate) fn apply(self, size: Size) -> Size {
        if self.transpose { size.turned() } else { size }
    }
}
