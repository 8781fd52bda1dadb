//! The best Huffman code of at most 16 bits for counted symbols, as annex K.2 of ITU-T T.81 makes it.

/// How often each symbol occurs.
#[derive(Clone)]
pub(super) struct Counts(pub(super) [u32; 256]);

impl Default for Counts {
    fn default() -> Self {
        Counts([0; 256])
    }
}

/// A code: for each symbol its length and bits.
pub(super) struct Code {
    /// How many words have each length from 1 to 16.
    lengths: [u8; 16],
    /// The symbols, shortest word first.
    symbols: Vec<u8>,
    words: [(u8, u16); 256],
}

/// The longest word that the format allows.
const LONGEST: usize = 16;

impl Code {
    /// The code for `counts`.
    pub(super) fn of(counts: &Counts) -> Code {
        let lengths = lengths(counts);
        // Of equal lengths the rarer symbol comes later: the standard sorts by the unlimited length,
        // which this follows as closely as a decoder can tell.
        let mut symbols: Vec<u8> = (0..=255).filter(|symbol| counts.0[usize::from(*symbol)] > 0).collect();
        symbols.sort_by_key(|symbol| std::cmp::Reverse(counts.0[usize::from(*symbol)]));
        let mut words = [(0, 0); 256];
        let (mut word, mut next) = (0u16, symbols.iter());
        for (length, count) in (1..).zip(lengths) {
            for symbol in next.by_ref().take(usize::from(count)) {
                words[usize::from(*symbol)] = (length, word);
                word = word.wrapping_add(1);
            }
            word = word.wrapping_shl(1);
        }
        Code { lengths, symbols, words }
    }

    /// The length of a symbol's word and the word.
    pub(super) fn word(&self, symbol: u8) -> (u8, u16) {
        self.words[usize::from(symbol)]
    }

    /// Writes the table's definition under the number `id`.
    pub(super) fn define(&self, id: u8, out: &mut Vec<u8>) {
        out.extend([0xFF, 0xC4]);
        out.extend((19 + self.symbols.len() as u16).to_be_bytes());
        out.push(id);
        out.extend(self.lengths);
        out.extend(&self.symbols);
    }
}

/// How many words have each length: the two rarest are joined until one is left, then words that
/// are too long are moved up. One more symbol takes the word of all ones, which may not be used.
fn lengths(counts: &Counts) -> [u8; 16] {
    let mut weights: Vec<(u64, usize)> = Vec::with_capacity(257);
    weights.extend(
        counts
            .0
            .iter()
            .enumerate()
            .filter(|(_, count)| **count > 0)
            .map(|(symbol, count)| (u64::from(*count), symbol)),
    );
    weights.push((0, 256));
    let mut depth = vec![0u8; 257];
    let mut groups: Vec<(u64, Vec<usize>)> =
        weights.into_iter().map(|(weight, symbol)| (weight, vec![symbol])).collect();
    groups.sort_by_key(|(weight, members)| (std::cmp::Reverse(*weight), members[0]));
    while groups.len() > 1 {
        let (Some((one, mut members)), Some((other, more))) = (groups.pop(), groups.pop()) else { break };
        members.extend(more);
        for member in &members {
            depth[*member] += 1;
        }
        let weight = one + other;
        let at = groups.partition_point(|(other, _)| *other >= weight);
        groups.insert(at, (weight, members));
    }
    let mut tally = [0u32; 258];
    for deep in depth.into_iter().filter(|deep| *deep > 0) {
        tally[usize::from(deep)] += 1;
    }
    for long in (LONGEST + 1..tally.len()).rev() {
        while tally[long] > 0 {
            let mut short = long - 2;
            while short > 0 && tally[short] == 0 {
                short -= 1;
            }
            tally[long] -= 2;
            tally[long - 1] += 1;
            tally[short + 1] += 2;
            tally[short] -= 1;
        }
    }
    // The word of all ones is one of the longest.
    if let Some(longest) = (1..=LONGEST).rev().find(|length| tally[*length] > 0) {
        tally[longest] -= 1;
    }
    std::array::from_fn(|index| tally[index + 1] as u8)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn words_are_free_of_prefixes_and_short_enough(few in prop::collection::vec(0u32..2_000_000, 1..256)) {
            let mut counts = Counts::default();
            counts.0[..few.len()].copy_from_slice(&few);
            counts.0[255] = 1;
            let code = Code::of(&counts);
            let said: Vec<usize> = (0..256).filter(|symbol| counts.0[*symbol] > 0).collect();
            prop_assert_eq!(said.len(), code.symbols.len());
            let mut filled = 0.0;
            for symbol in said {
                let (length, word) = code.words[symbol];
                prop_assert!((1..=16).contains(&length));
                prop_assert!(u32::from(word) + 1 < 1 << length, "all ones must not be used");
                filled += libm::exp2(-f64::from(length));
            }
            prop_assert!(filled < 1.0);
        }
    }

    #[test]
    fn steep_counts_are_held_to_sixteen_bits() {
        let mut counts = Counts::default();
        let (mut a, mut b) = (1u32, 1u32);
        for slot in counts.0.iter_mut().take(40) {
            *slot = a;
            (a, b) = (b, a + b);
        }
        let code = Code::of(&counts);
        assert_eq!(code.lengths.iter().map(|count| usize::from(*count)).sum::<usize>(), 40);
        assert!(code.words[..40].iter().all(|(length, _)| 1 <= *length && *length <= 16));
    }
}
