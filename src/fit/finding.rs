//! A check's answer for one build, with everything that it rests on.

use std::sync::Arc;

use crate::measure::Dimension;

use super::assessment::{Likely, Statistics};
use super::bands::Advised;
use super::check::Check;
use super::expr::{Expr, Name};
use super::sentence::Sentence;
use super::verdict::{Edge, Verdict};
use super::worst_case::WorstCase;

/// A check's answer for one build.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The check.
    pub check: &'static Check,
    /// Tells findings of one check apart: "minute", "foot 2", "minute over hour"; else empty.
    pub about: String,
    /// What it is about, in words.
    pub title: String,
    /// The verdict; `None` for a figure, which has none.
    pub verdict: Option<Verdict>,
    /// The figures of a measure or a figure that could be worked out.
    pub result: Option<Outcome>,
    /// The bands that a measure was judged by.
    pub advised: Option<Advised>,
    /// The unit of its figures; empty for a ratio or where it has none.
    pub unit: &'static str,
    /// The formula, for a measure or figure.
    pub formula: Option<Expr>,
    /// What the formula came to, and how that spreads; for what could be worked out.
    pub(super) statistics: Option<Arc<Statistics>>,
    /// What there is to say: a rule's reason, which edge, what is missing.
    pub text: Sentence,
    /// The verdict on the parts as they came; `None` where no altered part is in it.
    pub as_came: Option<Verdict>,
    /// The person's reason, where they accept it.
    pub accepted: Option<String>,
    /// Every dimension that it rests on, in the order of the formula; [`Finding::dimensions`] has them by
    /// their shares.
    pub used: Vec<Used>,
    /// The dimensions that are missing.
    pub missing: Vec<Wanted>,
    /// What could be done about it.
    pub advice: Vec<Advice>,
}

/// The figures of a formula.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Outcome {
    /// With every dimension as written.
    pub nominal: f64,
    /// The chance of lying outside the band.
    pub chance_out: f64,
    /// Which end of the band the trouble is at.
    pub edge: Option<Edge>,
    /// The spread alone exceeds the band.
    pub too_wide: bool,
}

/// A dimension that a finding rests on.
#[derive(Clone, PartialEq, Debug)]
pub struct Used {
    /// `dial.diameter`.
    pub name: Name,
    /// The size; `None` for a nominal word of a rule.
    pub size: Dimension,
}

/// A dimension that is missing, and where it must lie.
#[derive(Clone, PartialEq, Debug)]
pub struct Wanted {
    /// `case.shelf`.
    pub name: String,
    /// The range of its nominal value that would make the finding clear, once it is known as well
    /// as a measured one; `None` where that was not worked out or there is none.
    pub range: Option<(Option<f64>, Option<f64>)>,
    /// What is said about it.
    pub note: String,
}

/// Something that could be done.
#[derive(Clone, PartialEq, Debug)]
pub struct Advice {
    /// "turn down", "shim", "raise", ...
    pub action: String,
    /// The part's id.
    pub part: String,
    /// How much, and what it costs elsewhere.
    pub text: Sentence,
    /// What to beware of; empty where nothing.
    pub caution: String,
}

impl Finding {
    /// The formula with its numbers, "27.22 − 27.10 = 0.12"; empty for a rule, and where one is missing.
    pub fn numbers(&self) -> String {
        let known = self.formula.as_ref().filter(|_| self.result.is_some());
        known.map(Expr::numbers).unwrap_or_default()
    }

    /// The least and the greatest that the tolerances allow; `None` where there is no result. They may have
    /// to be searched first.
    pub fn worst(&self) -> Option<WorstCase> {
        Some(self.statistics.as_ref()?.worst(self.formula.as_ref()?))
    }

    /// How the result spreads; `None` where there is none. It may have to be worked out first.
    pub fn likely(&self) -> Option<&Likely> {
        Some(self.statistics.as_ref()?.likely(self.formula.as_ref()?))
    }

    /// Every dimension that it rests on with its part of the variance, 0 to 1, the largest first.
    pub fn dimensions(&self) -> Vec<(&Used, f64)> {
        let shares = self.likely().map_or(&[][..], |likely| &likely.shares);
        let shares = shares.iter().copied().chain(std::iter::repeat(0.0));
        let mut found: Vec<(&Used, f64)> = self.used.iter().zip(shares).collect();
        found.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        found
    }

    /// The dimensions that it asked for, known and missing ones.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let used = self.used.iter().map(|used| &*used.name);
        used.chain(self.missing.iter().map(|missing| missing.name.as_str()))
    }

    /// Whether it counts against the exit status of `fit`.
    pub fn counts(&self, strict: bool) -> bool {
        if self.accepted.is_some() {
            return false;
        }
        match self.verdict {
            Some(Verdict::Fouls) => true,
            Some(Verdict::Tight | Verdict::Unmeasured) => strict,
            _ => false,
        }
    }

    /// The check's id, and what it is about behind a space.
    pub fn key(&self) -> String {
        if self.about.is_empty() {
            self.check.id.to_owned()
        } else {
            format!("{} {}", self.check.id, self.about)
        }
    }
}
