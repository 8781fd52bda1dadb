//! The sheet: elements of SVG as text, escaped words and no style attribute.
//!
//! Every coordinate goes through [`Px`], which keeps one decimal and turns whatever is not finite
//! into zero, so that no drawing can carry a NaN. Colour and weight are classes; their meaning is in
//! the theme's drawings.css.

use std::fmt::{self, Write};

use super::numbers::Px;
use super::path::Path;

/// A text as it may stand in an element or in a quoted attribute: escaped, and without the control
/// characters that XML cannot hold.
fn escape(text: &str) -> String {
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

/// What has been drawn so far.
#[derive(Clone, Default, Debug)]
pub(crate) struct Sheet {
    body: String,
}

impl Sheet {
    /// A path of one class, or of several with spaces between; an empty path draws nothing.
    pub(crate) fn path(&mut self, class: &str, path: &Path) {
        if !path.is_empty() {
            let _ = write!(self.body, "<path class=\"{class}\" d=\"{}\"/>", path.data());
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
    fn words_are_escaped() {
        assert_eq!(escape("<b>\"a\" & 'b'\u{0}\n"), "&lt;b&gt;&quot;a&quot; &amp; &#39;b&#39; ");
    }
}
