//! What the section, the plan and the charts are drafted with: coordinates that know whether they were
//! measured, views, dimension lines, labels.

mod coordinate;
mod dimension_lines;
mod label;
mod label_placement;
mod silhouette;
mod view;

pub(crate) use self::coordinate::{Coordinate, size};
pub(crate) use self::dimension_lines::{arrow, level, link, overall, upright};
pub(crate) use self::label::Label;
pub(crate) use self::label_placement::{Band, Callout, Side, spread};
pub(crate) use self::silhouette::{case_radius, crown_outline, lug_outlines, spring_bars};
pub(crate) use self::view::{Corner, Halves, Ink, View};
