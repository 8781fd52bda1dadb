//! An entry: one dated page of a build's log.

mod fields;
mod read;
mod splits;

use jiff::civil::{Date, DateTime, Time};

use crate::text::{FileId, Located, Span};

use super::slot::Slot;
use super::spec::Spec;

pub use fields::{ALTERATIONS, ALTERED, ENTRY, LEFT, MEASURED, PHOTO, PRESSURE, TIMING};
pub use read::read;
pub(super) use splits::may_split;
pub use splits::with_splits;

/// What was done and measured one day.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The file's name without .md.
    pub name: String,
    /// The file.
    pub file: FileId,
    /// The day.
    pub date: Located<Date>,
    /// The time, where the order within a day matters.
    pub time: Option<Time>,
    /// Its heading.
    pub title: Option<String>,
    /// Parts that came that day.
    pub had: Vec<Located<String>>,
    /// Slots that were emptied.
    pub removed: Vec<Located<Slot>>,
    /// Slots that were filled, by which part; `None` takes the part of build.md.
    pub fitted: Vec<(Located<Slot>, Option<Located<String>>)>,
    /// What was measured, by part id or slot.
    pub measured: Vec<(Located<Subject>, Spec)>,
    /// What was altered.
    pub altered: Vec<Alteration>,
    /// Parts that left.
    pub left: Vec<Left>,
    /// Whether the case was opened, if it was said.
    pub opened: Option<Located<bool>>,
    /// Readings of the timing machine.
    pub timing: Vec<LoggedReading>,
    /// Pressure tests.
    pub pressure: Vec<PressureTest>,
    /// Tools that were used.
    pub tools: Vec<String>,
    /// Time at the bench.
    pub minutes: Option<f64>,
    /// Money, in the journal's currency.
    pub spent: Option<f64>,
    /// Photos that the entry lists.
    pub photos: Vec<ListedPhoto>,
    /// The text in Markdown.
    pub text: Span,
}

/// What an entry speaks of: a part by its id, or whatever fills a slot.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Subject {
    /// A part of the bin.
    Part(String),
    /// A slot of the build.
    Slot(Slot),
}

/// A part that was altered.
#[derive(Clone, Debug)]
pub struct Alteration {
    /// What was altered.
    pub part: Located<Subject>,
    /// How, in one of the words of the table.
    pub how: Located<String>,
    /// Its sizes since.
    pub to: Spec,
    /// With what.
    pub by: Option<String>,
    /// The new part's id, where one of a lot was altered.
    pub becomes: Option<Located<String>>,
    /// Where it stands.
    pub span: Span,
}

/// A part that left the bin.
#[derive(Clone, Debug)]
pub struct Left {
    /// Its id.
    pub part: Located<String>,
    /// sold, lost, broken, given, used up.
    pub how: Located<String>,
    /// How many of a lot; one if left out.
    pub count: u32,
}

/// One reading of the timing machine, as written.
#[derive(Clone, PartialEq, Debug)]
pub struct LoggedReading {
    /// When; the entry's date where it was not said.
    pub at: DateTime,
    /// ISO 3158 code.
    pub position: String,
    /// Seconds a day.
    pub rate: f64,
    /// Degrees.
    pub amplitude: Option<f64>,
    /// Half the difference of the two swings, ms.
    pub beat_error: Option<f64>,
    /// How far it was wound, in words: full, half, or hours since full.
    pub wound: Option<String>,
    /// What the machine was set to, degrees; `None`: the calibre's own.
    pub lift_angle: Option<f64>,
    /// Degrees Celsius.
    pub temperature: Option<f64>,
    /// Where it stands.
    pub span: Span,
}

/// One pressure test.
#[derive(Clone, PartialEq, Debug)]
pub struct PressureTest {
    /// Overpressure, bar.
    pub bar: f64,
    /// dry or wet.
    pub method: String,
    /// Whether it held.
    pub held: bool,
    /// Where it stands.
    pub span: Span,
}

/// A photo as an entry lists it.
#[derive(Clone, PartialEq, Debug)]
pub struct ListedPhoto {
    /// Relative to the build's folder.
    pub file: Located<String>,
    /// What it shows, for those who cannot see it.
    pub alt: Option<String>,
    /// What is said below it.
    pub caption: Option<String>,
}
