//! How a part's sizes changed, one after the other.

use jiff::civil::DateTime;

use crate::journal::{Content, Spec};

use super::{Change, Unit};

/// One field of a part before and after a change.
#[derive(Clone, Debug)]
pub struct Step<'a> {
    /// The change.
    pub change: &'a Change,
    /// The field.
    pub path: &'a str,
    /// What was known before; `None` where nothing was.
    pub before: Option<Content>,
    /// What is known since.
    pub after: &'a Content,
}

impl Unit {
    /// Every field that a change set, in order of time, up to `until` (`None`: all).
    pub fn steps(&self, until: Option<DateTime>) -> Vec<Step<'_>> {
        let mut known: Spec = self.came.clone();
        let mut out = Vec::new();
        for change in self.changes.iter().filter(|change| until.is_none_or(|until| change.when.at < until)) {
            for (path, content) in change.sizes.iter() {
                let before = known.get(path).map(|content| content.value.clone());
                out.push(Step { change, path, before, after: &content.value });
            }
            known.merge(&change.sizes);
        }
        out
    }
}
