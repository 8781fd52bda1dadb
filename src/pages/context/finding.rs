//! Findings as templates see them.

use serde::{Deserialize, Serialize};

use super::Link;

/// A verdict: its word, and whether it wants a second look.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Verdict {
    /// clear, tight, fouls or unmeasured; also the name of its glyph.
    pub word: String,
    /// Wants a second look: not clear, and not accepted.
    pub attention: bool,
}

/// How many findings share a verdict, and what the few of them are about.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Count {
    /// How many.
    pub count: usize,
    /// The verdict that they share.
    pub verdict: Verdict,
    /// They are known and accepted.
    pub accepted: bool,
    /// The findings themselves, at most three; empty for the clear ones.
    pub about: Vec<Link>,
    /// How many more there are than `about` names.
    pub more: usize,
}

/// Findings that stand together under one heading.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct FindingGroup {
    /// The heading.
    pub title: String,
    /// What wants a second look comes first; the group is shown with its first finding open.
    pub attention: bool,
    /// In the order in which they are shown.
    pub findings: Vec<FindingView>,
}

/// The result of one check for one build.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct FindingView {
    /// The anchor on the build's page, unique there.
    pub id: String,
    /// The check's id.
    pub check: String,
    /// The check's explanation; empty where checks are not published.
    pub check_href: String,
    /// What tells findings of one check apart; empty where there is one only.
    pub about: String,
    /// What was checked, in words.
    pub title: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The reason for which the person lives with it; empty where not accepted.
    pub accepted: String,
    /// The result as a figure; empty where there is none.
    pub figure: String,
    /// The result's unit; empty for a ratio and where there is no figure.
    pub unit: String,
    /// What stands in the figure's place: "not known", "holds" or "does not hold".
    pub instead: String,
    /// The small bar without words; empty where there is no figure.
    pub mini_svg: String,
    /// The bar with its figures; empty where neither figure nor band is known.
    pub bar_svg: String,
    /// The formula in the names of the dimensions; where that would be long, in words.
    pub formula: String,
    /// The formula with the figures in it; empty where something is missing.
    pub numbers: String,
    /// Worst case, as "0.12 to 0.34"; empty where not known.
    pub worst: String,
    /// Where 95 of 100 lie, as "0.17 to 0.28"; empty where not known.
    pub likely: String,
    /// The advised band, as "at least 0.20"; empty where there is none.
    pub band: String,
    /// Where it truly fouls, as "below 0.05"; empty where there is no such place.
    pub contact: String,
    /// Reasons in sentences: which edge, how likely, why a rule does not hold.
    pub reasons: Vec<String>,
    /// The dimensions in the formula, the largest share of the spread first.
    pub dimensions: Vec<DimensionUsed>,
    /// Dimensions that are not known yet.
    pub missing: Vec<Missing>,
    /// What would make it clear.
    pub advice: Vec<Advice>,
    /// The result for the parts as they came, where one was altered since.
    pub as_came: Option<AsCame>,
    /// The places in the log or in the parts where the figures were written.
    pub places: Vec<Link>,
}

/// A dimension in a formula.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct DimensionUsed {
    /// Its name, as `dial.diameter`.
    pub name: String,
    /// Its value as a figure.
    pub value: String,
    /// Its tolerance with sign, as "±0.02" or "+0.00 −0.05"; empty for a nominal size.
    pub tolerance: String,
    /// gauged, measured, drawn, stated or assumed.
    pub origin: String,
    /// Its share of the result's spread in per cent.
    pub share: u32,
    /// The same for a bar 46 px long; 0 where there is nothing to draw.
    pub share_px: u32,
}

/// A dimension that is missing.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Missing {
    /// Its name, as `case.tube.below`.
    pub name: String,
    /// What it is, in words.
    pub what: String,
    /// The range that makes the check clear, as "2.28 to 2.52"; empty where it is not known.
    pub range: String,
}

/// What would help.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Advice {
    /// What to do, with figures, one sentence.
    pub lead: String,
    /// What it costs elsewhere, one sentence; empty where nothing is said of that.
    pub text: String,
    /// What can hurt, in sentences; empty for nothing.
    pub caution: String,
}

/// A result for the parts as they came.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct AsCame {
    /// The verdict then.
    pub verdict: Verdict,
    /// The figure then; empty where there was none.
    pub figure: String,
}

/// A finding of one check, in a list over builds.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct CheckFinding {
    /// The build.
    pub build: Link,
    /// The finding on the build's page.
    pub finding: Link,
    /// Its verdict.
    pub verdict: Verdict,
    /// Its figure with the unit; empty for none.
    pub figure: String,
    /// The small bar; empty for none.
    pub mini_svg: String,
}
