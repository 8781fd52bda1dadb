//! The pen: elements of SVG as text, with short numbers, escaped words and no style attribute.
//!
//! Every coordinate goes through [`Px`], which keeps one decimal and turns whatever is not finite
//! into zero, so that no drawing can carry a NaN. Colour and weight are classes; their meaning is in
//! the theme's drawings.css.

use std::fmt::{self, Write};

/// A coordinate in px of the drawing, written with one decimal at most.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Px(pub(crate) f64);

/// Nothing is drawn further out than this; a coordinate beyond it comes from an absurd figure.
const FARTHEST: f64 = 9_999.0;

impl Px {
    /// In tenths of a px, as it is written.
    fn tenths(self) -> i64 {
        if !self.0.is_finite() {
            return 0;
        }
        // Within +-99 990, so the conversion is exact.
        #[expect(clippy::cast_possible_truncation, reason = "clamped and rounded just before")]
        let tenths = (self.0.clamp(-FARTHEST, FARTHEST) * 10.0).round() as i64;
        tenths
    }
}

impl fmt::Display for Px {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&tenths(self.tenths()))
    }
}

/// `-5` tenths as `-.5`: a zero before the point costs a byte and says nothing.
fn tenths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let (whole, rest) = (value.abs() / 10, value.abs() % 10);
    match (whole, rest) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}.{rest}"),
        _ => format!("{sign}{whole}.{rest}"),
    }
}

/// A text as it may stand in an element or in a quoted attribute: escaped, and without the control
/// characters that XML cannot hold.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' | '\r' => out.push(' '),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}

/// A figure for people: fixed decimals, a real minus sign, never `-0.00`. An absurd one stays short and
/// true: `>9999`.
pub(crate) fn figure(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "\u{2014}".to_owned();
    }
    if value.abs() >= 10_000.0 {
        return if value < 0.0 { "<\u{2212}9999".to_owned() } else { ">9999".to_owned() };
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// Which end of a text its x stands for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn attribute(self) -> &'static str {
        match self {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        }
    }
}

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

/// What has been drawn so far.
#[derive(Clone, Default, Debug)]
pub(crate) struct Sheet {
    body: String,
}

impl Sheet {
    /// A path of one class, or of several with spaces between; an empty path draws nothing.
    pub(crate) fn path(&mut self, class: &str, path: &Path) {
        if !path.is_empty() {
            let _ = write!(self.body, "<path class=\"{class}\" d=\"{}\"/>", path.data);
        }
    }

    /// A closed polygon.
    pub(crate) fn polygon(&mut self, class: &str, points: &[(f64, f64)]) {
        self.path(class, Path::default().polygon(points));
    }

    /// A straight line.
    pub(crate) fn line(&mut self, class: &str, x1: f64, y1: f64, x2: f64, y2: f64) {
        self.path(class, Path::default().to(x1, y1).line(x2, y2));
    }

    /// The rectangle between two corners.
    pub(crate) fn rect(&mut self, class: &str, x1: f64, y1: f64, x2: f64, y2: f64) {
        self.path(class, Path::default().rect(x1, y1, x2, y2));
    }

    /// A circle; one without a radius draws nothing.
    pub(crate) fn circle(&mut self, class: &str, x: f64, y: f64, r: f64) {
        let r = Px(r);
        if r.tenths() > 0 {
            let _ =
                write!(self.body, "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{r}\"/>", Px(x), Px(y));
        }
    }

    /// A text on its baseline.
    pub(crate) fn text(&mut self, class: &str, x: f64, y: f64, anchor: Anchor, text: &str) {
        let _ = write!(
            self.body,
            "<text{} x=\"{}\" y=\"{}\"{}>{}</text>",
            Class(class),
            Px(x),
            Px(y),
            anchor.attribute(),
            escape(text)
        );
    }

    /// A text that reads upwards, centred on the point.
    pub(crate) fn text_up(&mut self, class: &str, x: f64, y: f64, text: &str) {
        let (x, y) = (Px(x), Px(y));
        let _ = write!(
            self.body,
            "<text{} x=\"{x}\" y=\"{y}\" text-anchor=\"middle\" transform=\"rotate(-90 {x} {y})\">{}</text>",
            Class(class),
            escape(text)
        );
    }

    /// One of the page's symbols, `size` px wide and high, by its upper left corner.
    pub(crate) fn symbol(&mut self, class: &str, id: &str, x: f64, y: f64, size: f64) {
        let size = Px(size);
        let _ = write!(
            self.body,
            "<use href=\"#{id}\"{} x=\"{}\" y=\"{}\" width=\"{size}\" height=\"{size}\"/>",
            Class(class),
            Px(x),
            Px(y)
        );
    }

    /// One of the page's pieces as it stands there, moved `x` px to the right.
    pub(crate) fn refer(&mut self, id: &str, x: f64) {
        let _ = match Px(x) {
            x if x.tenths() == 0 => write!(self.body, "<use href=\"#{id}\"/>"),
            x => write!(self.body, "<use href=\"#{id}\" x=\"{x}\"/>"),
        };
    }

    /// A frame with its own coordinates from its upper left corner; what reaches beyond it is not seen.
    pub(crate) fn window(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), inner: &Sheet) {
        let (width, height) = (width.max(0.0), height.max(0.0));
        let _ = write!(
            self.body,
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\">{}</svg>",
            Px(x),
            Px(y),
            Px(width),
            Px(height),
            inner.body
        );
        self.rect("f", x, y, x + width, y + height);
    }

    /// The drawing for the eye alone: the same figures stand beside it as text.
    pub(crate) fn ornament(&self, class: &str, width: f64, height: f64) -> String {
        format!(
            "<svg class=\"dw {class}\" viewBox=\"0 0 {} {}\" aria-hidden=\"true\">{}</svg>",
            Px(width),
            Px(height),
            self.body
        )
    }

    /// The same at the size that the theme gives its class.
    pub(crate) fn unscaled(&self, class: &str) -> String {
        format!("<svg class=\"dw {class}\" aria-hidden=\"true\">{}</svg>", self.body)
    }

    /// The drawing with its figures in one sentence.
    pub(crate) fn labelled(&self, class: &str, width: f64, height: f64, label: &str) -> String {
        format!(
            "<svg class=\"dw {class}\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">{}</svg>",
            Px(width),
            Px(height),
            escape(label),
            self.body
        )
    }

    /// The drawing for a phone of what another one on the page shows wide: that one's title and
    /// description, found by its `prefix`, are this one's too.
    pub(crate) fn described_by_wide(&self, prefix: &str, width: f64, height: f64) -> String {
        let id = escape(prefix);
        format!(
            "<svg class=\"dw narrow\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{id}-t\" \
             aria-describedby=\"{id}-d\">{}</svg>",
            Px(width),
            Px(height),
            self.body
        )
    }

    /// The drawing with a title and a longer description. `prefix` makes its ids the page's own.
    pub(crate) fn described(&self, frame: &Frame<'_>) -> String {
        let id = escape(frame.prefix);
        format!(
            "<svg class=\"dw {}\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{id}-t\" \
             aria-describedby=\"{id}-d\"><title id=\"{id}-t\">{}</title><desc id=\"{id}-d\">{}</desc>{}</svg>",
            frame.class,
            Px(frame.width),
            Px(frame.height),
            escape(frame.title),
            escape(frame.description),
            self.body
        )
    }
}

/// What stands around a drawing with a description.
pub(crate) struct Frame<'a> {
    /// Before every id of the drawing, so that two drawings on one page do not clash.
    pub(crate) prefix: &'a str,
    pub(crate) class: &'a str,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) title: &'a str,
    pub(crate) description: &'a str,
}

/// The class attribute, left out where there is none.
struct Class<'a>(&'a str);

impl fmt::Display for Class<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.is_empty() { Ok(()) } else { write!(f, " class=\"{}\"", self.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_finite() {
        let written = |v| Px(v).to_string();
        assert_eq!(written(0.04), "0");
        assert_eq!(written(-0.04), "0");
        assert_eq!(written(-0.5), "-.5");
        assert_eq!(written(12.34), "12.3");
        assert_eq!(written(f64::NAN), "0");
        assert_eq!(written(f64::INFINITY), "0");
        assert_eq!(written(1e300), "9999");
    }

    #[test]
    fn figures_have_a_real_minus_and_no_negative_zero() {
        assert_eq!(figure(-1.28, 2), "\u{2212}1.28");
        assert_eq!(figure(-0.001, 2), "0.00");
        assert_eq!(figure(0.0, 3), "0.000");
        assert_eq!(figure(f64::NAN, 2), "\u{2014}");
        assert_eq!(figure(-1e300, 2), "<\u{2212}9999");
    }

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

    #[test]
    fn words_are_escaped() {
        assert_eq!(escape("<b>\"a\" & 'b'\u{0}\n"), "&lt;b&gt;&quot;a&quot; &amp; &#39;b&#39; ");
    }
}
