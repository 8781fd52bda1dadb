//! Numbers that look random and are the same every time (splitmix64).

pub(crate) struct Dice(pub(super) u64);

impl Dice {
    pub(crate) fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `most`, which is not 0.
    pub(crate) fn below(&mut self, most: usize) -> usize {
        (self.roll() % most as u64) as usize
    }

    /// Whether something happens that does in `one` of so many cases.
    pub(crate) fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }

    /// One of these.
    pub(crate) fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }

    /// Any order, each as likely.
    pub(crate) fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            things.swap(last, self.below(last + 1));
        }
    }
}
