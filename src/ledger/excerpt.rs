//! A smaller ledger, cut out of the whole: some parts through time, and no way to the others.

use crate::journal::Build;
use crate::text::Span;

use super::Ledger;

impl Ledger {
    /// A ledger of these parts alone, with what the logs of `builds` call them.
    #[must_use]
    pub fn excerpt<'u>(&self, ids: impl IntoIterator<Item = &'u str>, builds: &[Build]) -> Ledger {
        let units = ids.into_iter().filter_map(|id| Some((id.to_owned(), self.units.get(id)?.clone())));
        let files = builds.iter().flat_map(|build| build.entries.iter().map(|entry| entry.file));
        let within = |file| [0, u32::MAX].map(|at| Span { file, start: at, end: at });
        let subjects = files.flat_map(|file| {
            let [first, last] = within(file);
            self.subjects.range(first..=last).map(|(span, id)| (*span, id.clone()))
        });
        Ledger { units: units.collect(), problems: Vec::new(), subjects: subjects.collect() }
    }
}
