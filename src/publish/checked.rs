//! A journal that was read and replayed, and is checked as far as somebody asks.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use crate::fit::assemble::assemble;
use crate::fit::inspect::{self, Report};
use crate::fit::reports::{Filed, Reports};
use crate::fit::standards::Standards;
use crate::journal::{self, Build, Journal};
use crate::ledger::Ledger;
use crate::pages::digest::Digests;
use crate::pages::theme::Theme;
use crate::problem::Problem;

use super::Order;

/// Everything that pages are made of, but for photos and looks.
#[derive(Debug)]
pub struct Checked {
    /// What was read.
    pub journal: Journal,
    /// Where every part has been.
    pub ledger: Ledger,
    /// What every build is judged by.
    pub standards: Arc<Standards>,
    filed: Filed,
    /// What the findings and the pages rest on.
    pub digests: Arc<Digests>,
    /// What is wrong, in no order.
    pub problems: Vec<Problem>,
}

/// The findings of a journal, and what they rest on: enough to know which of them still hold once the
/// journal was read again.
#[derive(Clone, Debug, Default)]
pub struct Judged {
    reports: BTreeMap<String, Arc<Report>>,
    digests: Arc<Digests>,
}

impl Checked {
    /// Reads a journal.
    pub fn read(root: &Path) -> anyhow::Result<Checked> {
        Checked::after(root, None)
    }

    /// Reads a journal again; what was found of builds that rest on the same as `before` holds still, and
    /// the result is that of [`Checked::read`].
    pub fn again(root: &Path, before: &Judged) -> anyhow::Result<Checked> {
        Checked::after(root, Some(before))
    }

    fn after(root: &Path, before: Option<&Judged>) -> anyhow::Result<Checked> {
        let journal = journal::read(journal::folder::read(root)?);
        let ledger = Ledger::of(&journal);
        let (standards, mut problems) = Standards::of(&journal);
        let standards = Arc::new(standards);
        let digests = Digests::of(&journal, &ledger, standards.bands());
        let stands = |build: &Build| {
            let (before, slug) = (before?, &build.slug);
            let same = digests.build(slug).is_some() && before.digests.build(slug) == digests.build(slug);
            before.reports.get(slug).filter(|_| same).cloned()
        };
        let filed = Filed::new(&journal, stands);
        let mut checked =
            Checked { journal, ledger, standards, filed, digests: Arc::new(digests), problems: Vec::new() };
        let Checked { journal, ledger, .. } = &checked;
        let accepting = journal.builds.iter().filter(|build| !build.accept.is_empty());
        let reports = checked.reports();
        let accepting = accepting.filter_map(|build| reports.of(&build.slug));
        problems.extend(inspect::problems(journal, ledger, accepting));
        problems.extend(journal.problems.iter().cloned());
        problems.extend(ledger.problems.iter().cloned());
        checked.problems = problems;
        Ok(checked)
    }

    /// The findings of its builds.
    #[must_use]
    pub fn reports(&self) -> Reports<'_> {
        let as_of = self.ledger.last_day(&self.journal);
        let Checked { journal, ledger, standards, filed, .. } = self;
        Reports { journal, ledger, standards, as_of, filed }
    }

    /// What was found, to be kept until the journal is read again.
    #[must_use]
    pub fn judged(&self) -> Judged {
        Judged { reports: self.filed.made(), digests: Arc::clone(&self.digests) }
    }

    /// Takes in logs that were saved again, where nothing else changed, checks their builds, and answers
    /// their slugs: enough to show the pages of these builds at once. What else the change reaches is
    /// found by [`Checked::again`]. `None` where it takes more than that; what is left then is of no use.
    pub fn glance(&mut self, root: &Path, paths: &BTreeSet<String>) -> Option<BTreeSet<String>> {
        let texts = paths.iter().map(|path| Some((path.clone(), journal::folder::read_one(root, path)?)));
        let texts: Option<BTreeMap<String, String>> = texts.collect();
        let slugs = self.journal.read_again(texts?)?;
        self.ledger.again(&self.journal, &slugs);
        let today = self.ledger.last_day(&self.journal);
        for build in self.journal.builds.iter().filter(|build| slugs.contains(&build.slug)) {
            let watch = assemble(&self.journal, &self.ledger, &self.standards, today, build);
            self.filed.replace(inspect::inspect(&watch));
        }
        Some(slugs)
    }

    /// The theme that the journal asks for.
    pub fn theme(&self, order: &Order) -> anyhow::Result<Theme> {
        let theme = &self.journal.settings.theme;
        let named = self.journal.files.place(theme.span);
        Theme::read(&order.journal, &theme.value, named, order.program.as_deref())
    }
}
