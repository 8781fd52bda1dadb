//! Who has a part when: stays that one piece cannot serve at one time.

use jiff::civil::DateTime;

use super::{Stay, Unit};

/// A stay for which no piece was left, and another that had it by then.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Clash<'a> {
    /// The stay that began later.
    pub late: &'a Stay,
    /// One of those that went on while it began.
    pub early: &'a Stay,
}

impl Stay {
    /// Whether the part is there at a moment (`None`: before everything that is dated).
    pub fn holds(&self, at: Option<DateTime>) -> bool {
        self.from <= at && self.to.is_none_or(|to| at.is_none_or(|at| at < to))
    }

    /// Whether the part is there to this day, and not only in a plan.
    pub fn stands(&self) -> bool {
        self.to.is_none() && !self.planned
    }

    /// Whether it took any time: a part that went in and out at one moment kept nobody waiting.
    fn lasts(&self) -> bool {
        self.to.is_none_or(|to| self.from.is_none_or(|from| from < to))
    }
}

impl Unit {
    /// Stays that begin when every piece is taken or gone. Those only planned take nothing, and
    /// clash with what stands in their way: `plans` says whether they are looked at.
    pub fn clashes(&self, plans: bool) -> Vec<Clash<'_>> {
        let mut out = Vec::new();
        let mut there: Vec<&Stay> = Vec::new();
        let mut gone = self.gone.iter().peekable();
        let mut pieces = i64::from(self.count.unwrap_or(1));
        // They are in the order of their beginnings.
        for late in self.stays.iter().filter(|stay| !stay.planned && stay.lasts()) {
            there.retain(|stay| stay.holds(late.from));
            // One piece that has left is told of as such.
            while self.count.is_some()
                && let Some(left) = gone.next_if(|gone| Some(gone.when.at) <= late.from)
            {
                pieces -= i64::from(left.count);
            }
            if there.len() as i64 >= pieces
                && let Some(early) = there.first().copied()
            {
                out.push(Clash { late, early });
            }
            there.push(late);
        }
        if plans {
            let standing: Vec<&Stay> = self.stays.iter().filter(|stay| stay.stands()).collect();
            if standing.len() as i64 >= self.left_of_lot()
                && let Some(early) = standing.first().copied()
            {
                let planned = self.stays.iter().filter(|stay| stay.planned);
                out.extend(planned.map(|late| Clash { late, early }));
            }
        }
        out
    }

    /// How many pieces are not gone; one for a single part.
    fn left_of_lot(&self) -> i64 {
        if self.count.is_some() { self.left() } else { 1 }
    }

    /// How many pieces are fitted at a moment.
    pub fn fitted_at(&self, at: DateTime) -> usize {
        self.stays.iter().filter(|stay| !stay.planned && stay.lasts() && stay.holds(Some(at))).count()
    }

    /// How many pieces are there and in no standing build.
    pub fn free(&self) -> i64 {
        let standing = self.stays.iter().filter(|stay| stay.stands()).count() as i64;
        (self.left() - standing).max(0)
    }
}
