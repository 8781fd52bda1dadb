//! What is told of a watch first: its size on the wrist, what it held and how it runs.

use crate::journal::Slot;
use crate::measure::round;

use super::assembly::Assembly;
use super::records::{Held, PressureRecord};

/// A watch's headline figures, mm where nothing else is said; `None` where something they take is
/// not known.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Headline {
    /// Across the case.
    pub diameter: Option<f64>,
    /// From the back to the top of the bezel or the crystal, whichever is higher.
    pub thickness: Option<f64>,
    /// From the back to the top of the bezel.
    pub thickness_without_crystal: Option<f64>,
    /// Lug to lug.
    pub lug_to_lug: Option<f64>,
    /// Between the lugs.
    pub lug_width: Option<f64>,
    /// Where the crown stands, degrees by the clock.
    pub crown_at: Option<f64>,
    /// What it held in its last pressure test; `None` where that no longer stands, or none was made.
    pub water: Option<Held>,
    /// The mean rate of the latest timing readings, seconds a day.
    pub rate: Option<f64>,
}

/// Works out a watch's headline figures, from nominal sizes.
pub fn headline(watch: &Assembly) -> Headline {
    let value = |name: &str| watch.value(name).map(round);
    let base = watch.value("case.back_to_ledge");
    let rim = watch.value("case.rim");
    let flange = watch.value("crystal_gasket.flange").unwrap_or(0.0);
    let crown = watch
        .value("case.shelf")
        .zip(watch.value("crystal.height"))
        .map(|(shelf, height)| shelf + flange + height);
    // A bezel may stand above a flat crystal, and a domed crystal above its bezel.
    let over = match (rim, crown) {
        (Some(rim), Some(crown)) => Some(rim.max(crown)),
        (Some(rim), None) if !watch.has(Slot::Crystal) => Some(rim),
        _ => None,
    };
    Headline {
        diameter: value("case.diameter"),
        thickness: base.zip(over).map(|(base, over)| round(base + over)),
        thickness_without_crystal: base.zip(rim).map(|(base, rim)| round(base + rim)),
        lug_to_lug: value("case.lug_to_lug"),
        lug_width: value("case.lug_width"),
        crown_at: value("case.crown_at"),
        water: match watch.pressure() {
            PressureRecord::Holds(held) => Some(*held),
            _ => None,
        },
        rate: watch.timing().map(|figures| round(figures.mean_rate)),
    }
}
