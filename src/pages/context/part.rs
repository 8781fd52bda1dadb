//! Parts as templates see them.

use serde::{Deserialize, Serialize};

use super::{CheckFinding, Link, Picture, Section};

/// A part's dimensions and where it came from, as the spec table of a build and the part's own page
/// show them.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PartView {
    /// The part's id; empty for one that is written in the build itself.
    pub id: String,
    /// Its page; empty where it has none.
    pub href: String,
    /// Its name.
    pub name: String,
    /// Its kind, as "dial".
    pub kind: String,
    /// The slot in words, as "Hour hand"; empty on the part's own page.
    pub slot: String,
    /// Where it is from, as "from the parlour watch, 20 December 2025"; empty where not known.
    pub from: String,
    /// More that is known about it: lume, material, calibre.
    pub notes: Vec<String>,
    /// What must be said before anyone works on it; empty for nothing.
    pub caution: String,
    /// In the order of the table of kinds.
    pub dimensions: Vec<PartDimension>,
}

/// One dimension of a part.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PartDimension {
    /// What it is, in words, as "centre hole".
    pub label: String,
    /// Its name in the journal's files, as `centre_hole`.
    pub name: String,
    /// The value as the part came; empty where it is the same.
    pub came: String,
    /// The value as it is; empty where it is not known.
    pub value: String,
    /// Its tolerance with sign; empty for none.
    pub tolerance: String,
    /// mm, deg, bar or empty.
    pub unit: String,
    /// gauged, measured, drawn, stated or assumed; empty for what is not a figure.
    pub origin: String,
    /// How it changed or what was said about it.
    pub note: String,
    /// A check needs it and it is not known: the range that it must lie in, where one is known.
    pub wanted: String,
    /// A check needs it and it is not known.
    pub missing: bool,
}

/// A part's own page.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PartPage {
    /// The part.
    pub part: PartView,
    /// Where it is now, in words: "in Lantern since 24 January 2026".
    pub now: String,
    /// How its sizes changed, one field after the other, each in order of time.
    pub changes: Vec<SizeChange>,
    /// How a movement ran in whichever build it was; `None` where nothing was timed.
    pub timing: Option<PartTiming>,
    /// What happened to it, oldest first.
    pub history: Vec<HistoryLine>,
    /// The builds that it is or was in.
    pub builds: Vec<UsedIn>,
    /// Findings that use one of its dimensions and want a second look.
    pub findings: Vec<CheckFinding>,
    /// What it cost, with its currency; empty where not shown or not known.
    pub price: String,
    /// Photos of the entries that altered or measured it.
    pub photos: Vec<Picture>,
    /// The part before it in the bin.
    pub previous: Option<Link>,
    /// The part after it in the bin.
    pub next: Option<Link>,
}

/// One thing that happened to a part.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct HistoryLine {
    /// The day in words; empty where it is not known.
    pub date: String,
    /// The day as 2026-01-17; empty where it is not known.
    pub iso: String,
    /// What happened: came, fitted, altered, measured, removed, sold and so on.
    pub what: String,
    /// More about it, with figures.
    pub detail: String,
    /// The entry that says so.
    pub entry: Link,
}

/// A build that a part is or was in.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct UsedIn {
    /// The build.
    pub build: Link,
    /// The slot in words.
    pub slot: String,
    /// From when to when, in words; empty where not known.
    pub when: String,
    /// The build's cover; `None` where it has no photo.
    pub cover: Option<Picture>,
}

/// A size before and after something was measured or altered.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct SizeChange {
    /// What it is, in words, as "centre hole".
    pub label: String,
    /// Before, with its tolerance; empty where it was not known.
    pub before: String,
    /// After, with its tolerance.
    pub after: String,
    /// mm for lengths; empty where the figures say their unit, or have none.
    pub unit: String,
    /// measured, or how it was altered.
    pub how: String,
    /// The day in words.
    pub date: String,
    /// The day as 2026-01-17.
    pub iso: String,
    /// The entry that says so.
    pub entry: Link,
}

/// How a movement ran through the years.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PartTiming {
    /// The mean rate over time; empty where it was timed on one day alone.
    pub over_time: Section,
    /// Whether the chart shows a target: that of the build in which it was timed last.
    pub target: bool,
    /// Every go at the timing machine, oldest first.
    pub sets: Vec<TimingSet>,
}

/// One go at the timing machine.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct TimingSet {
    /// The day in words.
    pub date: String,
    /// The day as 2026-01-17.
    pub iso: String,
    /// The build that the movement was in.
    pub build: Link,
    /// In how many positions, as "6 positions".
    pub positions: String,
    /// Mean rate with its sign, s/d.
    pub rate: String,
    /// Mean amplitude lying flat, or else upright; empty where not read.
    pub amplitude: String,
    /// The greatest beat error, ms; empty where not read.
    pub beat_error: String,
}
