//! What the drawings' own tests ask of every drawing.

mod any_watch;
mod lantern;
mod svg;

pub(crate) use self::any_watch::any_watch;
pub(crate) use self::lantern::lantern;
pub(crate) use self::svg::{paths, texts_apart, well_formed};
