//! How wide a text stands in a drawing.
//!
//! The drawing face, Barlow Semi Condensed (renamed Endshake Sans), is embedded with the theme, so its
//! advance widths are known and labels can be laid out before any browser sees them. The tables are
//! the `hmtx` advances of the two embedded weights, with the tabular figures that the drawings ask for.

/// A weight of the drawing face.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Weight {
    Regular,
    Bold,
}

/// How a label is set: the theme's classes give the same sizes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Style {
    /// Class `q`, 13 px, soft: what something is.
    Name,
    /// No class, 14 px.
    Plain,
    /// Class `b`, 14 px, bold: a figure or a verdict.
    Figure,
    /// Class `big`, 16 px, bold: an overall dimension.
    Overall,
}

impl Style {
    /// The class that sets it.
    pub(crate) fn class(self) -> &'static str {
        match self {
            Style::Name => "q",
            Style::Plain => "",
            Style::Figure => "b",
            Style::Overall => "big",
        }
    }

    /// The size in px.
    pub(crate) fn size(self) -> f64 {
        match self {
            Style::Name => 13.0,
            Style::Plain | Style::Figure => 14.0,
            Style::Overall => 16.0,
        }
    }

    fn weight(self) -> Weight {
        match self {
            Style::Name | Style::Plain => Weight::Regular,
            Style::Figure | Style::Overall => Weight::Bold,
        }
    }

    /// The width of a text in px.
    pub(crate) fn width(self, text: &str) -> f64 {
        let thousandths: u32 = text.chars().map(|c| advance(c, self.weight())).sum();
        f64::from(thousandths) / 1000.0 * self.size()
    }

    /// The text, or its beginning and an ellipsis where it is wider than `room` px.
    pub(crate) fn fitted(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return text.to_owned();
        }
        let mut out = String::new();
        let mut wide = self.width("\u{2026}");
        for c in text.chars() {
            wide += f64::from(advance(c, self.weight())) / 1000.0 * self.size();
            if wide > room {
                break;
            }
            out.push(c);
        }
        format!("{}\u{2026}", out.trim_end())
    }

    /// The text in lines of at most `room` px, broken between words.
    pub(crate) fn wrapped(self, text: &str, room: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let word = self.fitted(word, room);
            match lines.last_mut() {
                Some(line) if self.width(line) + self.width(" ") + self.width(&word) <= room => {
                    line.push(' ');
                    line.push_str(&word);
                }
                _ => lines.push(word),
            }
        }
        lines
    }
}

/// The advance of one character in thousandths of the size.
fn advance(c: char, weight: Weight) -> u32 {
    let (ascii, beyond) = match weight {
        Weight::Regular => (&REGULAR, &REGULAR_BEYOND),
        Weight::Bold => (&BOLD, &BOLD_BEYOND),
    };
    let code = u32::from(c);
    if let Some(width) = code.checked_sub(32).and_then(|i| usize::try_from(i).ok()).and_then(|i| ascii.get(i))
    {
        return u32::from(*width);
    }
    if let Ok(i) = beyond.binary_search_by_key(&code, |(k, _)| u32::from(*k)) {
        return u32::from(beyond[i].1);
    }
    // Another face steps in: a Latin letter may be as wide as that face's widest, and whatever comes
    // from further away stands in a full square.
    if code < 0x0250 { 780 } else { 1000 }
}

/// From the space (32) to the tilde (126).
#[rustfmt::skip]
const REGULAR: [u16; 95] = [
    200, 285, 249, 624, 488, 815, 600, 125, 241, 241, 379, 471, 221, 354, 234, 367,
    481, 481, 481, 481, 481, 481, 481, 481, 481, 481, 275, 252, 471, 471, 471, 415,
    794, 508, 538, 526, 542, 517, 486, 532, 563, 237, 501, 531, 482, 618, 585, 539,
    517, 510, 528, 500, 496, 562, 514, 751, 511, 496, 472, 341, 367, 341, 423, 430,
    188, 462, 484, 461, 484, 470, 317, 474, 482, 232, 223, 453, 206, 737, 482, 480,
    490, 490, 329, 428, 315, 480, 427, 638, 426, 414, 403, 288, 155, 288, 481,
];

#[rustfmt::skip]
const BOLD: [u16; 95] = [
    200, 302, 315, 642, 501, 802, 635, 153, 298, 298, 380, 465, 232, 364, 242, 417,
    507, 507, 507, 507, 507, 507, 507, 507, 507, 507, 304, 266, 465, 465, 465, 456,
    789, 552, 542, 533, 545, 513, 489, 537, 557, 243, 512, 549, 493, 627, 588, 544,
    526, 521, 537, 513, 516, 557, 540, 771, 538, 528, 480, 366, 417, 366, 439, 457,
    213, 478, 498, 477, 498, 484, 333, 490, 491, 235, 231, 478, 219, 747, 491, 490,
    502, 502, 342, 446, 328, 489, 460, 677, 466, 446, 412, 334, 180, 334, 501,
];

/// Beyond ASCII: the characters of the subset, by code.
#[rustfmt::skip]
const REGULAR_BEYOND: [(char, u16); 25] = [
    ('\u{a0}', 200), ('\u{a9}', 852), ('\u{b0}', 370), ('\u{b1}', 471), ('\u{b7}', 203), ('\u{bd}', 730),
    ('\u{d7}', 396), ('\u{d8}', 573), ('\u{df}', 494), ('\u{e4}', 461), ('\u{e8}', 470), ('\u{e9}', 470),
    ('\u{f6}', 475), ('\u{f7}', 471), ('\u{fc}', 481), ('\u{2013}', 411), ('\u{2014}', 639), ('\u{2018}', 132),
    ('\u{2019}', 132), ('\u{201c}', 259), ('\u{201d}', 259), ('\u{2026}', 710), ('\u{2032}', 416),
    ('\u{2033}', 310), ('\u{2212}', 471),
];

#[rustfmt::skip]
const BOLD_BEYOND: [(char, u16); 25] = [
    ('\u{a0}', 200), ('\u{a9}', 821), ('\u{b0}', 368), ('\u{b1}', 465), ('\u{b7}', 220), ('\u{bd}', 741),
    ('\u{d7}', 413), ('\u{d8}', 609), ('\u{df}', 509), ('\u{e4}', 477), ('\u{e8}', 483), ('\u{e9}', 483),
    ('\u{f6}', 488), ('\u{f7}', 465), ('\u{fc}', 491), ('\u{2013}', 422), ('\u{2014}', 630), ('\u{2018}', 173),
    ('\u{2019}', 173), ('\u{201c}', 322), ('\u{201d}', 322), ('\u{2026}', 755), ('\u{2032}', 487),
    ('\u{2033}', 361), ('\u{2212}', 465),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_sums_of_the_advances() {
        assert!((Style::Plain.width("0.56") - (481.0 * 3.0 + 234.0) / 1000.0 * 14.0).abs() < 1e-9);
        assert!((Style::Figure.width("\u{2212}1") - (465.0 + 507.0) / 1000.0 * 14.0).abs() < 1e-9);
        assert!(Style::Name.width("漢") >= 13.0);
    }

    #[test]
    fn tables_beyond_ascii_are_in_order() {
        for table in [&REGULAR_BEYOND, &BOLD_BEYOND] {
            assert!(table.windows(2).all(|pair| pair[0].0 < pair[1].0));
        }
    }

    #[test]
    fn too_long_a_text_ends_in_an_ellipsis_and_fits() {
        let text = "a movement with a name that nobody could draw";
        let cut = Style::Name.fitted(text, 100.0);
        assert!(cut.ends_with('\u{2026}') && Style::Name.width(&cut) <= 100.0);
        assert_eq!(Style::Name.fitted("short", 100.0), "short");
    }

    #[test]
    fn lines_break_between_words_and_keep_all_of_them() {
        let text = "minute hand inside the rehaut";
        let lines = Style::Name.wrapped(text, 80.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| Style::Name.width(line) <= 80.0));
        assert_eq!(lines.join(" "), text);
    }
}
