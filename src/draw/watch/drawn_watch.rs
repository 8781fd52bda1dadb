//! The figures of one watch, as its drawings need them.
//!
//! Lengths are in mm, diameters where the trade writes diameters; heights of the case are over its
//! ledge, as they are measured. Angles are degrees by the clock: 12h is 0, clockwise, as seen on the
//! wrist, the movement already turned into its case. A part that is `None` is not there and not drawn;
//! a figure that is `None` was not measured: what depends on it is drawn dashed, at a usual size, and
//! named.

use super::clearance::Clearance;
use super::parts::{
    BackGasket, Bezel, Case, ChapterRing, Crown, Crystal, CrystalGasket, Dial, DialRing, Hand, Headline,
    Movement, MovementRing, Shim,
};

/// One watch.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct DrawnWatch {
    /// The build's name, for the title.
    pub name: String,
    /// Overall dimensions.
    pub headline: Headline,
    /// The case with its back.
    pub case: Option<Case>,
    /// A turning or fixed bezel of its own.
    pub bezel: Option<Bezel>,
    /// The crystal.
    pub crystal: Option<Crystal>,
    /// The gasket around the crystal.
    pub crystal_gasket: Option<CrystalGasket>,
    /// A loose ring on the dial, in place of the case's rehaut.
    pub chapter_ring: Option<ChapterRing>,
    /// The dial as it is now.
    pub dial: Option<Dial>,
    /// A ring that fills a seat wider than the dial.
    pub dial_ring: Option<DialRing>,
    /// Between the movement's plate and the dial.
    pub shim: Option<Shim>,
    /// The hands, in any order.
    pub hands: Vec<Hand>,
    /// The movement.
    pub movement: Option<Movement>,
    /// The ring that holds the movement in the case.
    pub ring: Option<MovementRing>,
    /// The crown.
    pub crown: Option<Crown>,
    /// The back's gasket.
    pub back_gasket: Option<BackGasket>,
    /// Findings that the drawings show where they are.
    pub clearances: Vec<Clearance>,
}
