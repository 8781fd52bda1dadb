//! Headline figures as dimension lines at one scale: 42.5 is longer than 35.5 because it is.

use crate::draw::drafting::arrow;
use crate::draw::svg::{Anchor, Path, Sheet, Style, figure};
use crate::draw::watch::Headline;

/// px for a millimetre in [`headline`].
const SCALE: f64 = 4.4;
/// A line longer than this would leave the drawing: it is broken and not to scale.
const LONGEST: f64 = 56.0;

impl Headline {
    fn rows(&self) -> [(Option<f64>, &'static str); 4] {
        [
            (self.lug_to_lug, "lug to lug"),
            (self.diameter, "diameter"),
            (self.lug_width, "between the lugs"),
            (self.thickness, "thick"),
        ]
    }

    /// The figures in one sentence.
    pub fn words(&self) -> String {
        let rows = self.rows();
        let told: Vec<String> = rows
            .iter()
            .map(|(value, name)| match value.filter(|v| v.is_finite()) {
                Some(value) => format!("{name} {}", figure(value, 1)),
                None => format!("{name} not known"),
            })
            .collect();
        let mut out = format!("{} millimetres", told.join(", "));
        if let Some(bare) = self.without_crystal.filter(|v| v.is_finite()) {
            out += &format!("; {} without the crystal", figure(bare, 2));
        }
        out
    }
}

/// The four headline figures, each over its own length, for a build's page.
pub fn headline(headline: &Headline) -> String {
    let mut sheet = Sheet::default();
    let widest = rows(&mut sheet, headline, SCALE, 31.0, true);
    sheet.labelled("hd", widest.max(300.0), 31.0 * 4.0 + 4.0, &headline.words())
}

/// The same, closer together, for a row of the gallery.
pub fn gallery_headline(headline: &Headline) -> String {
    let mut sheet = Sheet::default();
    let widest = rows(&mut sheet, headline, 4.0, 27.0, false);
    sheet.labelled("fg", widest.max(302.0), 27.0 * 4.0 + 4.0, &headline.words())
}

/// Draws the rows and tells how far right they reach.
fn rows(sheet: &mut Sheet, headline: &Headline, scale: f64, pitch: f64, bare: bool) -> f64 {
    let mut widest: f64 = 0.0;
    for (i, (value, name)) in headline.rows().into_iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "four rows")]
        let y = pitch * i as f64 + 12.0;
        let mut name = name.to_owned();
        if bare
            && i == 3
            && let Some(without) = headline.without_crystal.filter(|v| v.is_finite())
        {
            name += &format!(", {} without the crystal", figure(without, 2));
        }
        let Some(value) = value.filter(|v| v.is_finite() && *v > 0.0) else {
            sheet.line("u", 0.0, y, 40.0, y);
            let text = format!("{name}: not known yet");
            sheet.text("q", 48.0, y + 5.0, Anchor::Start, &text);
            widest = widest.max(48.0 + Style::Name.width(&text));
            continue;
        };
        let end = value.min(LONGEST) * scale + 0.5;
        let text = figure(value, 1);
        let room = Style::Overall.width(&text) + 12.0;
        let mut line = Path::default();
        line.to(0.5, y - 7.0).line(0.5, y + 7.0).to(end, y - 7.0).line(end, y + 7.0);
        let inside = end > room + 60.0;
        if inside {
            // The line breaks for its figure.
            let middle = f64::midpoint(0.5, end);
            line.to(0.5, y).line(middle - room / 2.0, y).to(middle + room / 2.0, y).line(end, y);
            sheet.text("big", middle, y + 5.5, Anchor::Middle, &text);
        } else {
            line.to(0.5, y).line(end, y);
        }
        if value > LONGEST {
            line.to(end - 26.0, y - 5.0)
                .line(end - 30.0, y + 5.0)
                .to(end - 22.0, y - 5.0)
                .line(end - 26.0, y + 5.0);
        }
        sheet.path("x", &line);
        let mut arrows = Path::default();
        if end >= 17.0 {
            arrow(&mut arrows, (0.5, y), (-1.0, 0.0));
            arrow(&mut arrows, (end, y), (1.0, 0.0));
        }
        sheet.path("r", &arrows);
        let mut x = end + 9.0;
        if !inside {
            sheet.text("big", x, y + 5.5, Anchor::Start, &text);
            x += Style::Overall.width(&text) + 7.0;
        }
        sheet.text("q", x, y + 5.0, Anchor::Start, &name);
        widest = widest.max(x + Style::Name.width(&name) + 1.0);
    }
    widest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{texts_apart, well_formed};
    use proptest::prelude::*;

    fn lantern() -> Headline {
        Headline {
            lug_to_lug: Some(42.5),
            diameter: Some(35.5),
            lug_width: Some(18.0),
            thickness: Some(10.1),
            without_crystal: Some(9.85),
        }
    }

    #[test]
    fn lines_are_as_long_as_the_figures_say() {
        let svg = headline(&lantern());
        // The second tick of each row stands at value x 4.4 + 0.5.
        for x in ["187.5", "156.7", "79.7", "44.9"] {
            assert!(svg.contains(&format!("M{x} ")), "{x} in {svg}");
        }
        assert!(svg.contains("lug to lug 42.5, diameter 35.5"));
    }

    #[test]
    fn what_is_not_known_is_dashed_and_named() {
        let svg = headline(&Headline { thickness: None, ..lantern() });
        assert!(svg.contains("class=\"u\"") && svg.contains("not known yet"));
    }

    proptest! {
        #[test]
        fn any_figures_stand_apart(values in prop::array::uniform5(prop::option::of(prop_oneof![
            0.0..60.0f64, any::<f64>()
        ]))) {
            let any = Headline {
                lug_to_lug: values[0], diameter: values[1], lug_width: values[2],
                thickness: values[3], without_crystal: values[4],
            };
            for svg in [headline(&any), gallery_headline(&any)] {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
