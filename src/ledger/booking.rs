//! Who has a part when: stays that one piece cannot serve at one time.

use std::collections::{BTreeMap, BTreeSet};

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

/// Stays that go on, while one looks from the beginning of one to that of the next.
#[derive(Default)]
struct There<'a> {
    /// By their place among the stays, which is the order in which they began.
    stays: BTreeMap<usize, &'a Stay>,
    ends: BTreeSet<(DateTime, usize)>,
}

impl<'a> There<'a> {
    fn begin(&mut self, at: usize, stay: &'a Stay) {
        self.stays.insert(at, stay);
        self.ends.extend(stay.to.map(|to| (to, at)));
    }

    /// Lets go of what does not hold at a moment any more.
    fn move_on(&mut self, to: Option<DateTime>) {
        let Some(to) = to else { return };
        while let Some((end, at)) = self.ends.first().copied().filter(|(end, _)| *end <= to) {
            self.ends.remove(&(end, at));
            self.stays.remove(&at);
        }
    }
}

/// The most of the others that are there at one moment of a stay, and the one of them that began
/// first; `None` where none ever is. The others stand in the order of their beginnings.
pub fn fullest<'s>(stay: &Stay, others: &[&'s Stay]) -> Option<(usize, &'s Stay)> {
    let mut there = There::default();
    let mut most: Option<(usize, &Stay)> = None;
    // Their number grows only where one of them begins: those moments are all there is to look at.
    let mut look = |there: &There<'s>| {
        if let Some((_, first)) = there.stays.first_key_value()
            && most.is_none_or(|(most, _)| most < there.stays.len())
        {
            most = Some((there.stays.len(), first));
        }
    };
    let later = others.partition_point(|other| other.from <= stay.from);
    let lasting = |(_, other): &(usize, &&Stay)| other.lasts();
    others.iter().enumerate().take(later).filter(lasting).for_each(|(at, other)| there.begin(at, other));
    there.move_on(stay.from);
    look(&there);
    for (at, other) in others.iter().enumerate().skip(later).filter(lasting) {
        there.move_on(other.from);
        there.begin(at, other);
        look(&there);
    }
    most
}

/// How many pieces are fitted, moment by moment; stays only planned do not count.
#[derive(Debug)]
pub struct Presence {
    begins: Vec<Option<DateTime>>,
    ends: Vec<DateTime>,
}

impl Presence {
    /// How many pieces are fitted at a moment.
    pub fn at(&self, moment: DateTime) -> usize {
        let begun = self.begins.partition_point(|from| *from <= Some(moment));
        begun - self.ends.partition_point(|to| *to <= moment)
    }
}

impl Unit {
    /// Stays that begin when every piece is taken or gone. Those only planned take nothing, and
    /// clash with what stands in their way: `plans` says whether they are looked at.
    pub fn clashes(&self, plans: bool) -> Vec<Clash<'_>> {
        let mut out = Vec::new();
        let mut there = There::default();
        let mut gone = self.gone.iter().peekable();
        let mut pieces = i64::from(self.count.unwrap_or(1));
        // They are in the order of their beginnings.
        for (at, late) in self.stays.iter().enumerate().filter(|(_, stay)| !stay.planned && stay.lasts()) {
            there.move_on(late.from);
            // One piece that has left is told of as such.
            while self.count.is_some()
                && let Some(left) = gone.next_if(|gone| Some(gone.when.at) <= late.from)
            {
                pieces -= i64::from(left.count);
            }
            if there.stays.len() as i64 >= pieces
                && let Some((_, early)) = there.stays.first_key_value()
            {
                out.push(Clash { late, early });
            }
            there.begin(at, late);
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

    /// Whether at some moment more pieces are fitted or planned than there ever were.
    pub(super) fn more_than_there_are(&self) -> bool {
        let mut there = There::default();
        self.stays.iter().enumerate().any(|(at, stay)| {
            there.move_on(stay.from);
            there.begin(at, stay);
            there.stays.len() > self.count.unwrap_or(1) as usize
        })
    }

    /// How many pieces are not gone; one for a single part.
    fn left_of_lot(&self) -> i64 {
        if self.count.is_some() { self.left() } else { 1 }
    }

    /// When how many pieces are fitted.
    pub fn presence(&self) -> Presence {
        let stays = || self.stays.iter().filter(|stay| !stay.planned && stay.lasts());
        let mut ends: Vec<DateTime> = stays().filter_map(|stay| stay.to).collect();
        ends.sort_unstable();
        Presence { begins: stays().map(|stay| stay.from).collect(), ends }
    }

    /// How many pieces are there and in no standing build.
    pub fn free(&self) -> i64 {
        let standing = self.stays.iter().filter(|stay| stay.stands()).count() as i64;
        (self.left() - standing).max(0)
    }
}
