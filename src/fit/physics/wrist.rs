//! The wrist under the watch.

use super::Amount;

/// The breadth of a wrist over its bones, mm, by its girth, mm: an upper bound of the flat that a
/// watch lies on. The line of 507 adults (Heinz, Peterson, Johnson and Kerk, Journal of Statistics
/// Education 11(2), 2003); a single wrist scatters about it by [`BREADTH_SCATTER_MM`].
pub fn breadth_mm<T: Amount>(girth_mm: T) -> T {
    girth_mm * 0.2949 + 5.24
}

/// One standard deviation of a wrist's breadth about the line of [`breadth_mm`], mm.
pub const BREADTH_SCATTER_MM: f64 = 2.4;
