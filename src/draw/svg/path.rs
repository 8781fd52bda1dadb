//! The data of a path: short relative commands that do not drift.

use super::numbers::{Px, tenths};

/// A path's data: absolute points in, the shortest relative commands out.
///
/// Points are rounded before they are subtracted, so that a long path does not drift.
#[derive(Clone, Default, Debug)]
pub(crate) struct Path {
    data: String,
    at: (i64, i64),
    start: (i64, i64),
}

impl Path {
    /// Begins a new piece at a point.
    pub(crate) fn to(&mut self, x: f64, y: f64) -> &mut Path {
        let point = (Px(x).tenths(), Px(y).tenths());
        self.data.push('M');
        self.numbers(&[point.0, point.1]);
        self.at = point;
        self.start = point;
        self
    }

    /// A straight line to a point; nothing where the point is already there.
    pub(crate) fn line(&mut self, x: f64, y: f64) -> &mut Path {
        let point = (Px(x).tenths(), Px(y).tenths());
        let (dx, dy) = (point.0 - self.at.0, point.1 - self.at.1);
        match (dx, dy) {
            (0, 0) => {}
            (_, 0) => {
                self.data.push('h');
                self.numbers(&[dx]);
            }
            (0, _) => {
                self.data.push('v');
                self.numbers(&[dy]);
            }
            _ => {
                self.data.push('l');
                self.numbers(&[dx, dy]);
            }
        }
        self.at = point;
        self
    }

    /// Back to where the piece began.
    pub(crate) fn close(&mut self) -> &mut Path {
        self.data.push('z');
        self.at = self.start;
        self
    }

    /// All points, closed.
    pub(crate) fn polygon(&mut self, points: &[(f64, f64)]) -> &mut Path {
        self.polyline(points);
        if !points.is_empty() {
            self.close();
        }
        self
    }

    /// All points, open.
    pub(crate) fn polyline(&mut self, points: &[(f64, f64)]) -> &mut Path {
        for (i, (x, y)) in points.iter().enumerate() {
            if i == 0 {
                self.to(*x, *y);
            } else {
                self.line(*x, *y);
            }
        }
        self
    }

    /// The rectangle between two corners.
    pub(crate) fn rect(&mut self, x1: f64, y1: f64, x2: f64, y2: f64) -> &mut Path {
        self.to(x1, y1).line(x2, y1).line(x2, y2).line(x1, y2).close()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.data.is_empty()
    }

    /// As the attribute `d`.
    pub(super) fn data(&self) -> &str {
        &self.data
    }

    fn numbers(&mut self, values: &[i64]) {
        for (i, value) in values.iter().enumerate() {
            let text = tenths(*value);
            if i > 0 && !text.starts_with('-') {
                self.data.push(' ');
            }
            self.data.push_str(&text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_relative_and_do_not_drift() {
        let mut path = Path::default();
        path.to(0.0, 10.0);
        for i in 1..=100 {
            path.line(f64::from(i) * 0.26, 10.0);
        }
        path.line(-1.0, 9.5).close();
        assert!(path.data.starts_with("M0 10h.3h.2h.3"));
        assert!(path.data.ends_with("l-27-.5z"), "{}", path.data);
    }
}
