//! From millimetres to px, and cut parts with their measured and unmeasured edges.

use super::coordinate::Coordinate;
use crate::draw::svg::{Path, Sheet};

/// A window on the watch: where the axis and the dial seat stand, and px for a millimetre.
#[derive(Clone, Copy, Debug)]
pub(crate) struct View {
    pub(crate) x0: f64,
    pub(crate) y0: f64,
    pub(crate) scale: f64,
}

/// Which halves of a turned part are drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Halves {
    Both,
    /// From the axis to the right.
    Right,
}

/// A corner of a cut part.
pub(crate) type Corner = (Coordinate, Coordinate);

impl View {
    pub(crate) fn x(&self, r: f64) -> f64 {
        self.x0 + r * self.scale
    }

    pub(crate) fn y(&self, z: f64) -> f64 {
        self.y0 - z * self.scale
    }

    pub(crate) fn at(&self, r: f64, z: f64) -> (f64, f64) {
        (self.x(r), self.y(z))
    }

    /// A rectangle between radii and heights that are all known.
    pub(crate) fn rect(&self, sheet: &mut Sheet, class: &str, r: (f64, f64), z: (f64, f64)) {
        sheet.rect(class, self.x(r.0), self.y(z.1), self.x(r.1), self.y(z.0));
    }

    /// A part that does not reach the axis: closed, at the right and, of both halves, at the left.
    pub(crate) fn ring(&self, sheet: &mut Sheet, ink: Ink, corners: &[Corner], halves: Halves) {
        let mut sides = vec![1.0];
        if halves == Halves::Both {
            sides.push(-1.0);
        }
        let outlines: Vec<Vec<Edge>> = sides
            .into_iter()
            .map(|side| {
                let mut edges: Vec<Edge> = self.edges(corners, side);
                if let Some(first) = edges.first().copied() {
                    edges.push(first);
                }
                edges
            })
            .collect();
        draw(sheet, ink, &outlines, true);
    }

    /// A part that begins at the axis: corners from the axis around to the axis again; the other half
    /// mirrored. Nothing is drawn along the axis.
    pub(crate) fn disc(&self, sheet: &mut Sheet, ink: Ink, corners: &[Corner], halves: Halves) {
        let mut edges = self.edges(corners, 1.0);
        if halves == Halves::Both {
            let mut mirrored = self.edges(corners, -1.0);
            mirrored.reverse();
            edges.append(&mut mirrored);
            if let Some(first) = edges.first().copied() {
                edges.push(first);
            }
        }
        draw(sheet, ink, &[edges], halves == Halves::Both);
    }

    fn edges(&self, corners: &[Corner], side: f64) -> Vec<Edge> {
        corners
            .iter()
            .map(|(r, z)| Edge { at: self.at(r.mm * side, z.mm), known: r.known && z.known })
            .collect()
    }
}

/// A corner in px.
#[derive(Clone, Copy, Debug)]
struct Edge {
    at: (f64, f64),
    known: bool,
}

/// How a part is inked: the class of its outline, and of its filling (empty for none).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Ink {
    pub(crate) outline: &'static str,
    pub(crate) filling: &'static str,
}

impl Ink {
    /// The case, and whatever leans as it does.
    pub(crate) const METAL: Ink = Ink { outline: "o", filling: "h1" };
    /// Its neighbour.
    pub(crate) const NEIGHBOUR: Ink = Ink { outline: "o", filling: "h2" };
    pub(crate) const PLASTIC: Ink = Ink { outline: "n", filling: "h3" };
    /// A thin part in a detail.
    pub(crate) const THIN: Ink = Ink { outline: "o", filling: "h4" };
    /// Not cut.
    pub(crate) const UNCUT: Ink = Ink { outline: "n", filling: "mf" };
    /// Too thin to hatch.
    pub(crate) const SOLID: Ink = Ink { outline: "s", filling: "" };
    pub(crate) const BRASS: Ink = Ink { outline: "n", filling: "br" };
    pub(crate) const GLASS: Ink = Ink { outline: "o", filling: "gl" };
}

/// Fills the outlines and draws known edges in the part's own line, the others dashed.
fn draw(sheet: &mut Sheet, ink: Ink, outlines: &[Vec<Edge>], closed: bool) {
    let points = |edges: &[Edge]| -> Vec<(f64, f64)> { edges.iter().map(|edge| edge.at).collect() };
    let all_known = outlines.iter().flatten().all(|edge| edge.known);
    let mut whole = Path::default();
    for edges in outlines {
        if closed {
            whole.polygon(&points(&edges[..edges.len().saturating_sub(1)]));
        } else {
            whole.polyline(&points(edges));
        }
    }
    if all_known {
        let class = if ink.filling.is_empty() {
            ink.outline.to_owned()
        } else {
            format!("{} {}", ink.outline, ink.filling)
        };
        sheet.path(&class, &whole);
        return;
    }
    let (mut known, mut unknown) = (Path::default(), Path::default());
    let mut any_known = false;
    for edges in outlines {
        let mut last: Option<bool> = None;
        for pair in edges.windows(2) {
            let sure = pair[0].known && pair[1].known;
            any_known |= sure;
            let path = if sure { &mut known } else { &mut unknown };
            if last != Some(sure) {
                path.to(pair[0].at.0, pair[0].at.1);
            }
            path.line(pair[1].at.0, pair[1].at.1);
            last = Some(sure);
        }
    }
    // What nothing is known of is a mere outline.
    sheet.path(if any_known && !ink.filling.is_empty() { ink.filling } else { "pp" }, &whole);
    sheet.path(if ink.outline == "s" { "o" } else { ink.outline }, &known);
    sheet.path("u", &unknown);
}
