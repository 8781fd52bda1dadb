//! How a part's sizes changed, one after the other.

use jiff::civil::DateTime;

use crate::journal::{Content, Spec};

use super::{Change, Unit};

/// A change and every field that it set, as written.
#[derive(Clone, Debug)]
pub struct ChangeRecord<'a> {
    /// The change.
    pub change: &'a Change,
    /// The fields.
    pub steps: Vec<FieldChange<'a>>,
}

/// One field of a part before and after a change.
#[derive(Clone, Debug)]
pub struct FieldChange<'a> {
    /// The field.
    pub path: &'a str,
    /// What was known before; `None` where nothing was.
    pub before: Option<Content>,
    /// What is known since.
    pub after: &'a Content,
}

impl Unit {
    /// Every change in order of time, with what it changed, up to `until` (`None`: all).
    pub fn changed(&self, until: Option<DateTime>) -> Vec<ChangeRecord<'_>> {
        let mut known: Spec = self.came.clone();
        // How high a hand is seated was measured on one movement, and was nothing else on another.
        let (mut seated_in, per_build) = ("", self.kind.name == "hand");
        let mut out = Vec::new();
        for change in self.changes.iter().filter(|change| until.is_none_or(|until| change.when.at < until)) {
            let steps = change.sizes.iter().map(|(path, content)| FieldChange {
                path,
                before: known
                    .get(path)
                    .filter(|_| !per_build || path != "seated" || seated_in == change.build)
                    .map(|content| content.value.clone()),
                after: &content.value,
            });
            out.push(ChangeRecord { change, steps: steps.collect() });
            known.merge(&change.sizes);
            if change.sizes.get("seated").is_some() {
                seated_in = &change.build;
            }
        }
        out
    }
}
