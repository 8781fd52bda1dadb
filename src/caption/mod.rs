//! The parts and tools of a build as plain text, to paste under a video or a post.
//!
//! Nothing private is in it: no serial, no shop or giver, no note, and prices only where they are
//! asked for. Where the room is short the least important lines go first; what can hurt is said
//! shortly before it is left out, and goes last.

mod lines;

use crate::journal::{Build, Journal};
use crate::ledger::Ledger;

pub use lines::Prices;

/// A caption, still with everything in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Caption {
    lines: Vec<CaptionLine>,
}

/// One line; an empty one is set before the first line of each block.
#[derive(Clone, PartialEq, Eq, Debug)]
struct CaptionLine {
    block: CaptionBlock,
    text: String,
    /// What goes first has the highest number; the title, 0, stays.
    weight: u8,
    /// Where the room is short: said so, once what has more than this weight is gone.
    brief: Option<(u8, String)>,
}

/// Lines that stand together, in order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum CaptionBlock {
    Title,
    Figures,
    Parts,
    Tools,
    Cautions,
}

impl Caption {
    /// The caption of a watch. `Prices` says whether sums stand in it.
    pub fn of(journal: &Journal, ledger: &Ledger, build: &Build, prices: Prices) -> Caption {
        Caption { lines: lines::lines(journal, ledger, build, prices) }
    }

    /// All of it.
    pub fn text(&self) -> String {
        written(&self.lines)
    }

    /// As much of it as `most` characters hold (Unicode scalar values, line breaks included, none
    /// at the end); `None` where not even the title fits.
    pub fn within(&self, most: usize) -> Option<String> {
        let mut lines = self.lines.clone();
        loop {
            let text = written(&lines);
            if text.chars().count() <= most {
                return Some(text);
            }
            // The last of the lightest goes first; one that can be said shortly is said so before.
            let brief = |line: &CaptionLine| line.brief.as_ref().map_or(line.weight, |(weight, _)| *weight);
            let at = (0..lines.len()).rev().max_by_key(|at| (brief(&lines[*at]), *at))?;
            match lines[at].brief.take() {
                Some((_, short)) => lines[at].text = short,
                None if lines[at].weight == 0 => return None,
                None => {
                    lines.remove(at);
                }
            }
        }
    }
}

fn written(lines: &[CaptionLine]) -> String {
    let mut out = String::new();
    let mut last = None;
    for line in lines {
        match last {
            Some(block) if block != line.block => out.push_str("\n\n"),
            Some(_) => out.push('\n'),
            None => {}
        }
        out.push_str(&line.text);
        last = Some(line.block);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(block: CaptionBlock, text: &str, weight: u8) -> CaptionLine {
        CaptionLine { block, text: text.to_owned(), weight, brief: None }
    }

    #[test]
    fn the_lightest_lines_go_first_and_cautions_are_shortened_before() {
        let caution = CaptionLine {
            brief: Some((5, "Take care: lume".to_owned())),
            ..line(CaptionBlock::Cautions, "Lume: do not cut, and keep it bagged", 1)
        };
        let caption = Caption {
            lines: vec![
                line(CaptionBlock::Title, "Lantern", 0),
                line(CaptionBlock::Parts, "Dial: amber", 3),
                line(CaptionBlock::Parts, "Strap: dark", 4),
                line(CaptionBlock::Tools, "Tools: lathe", 8),
                caution,
            ],
        };
        let all = caption.text();
        assert_eq!(caption.within(all.chars().count()).as_ref(), Some(&all));
        let less = |most| caption.within(most);
        assert_eq!(
            less(72).as_deref(),
            Some("Lantern\n\nDial: amber\nStrap: dark\n\nLume: do not cut, and keep it bagged")
        );
        assert_eq!(less(60).as_deref(), Some("Lantern\n\nDial: amber\nStrap: dark\n\nTake care: lume"));
        assert_eq!(less(40).as_deref(), Some("Lantern\n\nDial: amber\n\nTake care: lume"));
        assert_eq!(less(30).as_deref(), Some("Lantern\n\nTake care: lume"));
        assert_eq!(less(10).as_deref(), Some("Lantern"));
        assert_eq!(less(6), None);
    }
}
