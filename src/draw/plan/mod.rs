//! The plan: the watch from the front, to scale, with what is measured across it.

mod case;
mod dial;
mod hands;
mod labels;
mod layout;
mod notes;

use self::layout::Plan;
use crate::draw::svg::{Frame, Path, Sheet};
use crate::draw::watch::DrawnWatch;
use crate::fit::verdict::Verdict;

/// The plan for a page, labels beside it. `prefix` goes before its ids.
pub fn plan(watch: &DrawnWatch, prefix: &str) -> String {
    Plan::new(watch, false).draw(prefix)
}

/// The plan for a phone, 330 px wide, with numbers in place of labels: their words are
/// [`plan_key`]'s, in the same order. Title and description are those of the plan with that `prefix`.
pub fn narrow_plan(watch: &DrawnWatch, prefix: &str) -> String {
    Plan::new(watch, true).draw(prefix)
}

/// Width and height of [`front`] in px, the shape of most photos.
const FRONT: (f64, f64) = (320.0, 240.0);

/// px for a millimetre in [`front`], so that watches beside each other compare; less only for one that
/// would not go in.
const FRONT_SCALE: f64 = 4.4;

/// The watch from the front without labels, to stand where there is no photo of it yet.
pub fn front(watch: &DrawnWatch) -> String {
    let mut plan = Plan::new(watch, true);
    let tall = (plan.half - 18.0) / plan.scale;
    plan.scale = FRONT_SCALE.min((FRONT.1 / 2.0 - 8.0) / tall.max(1.0));
    plan.middle = (FRONT.0 / 2.0, FRONT.1 / 2.0);
    let mut sheet = Sheet::default();
    plan.watch(&mut sheet);
    plan.windows(&mut sheet);
    plan.hands(&mut sheet);
    sheet.labelled(
        "front",
        FRONT.0,
        FRONT.1,
        &format!("No photo yet: {} from the front, drawn from its measurements", watch.name),
    )
}

/// A numbered line of the plan's key.
#[derive(Clone, PartialEq, Debug)]
pub struct KeyLine {
    /// The number in the narrow plan.
    pub number: usize,
    /// What it is, with its figure.
    pub name: String,
    /// What is to be said of it; empty for nothing.
    pub note: String,
    /// Its verdict, where it has one.
    pub verdict: Option<Verdict>,
}

/// The words for the numbers of the narrow plan.
pub fn plan_key(watch: &DrawnWatch) -> Vec<KeyLine> {
    let plan = Plan::new(watch, true);
    plan.notes()
        .into_iter()
        .enumerate()
        .map(|(i, note)| KeyLine { number: i + 1, name: note.name, note: note.more, verdict: note.verdict })
        .collect()
}

/// What the plan shows, in words.
pub fn plan_words(watch: &DrawnWatch) -> String {
    let mut out = String::from("Seen from the front, to scale.");
    for line in plan_key(watch) {
        out += &format!(" {}", capital(&line.name));
        if !line.note.is_empty() {
            out += &format!(", {}", line.note);
        }
        if let Some(verdict) = line.verdict {
            out += &format!(": {}", verdict.word());
        }
        out.push('.');
    }
    out
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

impl Plan<'_> {
    fn draw(&self, prefix: &str) -> String {
        let mut sheet = Sheet::default();
        self.watch(&mut sheet);
        self.sweeps(&mut sheet);
        self.feet(&mut sheet);
        self.windows(&mut sheet);
        let reach = self.case.map_or(self.dial.mm, |case| case.mm);
        let (x, y) = self.middle;
        let mut axes = Path::default();
        axes.to(x - reach * self.scale - 10.0, y).line(x + reach * self.scale + 10.0, y);
        axes.to(x, y - self.half + 10.0).line(x, y + self.half - 10.0);
        sheet.path("k", &axes);
        self.hands(&mut sheet);
        let notes = self.notes();
        let below =
            if self.narrow { self.numbers(&mut sheet, &notes) } else { self.labels(&mut sheet, &notes) };
        let height = self.frame(&mut sheet, below);
        if self.narrow {
            return sheet.described_by_wide(prefix, self.width, height);
        }
        sheet.described(&Frame {
            prefix,
            class: "wide",
            width: self.width,
            height,
            title: &format!("{}, plan to scale", self.watch.name),
            description: &plan_words(self.watch),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{any_watch, lantern, texts_apart, well_formed};
    use proptest::prelude::*;

    #[test]
    fn circles_are_to_scale() {
        let watch = lantern();
        let svg = plan(&watch, "p");
        let scale = Plan::new(&watch, false).scale;
        for (what, diameter) in [("dial", 27.1), ("as it came", 28.5), ("case", 35.5), ("minute", 24.0)] {
            let r = crate::draw::svg::Px(diameter / 2.0 * scale).to_string();
            assert!(svg.contains(&format!("r=\"{r}\"")), "{what} {r}");
        }
    }

    #[test]
    fn the_key_tells_what_the_numbers_stand_for() {
        let key = plan_key(&lantern());
        let numbers: Vec<usize> = key.iter().map(|line| line.number).collect();
        assert_eq!(numbers, (1..=key.len()).collect::<Vec<_>>());
        let dial = key.iter().find(|line| line.name == "dial 27.10").unwrap();
        assert_eq!((dial.note.as_str(), dial.verdict), ("in a seat of 27.22", Some(Verdict::Clear)));
        assert!(key.iter().any(|line| line.name == "foot 1, cut off"));
        let svg = narrow_plan(&lantern(), "n");
        for line in &key {
            assert!(svg.contains(&format!(">{}<", line.number)), "{}", line.number);
        }
    }

    #[test]
    fn the_front_goes_into_its_frame_at_the_scale_of_all() {
        // 35.5 across at 4.4 px for a millimetre.
        assert!(front(&lantern()).contains("cx=\"160\" cy=\"120\" r=\"78.1\""));
        let mut large = lantern();
        large.case.as_mut().unwrap().lug_to_lug = Some(70.0);
        // 70 from lug to lug on 224 px.
        assert!(front(&large).contains("r=\"56.8\""), "{}", front(&large));
    }

    #[test]
    fn the_crown_stands_where_the_case_has_it() {
        let mut watch = lantern();
        watch.case.as_mut().unwrap().crown_at = Some(120.0);
        let key = plan_key(&watch);
        assert!(key.iter().any(|line| line.name == "crown at 4h"));
    }

    #[test]
    fn a_plan_is_light() {
        let (wide, narrow) = (plan(&lantern(), "p").len(), narrow_plan(&lantern(), "n").len());
        assert!(wide < 7_500 && narrow < 6_500, "{wide} {narrow}");
    }

    proptest! {
        #[test]
        fn any_watch_is_drawn_and_its_labels_stand_apart(watch in any_watch()) {
            for svg in [plan(&watch, "p"), narrow_plan(&watch, "n"), front(&watch)] {
                well_formed(&svg);
                texts_apart(&svg);
            }
        }
    }
}
