//! Pages that list: gallery, bin, checks, photos, audit, search.

use serde::{Deserialize, Serialize};

use super::{CheckFinding, Count, Figure, Link, Picture};

/// The gallery of builds.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct GalleryPage {
    /// What the journal says about itself; empty where it says nothing.
    pub about_html: String,
    /// All watches in outline at one scale; empty where no case is measured.
    pub lineup_svg: String,
    /// What the rows can be narrowed by.
    pub filters: Vec<FilterGroup>,
    /// Newest first.
    pub rows: Vec<GalleryRow>,
}

/// One thing that rows can be narrowed by.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct FilterGroup {
    /// Its name in the rows' data: state, size, movement or kind.
    pub name: String,
    /// What it is called.
    pub title: String,
    /// The choices, with at least one row each.
    pub choices: Vec<Choice>,
}

/// A choice of a filter.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Choice {
    /// The value in the rows' data.
    pub value: String,
    /// What it is called.
    pub label: String,
    /// How many rows have it.
    pub count: usize,
}

/// One build in the gallery.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct GalleryRow {
    /// The folder's name.
    pub slug: String,
    /// The build.
    pub href: String,
    /// The watch's name.
    pub title: String,
    /// One sentence about it.
    pub summary: String,
    /// The watch from the front, drawn from its measurements; empty where there is a cover, or too
    /// little is known.
    pub front_svg: String,
    /// planned, on the bench, finished or taken apart.
    pub state: String,
    /// Its dates, in words.
    pub when: String,
    /// The calibre; empty where not said.
    pub movement: String,
    /// The cover.
    pub cover: Option<Picture>,
    /// How many findings of each verdict.
    pub counts: Vec<Count>,
    /// Headline dimensions as text.
    pub headline: Vec<Figure>,
    /// The same as dimension lines.
    pub headline_svg: String,
    /// The size class that the filter goes by; empty where not known.
    pub size_class: String,
    /// The movement class that the filter goes by; empty where not known.
    pub movement_class: String,
    /// Kinds of parts that stand out, for the filter, separated by ` | `.
    pub kinds: String,
    /// Folded words for the search over the gallery.
    pub words: String,
    /// The day that the order goes by, as 2026-02-14.
    pub date: String,
    /// The case's diameter for the order; 0 where not known.
    pub diameter: String,
    /// The thickness for the order; 0 where not known.
    pub thickness: String,
    /// Seen on the person's own bench only.
    pub hidden: bool,
}

/// The parts bin.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct BinPage {
    /// The parts by kind.
    pub groups: Vec<BinGroup>,
    /// How many parts there are.
    pub total: usize,
    /// What the rows can be narrowed by.
    pub filters: Vec<FilterGroup>,
}

/// Parts of one kind.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct BinGroup {
    /// The kind in words, as "Dials".
    pub title: String,
    /// The anchor.
    pub id: String,
    /// The parts.
    pub rows: Vec<BinRow>,
}

/// One part in the bin.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct BinRow {
    /// The part's id.
    pub id: String,
    /// The part.
    pub part: Link,
    /// Its leading dimensions in one line.
    pub size: String,
    /// Where it is from.
    pub from: String,
    /// Where it is: "free", "in Lantern", "used up".
    pub now: String,
    /// The build that it is in; empty for none.
    pub build: Link,
    /// free, fitted or gone, for the filter.
    pub state: String,
    /// Folded words for the search over the bin.
    pub words: String,
}

/// All checks.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct ChecksPage {
    /// In the order in which a watch goes together.
    pub groups: Vec<CheckGroup>,
    /// How many there are.
    pub total: usize,
}

/// Checks about one thing.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct CheckGroup {
    /// What they are about, as "Hands".
    pub title: String,
    /// The checks.
    pub checks: Vec<CheckSummary>,
}

/// A check in the list.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct CheckSummary {
    /// Its id.
    pub id: String,
    /// Its explanation.
    pub href: String,
    /// What it checks.
    pub title: String,
    /// Its band.
    pub band: String,
    /// How this journal's findings of it came out.
    pub counts: Vec<Count>,
}

/// A check explained.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct CheckPage {
    /// Its id.
    pub id: String,
    /// What it checks.
    pub title: String,
    /// Why it matters, in plain words.
    pub text_html: String,
    /// Where in a watch it looks, drawn on one that is nobody's.
    pub drawing_svg: String,
    /// The formula over named dimensions.
    pub formula: String,
    /// The band, as "at least 0.20 mm".
    pub band: String,
    /// Where it truly fouls; empty where there is no such place.
    pub contact: String,
    /// Where band and contact come from.
    pub source: String,
    /// Where the dimensions are measured and with what, in words.
    pub measured_html: String,
    /// The dimensions that it needs; where it can do with one of several, each of them.
    pub needs: Vec<Need>,
    /// What can hurt in the work that it advises.
    pub cautions: Vec<String>,
    /// This journal's findings of it.
    pub findings: Vec<CheckFinding>,
    /// The check before it.
    pub previous: Option<Link>,
    /// The check after it.
    pub next: Option<Link>,
}

/// A dimension that a check needs.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Need {
    /// Its name in the journal's files, as `case.dial_seat`.
    pub name: String,
    /// What it is and from where to where, in words.
    pub what: String,
}

/// All photos.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PhotosPage {
    /// By build, in the gallery's order.
    pub builds: Vec<PhotosOfBuild>,
    /// How many there are.
    pub total: usize,
}

/// The photos of one build.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct PhotosOfBuild {
    /// The build.
    pub build: Link,
    /// Its photos in the order of the log.
    pub photos: Vec<Picture>,
}

/// The audit, where the journal shows it.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct AuditPage {
    /// Its sections in order.
    pub sections: Vec<AuditSection>,
}

/// One section of the audit.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct AuditSection {
    /// Its heading.
    pub title: String,
    /// What it says when it has no lines, or about its lines.
    pub about: String,
    /// The columns' headings.
    pub columns: Vec<String>,
    /// The lines, one cell a column; a cell is a list of words and links.
    pub rows: Vec<Vec<Vec<Link>>>,
}

/// The search page.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct SearchPage {
    /// The way to the index's folder, ending in `/`.
    pub index: String,
    /// How many pages it covers.
    pub pages: usize,
}
