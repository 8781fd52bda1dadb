//! What the section, the plan and the charts are drafted with: coordinates that know whether they were
//! measured, views, dimension lines, labels.

mod coordinate;
mod labels;
mod view;

pub(crate) use self::coordinate::{Coordinate, size};
pub(crate) use self::labels::{Band, Callout, Label, Side, spread};
pub(crate) use self::view::{Corner, Halves, Ink, View, level, link, overall, upright};
