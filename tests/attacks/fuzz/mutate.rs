//! Changes to bytes: cut, doubled, repeated, spliced, sprinkled with words that mean something.

use crate::dice::Dice;

/// The largest input that is made; what large ones do is tried elsewhere.
const MOST: usize = 16 << 10;

/// Bytes that end texts, begin markup or are none.
const EDGES: [&[u8]; 22] = [
    b"\0",
    b"\n",
    b"\r\n",
    b"\t",
    b" ",
    b"\"",
    b"'",
    b"`",
    b"<",
    b">",
    b"&",
    b"\\",
    b"%",
    b"---\n",
    b"..",
    b"\xff",
    b"\xc3",
    "\u{feff}".as_bytes(),
    "\u{202e}".as_bytes(),
    "\u{2028}".as_bytes(),
    "±".as_bytes(),
    "🌊".as_bytes(),
];

/// One input of the corpus, changed in one to six ways.
pub(crate) fn mutated(corpus: &[Vec<u8>], words: &[&str], dice: &mut Dice) -> Vec<u8> {
    let mut input = corpus[dice.below(corpus.len())].clone();
    for _ in 0..=dice.below(6) {
        change(&mut input, corpus, words, dice);
    }
    input.truncate(MOST);
    input
}

fn change(input: &mut Vec<u8>, corpus: &[Vec<u8>], words: &[&str], dice: &mut Dice) {
    let at = dice.below(input.len() + 1);
    let (from, to) = run(input, dice);
    match dice.below(12) {
        0 => drop(input.drain(from..to)),
        1 => {
            let copy = input[from..to].to_vec();
            splice(input, at, &copy);
        }
        2 => {
            let times = [2, 3, 10, 100, 1000][dice.below(5)];
            let short = to.min(from + 12);
            let copy = input[from..short].repeat(times);
            splice(input, at, &copy);
        }
        3 => splice(input, at, EDGES[dice.below(EDGES.len())]),
        4 | 5 if !words.is_empty() => splice(input, at, dice.pick(words).as_bytes()),
        6 if !words.is_empty() => {
            let word = dice.pick(words).as_bytes().to_vec();
            input.splice(from..to, word);
        }
        7 => {
            let other = &corpus[dice.below(corpus.len())];
            let (from, to) = run(other, dice);
            splice(input, at, &other[from..to]);
        }
        8 => {
            // What stands behind a colon becomes another value of the corpus or of the words.
            let colons: Vec<usize> =
                input.windows(2).enumerate().filter(|(_, two)| *two == b": ").map(|(at, _)| at + 2).collect();
            if let (false, false) = (colons.is_empty(), words.is_empty()) {
                let from = colons[dice.below(colons.len())];
                let end =
                    input[from..].iter().position(|b| b"\n,}".contains(b)).map_or(input.len(), |n| from + n);
                let word = dice.pick(words).as_bytes().to_vec();
                input.splice(from..end, word);
            }
        }
        9 => {
            // Lines change places.
            let mut lines: Vec<Vec<u8>> =
                input.split_inclusive(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
            if lines.len() > 1 {
                let (a, b) = (dice.below(lines.len()), dice.below(lines.len()));
                lines.swap(a, b);
                *input = lines.concat();
            }
        }
        10 => input.truncate(at),
        _ => {
            if let Some(byte) = input.get_mut(at) {
                *byte = match dice.below(4) {
                    0 => dice.below(256) as u8,
                    1 => *byte ^ (1 << dice.below(8)),
                    2 => byte.wrapping_add(1),
                    _ => [0, 0x7f, 0x80, 0xff][dice.below(4)],
                };
            }
        }
    }
}

/// A run of bytes, mostly short.
fn run(input: &[u8], dice: &mut Dice) -> (usize, usize) {
    let from = dice.below(input.len() + 1);
    let most = [1, 4, 16, 64, 400][dice.below(5)];
    (from, (from + 1 + dice.below(most)).min(input.len()).max(from))
}

fn splice(input: &mut Vec<u8>, at: usize, bytes: &[u8]) {
    input.splice(at..at, bytes.iter().copied());
}
