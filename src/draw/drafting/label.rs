//! A label: a figure with its verdict, and what it is of.

use crate::draw::svg::{Anchor, Sheet, Style, figure, symbol_id};
use crate::draw::watch::Clearance;
use crate::fit::verdict::Verdict;

/// A label of one line or more: a figure with its verdict first, then what it is.
#[derive(Clone, Debug, Default)]
pub(crate) struct Label {
    /// The figure as text; empty where there is none.
    pub(crate) figure: String,
    pub(crate) verdict: Option<Verdict>,
    pub(crate) accented: bool,
    /// Lines under the figure, in the style of names.
    pub(crate) names: Vec<String>,
}

/// The height of a line in px.
const LINE: f64 = 15.0;

/// Above the first baseline.
pub(super) const ASCENT: f64 = 11.0;

/// Below the last one.
const DESCENT: f64 = 4.0;

impl Label {
    /// A name alone.
    pub(crate) fn name(text: &str, room: f64) -> Label {
        Label { names: Style::Name.wrapped(text, room), ..Label::default() }
    }

    /// A finding: figure, verdict, and what it is.
    pub(crate) fn of(clearance: &Clearance, room: f64) -> Label {
        let mut names = Style::Name.wrapped(&clearance.label, room);
        if let Some(came) = clearance.came_words() {
            names.extend(Style::Name.wrapped(&came, room));
        }
        Label {
            figure: clearance
                .figure
                .filter(|_| clearance.verdict != Verdict::Unmeasured)
                .map_or_else(String::new, |v| figure(v, clearance.decimals.min(3))),
            verdict: Some(clearance.verdict),
            accented: clearance.accented(),
            names,
        }
    }

    /// What was not measured, by name.
    pub(crate) fn unmeasured(text: &str, room: f64) -> Label {
        Label {
            verdict: Some(Verdict::Unmeasured),
            accented: true,
            names: Style::Name.wrapped(text, room),
            ..Label::default()
        }
    }

    fn marked(&self) -> Option<Marked<'_>> {
        let shown = !self.figure.is_empty() || self.verdict.is_some();
        shown.then_some(Marked { figure: &self.figure, verdict: self.verdict, accented: self.accented })
    }

    pub(crate) fn width(&self) -> f64 {
        let names = self.names.iter().map(|line| Style::Name.width(line));
        names.chain(self.marked().map(|m| m.width())).fold(0.0, f64::max)
    }

    pub(crate) fn height(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a handful of lines")]
        let lines = self.names.len() as f64 + if self.marked().is_some() { 1.0 } else { 0.0 };
        ASCENT + DESCENT + (lines - 1.0).max(0.0) * LINE
    }

    /// Draws it with its box's upper left corner at the point.
    pub(crate) fn draw(&self, sheet: &mut Sheet, x: f64, top: f64) {
        let mut y = top + ASCENT;
        if let Some(marked) = self.marked() {
            marked.draw(sheet, x, y);
            y += LINE;
        }
        for line in &self.names {
            sheet.text("q", x, y, Anchor::Start, line);
            y += LINE;
        }
    }
}

/// A figure, its verdict by glyph and word, and on the next line what it is of.
struct Marked<'a> {
    figure: &'a str,
    verdict: Option<Verdict>,
    /// In the accent: it wants a second look.
    accented: bool,
}

/// The room between figure, glyph and word.
const BESIDE_GLYPH: f64 = 6.0;

/// A glyph's side in the drawings.
const GLYPH: f64 = 12.0;

impl Marked<'_> {
    /// The width of figure, glyph and word on their one line.
    fn width(&self) -> f64 {
        let figure = Style::Figure.width(self.figure);
        match self.verdict {
            None => figure,
            Some(verdict) => {
                let before = if self.figure.is_empty() { 0.0 } else { figure + BESIDE_GLYPH };
                before + GLYPH + 4.0 + Style::Figure.width(verdict.word())
            }
        }
    }

    /// Draws it with its baseline's left end at the point.
    fn draw(&self, sheet: &mut Sheet, x: f64, y: f64) {
        let (text, symbol) = if self.accented { ("b a", "ga") } else { ("b", "") };
        let mut x = x;
        if !self.figure.is_empty() {
            sheet.text(text, x, y, Anchor::Start, self.figure);
            x += Style::Figure.width(self.figure) + BESIDE_GLYPH;
        }
        if let Some(verdict) = self.verdict {
            sheet.symbol(symbol, symbol_id(verdict), x, y - 10.5, GLYPH);
            sheet.text(text, x + GLYPH + 4.0, y, Anchor::Start, verdict.word());
        }
    }
}
