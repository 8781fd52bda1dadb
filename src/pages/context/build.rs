//! A build and its entries as templates see them.

use serde::{Deserialize, Serialize};

use super::{Count, FindingGroup, Link, PartView, Picture, Section, Verdict};

/// The page of one build.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct BuildPage {
    /// The folder's name.
    pub slug: String,
    /// The watch's name.
    pub title: String,
    /// One sentence about it; empty where none was written.
    pub summary: String,
    /// planned, on the bench, finished or taken apart.
    pub state: String,
    /// The dates that belong to the state, as "10 January 2026 to 14 February 2026".
    pub when: String,
    /// Short facts below the name: movement, rate, water.
    pub facts: Vec<String>,
    /// The cover; `None` where the build has no photo.
    pub cover: Option<Picture>,
    /// The watch from the front, drawn from its measurements; empty where there is a cover, or too
    /// little is known.
    pub front_svg: String,
    /// Headline dimensions as text.
    pub headline: Vec<Figure>,
    /// The same as dimension lines at one scale; empty where none is known.
    pub headline_svg: String,
    /// The section through the watch; `None` where too little is known to draw one.
    pub section: Option<Section>,
    /// The plan; `None` where too little is known.
    pub plan: Option<Section>,
    /// What the lines of the drawings mean.
    pub lines: Vec<KeyLine>,
    /// How many findings of each verdict there are.
    pub counts: Vec<Count>,
    /// How many findings there are.
    pub total: usize,
    /// All findings, what wants a second look first.
    pub groups: Vec<FindingGroup>,
    /// The parts by slot, in the order of the slots.
    pub parts: Vec<PartView>,
    /// Slots that are still open, in words.
    pub open_slots: Vec<String>,
    /// Timing charts; `None` where nothing was timed.
    pub timing: Option<Timing>,
    /// The build's own story; empty where none was written.
    pub story_html: String,
    /// The log, oldest first.
    pub log: Vec<EntryView>,
    /// The log in one line, as "6 days at the bench, 6 h 55 in all"; empty where there is no log.
    pub log_summary: String,
    /// Photos that no entry shows.
    pub photos: Vec<Picture>,
    /// All photos but the cover, in the order of the log, each with the entry that shows it.
    pub pictures: Vec<Picture>,
    /// What can hurt, for this build's work and parts.
    pub cautions: Vec<Caution>,
    /// Tools used.
    pub tools: Vec<Tool>,
    /// What it cost; empty where prices are not shown.
    pub costs: Vec<Cost>,
    /// The sum of the costs; empty where prices are not shown.
    pub cost_total: String,
    /// Sizes that parts for its open slots must have.
    pub to_find: Vec<ToFind>,
    /// Free parts of the bin that would go into this watch.
    pub fits_too: Vec<FitsToo>,
    /// The bench sheet, that the page prints as.
    pub sheet: BenchSheet,
    /// The build before it in the gallery.
    pub previous: Option<Link>,
    /// The build after it in the gallery.
    pub next: Option<Link>,
    /// The build is hidden and seen on the person's own bench only.
    pub hidden: bool,
}

/// A headline dimension.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Figure {
    /// What it is, as "lug to lug".
    pub label: String,
    /// The figure; empty where not known.
    pub value: String,
    /// Its unit.
    pub unit: String,
}

/// A line or a hatching of the drawings, and what it means.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct KeyLine {
    /// A piece of it.
    pub sample_svg: String,
    /// What it means.
    pub text: String,
}

/// What was timed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Timing {
    /// Rate by position, before and after.
    pub positions: Section,
    /// Rate over time; both forms empty where it was timed on one day only.
    pub over_time: Section,
    /// The days in words, as "Open circle: 14 January. Diamond: 7 February".
    pub about: String,
    /// The latest set as a table.
    pub rows: Vec<TimingRow>,
}

/// One position of the latest set.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct TimingRow {
    /// The ISO 3158 code.
    pub position: String,
    /// What it means, as "dial up".
    pub words: String,
    /// Seconds a day, with sign.
    pub rate: String,
    /// Degrees; empty where not read.
    pub amplitude: String,
    /// Milliseconds; empty where not read.
    pub beat_error: String,
}

/// One day at the bench.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct EntryView {
    /// The anchor on the build's page.
    pub id: String,
    /// The entry's own page.
    pub href: String,
    /// The day as 2026-01-17.
    pub iso: String,
    /// The day in words.
    pub date: String,
    /// Its title; the date where it has none.
    pub title: String,
    /// How long, as "1 h 30"; empty where not said.
    pub duration: String,
    /// The text.
    pub text_html: String,
    /// What changed that day: had, altered, fitted, measured, timing, pressure, tools, spent.
    pub changes: Vec<Change>,
    /// Cautions about the work of that day.
    pub cautions: Vec<String>,
    /// Its photos.
    pub photos: Vec<Picture>,
}

/// One line of what changed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Change {
    /// The first words: had, altered, fitted.
    pub label: String,
    /// What, in words and figures.
    pub text: String,
    /// The part's page; empty for none.
    pub href: String,
    /// The value before; empty for none.
    pub came: String,
    /// The value after; empty for none.
    pub value: String,
}

/// The page of one entry.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct EntryPage {
    /// The entry.
    pub entry: EntryView,
    /// Its build.
    pub build: Link,
    /// The entry before it.
    pub previous: Option<Link>,
    /// The entry after it.
    pub next: Option<Link>,
}

/// What can hurt.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    /// What it is about.
    pub title: String,
    /// What to do and what not.
    pub text: String,
}

/// A tool.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tool {
    /// Its name.
    pub name: String,
    /// On how many days it was used.
    pub days: usize,
}

/// A line of the costs.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Cost {
    /// What it was spent on.
    pub what: String,
    /// The sum with its currency.
    pub amount: String,
}

/// A size that a part for an open slot must have.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct ToFind {
    /// The slot in words.
    pub slot: String,
    /// The size in words.
    pub size: String,
    /// Where it must lie.
    pub range: String,
    /// What sets its ends.
    pub by: String,
    /// What it depends on that is not chosen or not measured yet; empty where on nothing.
    pub depends: String,
}

/// A free part that would go into a build.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct FitsToo {
    /// The slot in words.
    pub slot: String,
    /// The part.
    pub part: Link,
    /// As it is, or after what work.
    pub how: String,
    /// How near it comes to what is advised, or what to beware of in the work; may be empty.
    pub least: String,
    /// The verdict of that; without words where there is none.
    pub verdict: Verdict,
}

/// The bench sheet.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct BenchSheet {
    /// What to measure, with a blank to fill in.
    pub measure: Vec<SheetMeasure>,
    /// What to check while the watch is open.
    pub check: Vec<SheetCheck>,
    /// The order of assembly.
    pub order: Vec<String>,
    /// The findings in one line.
    pub summary: String,
}

/// A dimension to measure.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct SheetMeasure {
    /// The dimension's name in the journal's files.
    pub name: String,
    /// What it is and from where to where, in words.
    pub what: String,
    /// The range that it must lie in; empty where none is known.
    pub range: String,
}

/// A clearance to look at.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct SheetCheck {
    /// What is checked.
    pub title: String,
    /// The computed figure.
    pub figure: String,
    /// The worst case.
    pub worst: String,
    /// The advised band.
    pub band: String,
    /// The verdict.
    pub verdict: Verdict,
}
