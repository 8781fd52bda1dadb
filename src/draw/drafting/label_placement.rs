//! Where labels and their leaders go: never over each other, never outside the drawing.

use super::label::{ASCENT, Label};
use crate::draw::svg::{Path, Sheet};

/// The centres of labels beside a chain of dimensions, each `heights[i]` high: as near as can be to
/// where they are wanted, in the same order, `gap` apart at least, and none before `least`.
pub(crate) fn spread(wanted: &[f64], heights: &[f64], gap: f64, least: f64) -> Vec<f64> {
    // Blocks of labels that touch: the sum of their shifted wishes, how many, and the first's place.
    struct Block {
        sum: f64,
        count: f64,
        first: usize,
    }
    let mut offsets = Vec::with_capacity(wanted.len());
    let mut run = 0.0;
    for (i, height) in heights.iter().enumerate() {
        if i > 0 {
            run += (heights[i - 1] + height) / 2.0 + gap;
        }
        offsets.push(run);
    }
    let floor = least + heights.first().map_or(0.0, |h| h / 2.0);
    let place = |block: &Block| (block.sum / block.count).max(floor);
    let mut blocks: Vec<Block> = Vec::new();
    for (i, wish) in wanted.iter().enumerate() {
        let mut block = Block { sum: wish - offsets[i], count: 1.0, first: i };
        while let Some(before) = blocks.last() {
            if place(before) < place(&block) {
                break;
            }
            block =
                Block { sum: before.sum + block.sum, count: before.count + block.count, first: before.first };
            blocks.pop();
        }
        blocks.push(block);
    }
    let mut out = Vec::with_capacity(wanted.len());
    for (i, offset) in offsets.iter().enumerate() {
        let block = blocks.iter().rev().find(|b| b.first <= i);
        out.push(block.map_or(floor, place) + offset);
    }
    out
}

/// A label with a leader, waiting for its place above or below a drawing.
pub(crate) struct Callout {
    pub(crate) label: Label,
    /// Where the leader ends on the part.
    pub(crate) point: (f64, f64),
    /// A dot at the leader's end; arrows of a dimension are drawn by whoever dimensions.
    pub(crate) dot: bool,
}

/// Where a callout found its place.
#[derive(Clone, Copy, Debug)]
struct Spot {
    left: f64,
    /// Of the box, measured outwards from the drawing's edge.
    near: f64,
    far: f64,
    right: f64,
    /// The leader stands here.
    leader: f64,
}

impl Spot {
    fn is_apart_from(&self, other: &Spot) -> bool {
        self.right + 10.0 <= other.left
            || other.right + 10.0 <= self.left
            || self.far + 3.0 <= other.near
            || other.far + 3.0 <= self.near
    }
}

/// Which side of a drawing the labels stand on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Side {
    Above,
    Below,
}

/// Labels in rows above or below a drawing, with upright leaders into it.
///
/// A label stands beside its own leader, to the right or to the left of it, in the nearest row where
/// its box meets no other box and no other leader, and its leader no box. A row far enough out always
/// keeps the boxes apart.
pub(crate) struct Band {
    side: Side,
    left: f64,
    right: f64,
    lines: Vec<f64>,
    placed: Vec<(Callout, Spot)>,
}

impl Band {
    pub(crate) fn new(side: Side, left: f64, right: f64) -> Band {
        Band { side, left, right, lines: Vec::new(), placed: Vec::new() }
    }

    /// A line that stands there already, all the way out: no label may lie over it.
    pub(crate) fn keep_off(&mut self, x: f64) {
        self.lines.push(x);
    }

    /// Finds places for all of them, those nearest to the middle first.
    pub(crate) fn place(&mut self, mut callouts: Vec<Callout>) {
        let middle = f64::midpoint(self.left, self.right);
        callouts.sort_by(|a, b| (a.point.0 - middle).abs().total_cmp(&(b.point.0 - middle).abs()));
        let leaders: Vec<f64> = callouts.iter().map(|c| c.point.0.clamp(self.left, self.right)).collect();
        for (i, callout) in callouts.into_iter().enumerate() {
            let spot = self.find(&callout, &leaders[i + 1..]);
            self.placed.push((callout, spot));
        }
    }

    /// `waiting`: the leaders of those that come after.
    fn find(&self, callout: &Callout, waiting: &[f64]) -> Spot {
        const BESIDE: f64 = 6.0;
        const ROWS: u8 = 48;
        let (w, h) = (callout.label.width(), callout.label.height());
        let x = callout.point.0.clamp(self.left, self.right);
        let inwards = x < f64::midpoint(self.left, self.right);
        // To the middle first, then outwards, then wherever the box fits with the leader inside it.
        let right_of = x + BESIDE;
        let left_of = x - BESIDE - w;
        let fitted = (x - w / 2.0).clamp(self.left, (self.right - w).max(self.left));
        let mut order =
            if inwards { vec![right_of, left_of, fitted] } else { vec![left_of, right_of, fitted] };
        order.extend(self.lines.iter().flat_map(|line| [line + 5.0, line - 5.0 - w]).filter(|left| {
            // Beside a line that stands there, with the leader coming out of the box.
            *left < x && x < left + w
        }));
        let spot = |row: u8, left: f64| {
            let near = 6.0 + f64::from(row) * 5.0;
            Spot { left, right: left + w, near, far: near + h, leader: x }
        };
        let apart: Vec<Spot> = (0..ROWS)
            .flat_map(|row| order.iter().map(move |left| (row, *left)))
            .map(|(row, left)| spot(row, left))
            .filter(|spot| self.left - 0.5 <= spot.left && spot.right <= self.right + 0.5)
            .filter(|spot| self.placed.iter().all(|(_, other)| spot.is_apart_from(other)))
            .collect();
        let covers = |spot: &Spot, line: f64| spot.left - 4.0 < line && line < spot.right + 4.0;
        let crosses = |spot: &Spot| {
            self.lines.iter().any(|line| covers(spot, *line))
                || self.placed.iter().any(|(_, other)| {
                    (covers(other, x) && other.near < spot.near + 4.0)
                        || (covers(spot, other.leader) && spot.near < other.near + 4.0)
                })
        };
        // Best where no line crosses it and no later leader will have to.
        let found = apart
            .iter()
            .find(|spot| !crosses(spot) && !waiting.iter().any(|line| covers(spot, *line)))
            .or_else(|| apart.iter().find(|spot| !crosses(spot)))
            .or_else(|| apart.first());
        // Else further out than all that stands there already.
        let near = self.depth() + 6.0;
        let last = Spot { left: fitted, right: fitted + w, near, far: near + h, leader: x };
        found.copied().unwrap_or(last)
    }

    /// With every leader's end moved down by so much.
    pub(crate) fn moved_down(mut self, by: f64) -> Band {
        for (callout, _) in &mut self.placed {
            callout.point.1 += by;
        }
        self
    }

    /// How far the labels reach out from the drawing.
    pub(crate) fn depth(&self) -> f64 {
        self.placed.iter().map(|(_, spot)| spot.far).fold(0.0, f64::max)
    }

    /// Draws them from the drawing's edge at `edge` outwards.
    pub(crate) fn draw(&self, sheet: &mut Sheet, edge: f64) {
        let (mut lines, mut accented) = (Path::default(), Path::default());
        for (callout, spot) in &self.placed {
            let (x, y) = callout.point;
            let line = if callout.label.accented { &mut accented } else { &mut lines };
            let (top, end) = match self.side {
                Side::Above => (edge - spot.far, edge - spot.far + ASCENT - 5.0),
                Side::Below => (edge + spot.near, edge + spot.near + ASCENT - 5.0),
            };
            let inside = spot.left < spot.leader && spot.leader < spot.right;
            let end = match (inside, self.side) {
                // The leader comes out of the box's near edge.
                (true, Side::Above) => edge - spot.near,
                (true, Side::Below) => edge + spot.near,
                (false, _) => end,
            };
            line.to(x, y);
            if (spot.leader - x).abs() > 0.1 {
                line.line(spot.leader, f64::midpoint(y, end));
            }
            line.line(spot.leader, end);
            if !inside {
                line.line(if spot.left >= spot.leader { spot.left - 2.0 } else { spot.right + 2.0 }, end);
            }
            callout.label.draw(sheet, spot.left, top);
            if callout.dot {
                sheet.circle(if callout.label.accented { "ra" } else { "r" }, x, y, 1.6);
            }
        }
        sheet.path("x", &lines);
        sheet.path("xa", &accented);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_chain_with_room_stays_where_it_is() {
        assert_eq!(spread(&[10.0, 60.0, 200.0], &[20.0; 3], 4.0, 0.0), [10.0, 60.0, 200.0]);
    }

    #[test]
    fn near_ones_move_apart_by_the_same_each() {
        let moved = spread(&[100.0, 104.0], &[20.0; 2], 4.0, 0.0);
        assert_eq!(moved, [90.0, 114.0]);
    }

    proptest! {
        #[test]
        fn a_chain_keeps_its_order_and_its_gaps(
            mut wanted in prop::collection::vec(0.0..400.0f64, 1..9), height in 10.0..40.0f64,
        ) {
            wanted.sort_by(f64::total_cmp);
            let heights = vec![height; wanted.len()];
            let moved = spread(&wanted, &heights, 3.0, 0.0);
            prop_assert!(moved[0] >= height / 2.0 - 1e-9);
            for pair in moved.windows(2) {
                prop_assert!(pair[1] - pair[0] >= height + 3.0 - 1e-6);
            }
        }
    }
}
