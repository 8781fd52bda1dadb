//! What templates may see.
//!
//! Every template gets `frame` ([`Frame`]) and one more name, that of what it shows: `gallery`,
//! `build`, `entry`, `part`, `bin`, `checks`, `check`, `photos`, `audit` or `search`. The structs of
//! this module are that promise: their fields keep their names, and a theme of one's own may rely
//! on each.
//!
//! Rules that hold throughout:
//! - Text is plain and templates escape it; a field whose name ends in `_html` or `_svg` is finished
//!   markup and goes through the `safe` filter.
//! - An address (`href`, `src`) is relative to the page that is shown, and works without a server.
//! - Figures are text, as a person reads them: a real minus sign, two decimals for lengths, no unit
//!   where the field beside it says the unit. Lists are in the order in which they are to be shown.
//! - What the journal withholds (`show`, `hidden`) is not there at all.

mod build;
mod finding;
mod lists;
mod part;
mod section;

pub use build::{
    BenchSheet, BuildPage, Caution, Change, Cost, EntryPage, EntryView, Figure, FitsToo, KeyLine, SheetCheck,
    SheetMeasure, Timing, TimingRow, ToFind, Tool,
};
pub use finding::{
    Advice, AsCame, CheckFinding, Count, DimensionUsed, FindingGroup, FindingView, Missing, Verdict,
};
pub use lists::{
    AuditPage, AuditSection, BinGroup, BinPage, BinRow, CheckGroup, CheckPage, CheckSummary, ChecksPage,
    Choice, FilterGroup, GalleryPage, GalleryRow, Need, PhotosOfBuild, PhotosPage, SearchPage,
};
pub use part::{HistoryLine, PartDimension, PartPage, PartTiming, PartView, SizeChange, TimingSet, UsedIn};
pub use section::{KeyItem, Section};

use serde::{Deserialize, Serialize};

use super::markup::escape;

/// What surrounds every page.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Frame {
    /// The language of the journal's words, a BCP 47 tag.
    pub language: String,
    /// The page's own title, without the journal's.
    pub title: String,
    /// The journal's title.
    pub journal: String,
    /// One sentence about the page, for search engines and previews; empty where there is none.
    pub description: String,
    /// The way from this page to the site's top: empty or `../` once or more.
    pub root: String,
    /// The gallery's address.
    pub home: String,
    /// The Content-Security-Policy; every page carries it.
    pub policy_html: String,
    /// The verdicts' signs and the drawings' hatchings, once a page.
    pub sprite_html: String,
    /// The stylesheet's address.
    pub style: String,
    /// The address of the small picture that browsers put beside the title.
    pub icon: String,
    /// Addresses of the theme's type faces, every `.woff2` of it.
    pub faces: Vec<String>,
    /// The address of the script that fetches the faces before the first line is set; empty where the theme
    /// has none.
    pub faces_script: String,
    /// Addresses of the scripts that this page uses; classic ones, loaded with `defer`.
    pub scripts: Vec<String>,
    /// The main navigation.
    pub navigation: Vec<NavItem>,
    /// The search page's address; empty where there is no search.
    pub search: String,
    /// The feed's address; empty where the journal has no `address`.
    pub feed: String,
    /// The page's whole address on the web; empty where the journal has no `address`.
    pub canonical: String,
    /// For previews elsewhere; `None` where the journal has no `address`.
    pub sharing: Option<Sharing>,
    /// Structured data about the page, JSON that may stand in a script element; empty for none.
    pub structured_html: String,
    /// A line for the page's foot, such as "8 builds, 43 parts, 27 entries".
    pub foot: String,
    /// Who keeps the journal; empty where nobody is named.
    pub author: String,
    /// The page is seen on the person's own bench only; it shows what publishing withholds.
    pub private: bool,
}

/// One entry of the main navigation.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct NavItem {
    /// What it says.
    pub label: String,
    /// Where it leads.
    pub href: String,
    /// The page that is shown is this one, or belongs to it.
    pub current: bool,
}

/// What another site shows of a page that is linked there.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Sharing {
    /// `website` or `article`.
    pub kind: String,
    /// The picture's whole address; empty for none.
    pub image: String,
    /// What that picture shows.
    pub image_alt: String,
    /// The picture's width in px, 0 where there is none.
    pub image_width: u32,
    /// The picture's height in px, 0 where there is none.
    pub image_height: u32,
}

/// Words, and where they lead.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Link {
    /// What is said.
    pub text: String,
    /// Where it leads; empty where the place is not published, then the words stand alone.
    pub href: String,
}

/// A photo in its published sizes.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Picture {
    /// The size for a browser that knows no other.
    pub src: String,
    /// All sizes with their widths, as the attribute of that name has them.
    pub srcset: String,
    /// The largest size.
    pub full: String,
    /// Width of `src` in px.
    pub width: u32,
    /// Height of `src` in px.
    pub height: u32,
    /// What the picture shows, for those who do not see it.
    pub alt: String,
    /// What is said below it; empty for nothing.
    pub caption: String,
    /// Taller than wide.
    pub upright: bool,
    /// The entry or build that shows it.
    pub from: Link,
    /// A data: URI of a few pixels in the picture's colours, to lie under it until it is there; empty for
    /// none.
    pub soft: String,
    /// The photo could not be read: `src` is a frame that says so.
    pub lost: bool,
}

impl Picture {
    /// The picture with what it shows and what is said below it.
    #[must_use]
    pub fn described(self, alt: String, caption: String) -> Picture {
        let alt = match (self.lost, alt.is_empty()) {
            (false, _) => alt,
            (true, true) => "This photo could not be read".to_owned(),
            (true, false) => format!("{alt} (this photo could not be read)"),
        };
        Picture { alt, caption, ..self }
    }

    /// The picture as an `img` that opens its largest size.
    #[must_use]
    pub fn image(&self) -> String {
        let soft = if self.soft.is_empty() {
            String::new()
        } else {
            format!(
                "<img class=\"soft\" src=\"{}\" width=\"{}\" height=\"{}\" alt=\"\">",
                escape(&self.soft),
                self.width,
                self.height
            )
        };
        format!("<a class=\"zoom\" href=\"{}\">{}{soft}</a>", escape(&self.full), self.bare_image())
    }

    /// The picture as an `img` alone, for a place where it cannot be a link.
    #[must_use]
    pub fn bare_image(&self) -> String {
        format!(
            "<img src=\"{}\" srcset=\"{}\" sizes=\"(max-width:44rem) 100vw, 48rem\" width=\"{}\" height=\"{}\" \
             alt=\"{}\" loading=\"lazy\">",
            escape(&self.src),
            escape(&self.srcset),
            self.width,
            self.height,
            escape(&self.alt)
        )
    }

    /// The picture with its caption.
    #[must_use]
    pub fn figure(&self) -> String {
        let caption = if self.caption.is_empty() {
            String::new()
        } else {
            format!("<figcaption>{}</figcaption>", escape(&self.caption))
        };
        format!("<figure>{}{caption}</figure>\n", self.image())
    }
}
