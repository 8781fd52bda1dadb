//! Reading a few logs of a journal again, where nothing else has changed.

use std::collections::{BTreeMap, BTreeSet};

use crate::problem::Severity;
use crate::text::FileId;

use super::reader::Reader;
use super::{Journal, entry, read_build, references};

impl Journal {
    /// Takes in new texts of logs that were read before, by path, and answers the slugs of their builds.
    ///
    /// Of the builds and their places it is then what reading all of the folder would give; its
    /// problems are those of before. `None` where that is not enough: a file that was not there, or
    /// one that cannot be read; then the journal is to be read from its folder.
    pub fn read_again(&mut self, texts: BTreeMap<String, String>) -> Option<BTreeSet<String>> {
        let mut slugs = BTreeSet::new();
        let mut splits = false;
        for (path, text) in texts {
            let (slug, _) = path.strip_prefix("builds/")?.split_once('/')?;
            slugs.insert(slug.to_owned());
            let file = self.files.find(&path)?;
            splits |= entry::may_split(self.files.text(file)) || entry::may_split(&text);
            self.files.replace(file, text);
        }
        if splits {
            let kinds = self.parts.iter().map(|(id, part)| (id.clone(), part.kind)).collect();
            let logs = self.files.ids().filter(|file| self.files.path(*file).starts_with("builds/"));
            self.kinds = entry::with_splits(kinds, &self.files, logs);
        }
        for slug in &slugs {
            let prefix = format!("builds/{slug}/");
            let at = self.builds.binary_search_by(|build| build.slug.as_str().cmp(slug)).ok()?;
            let own: Vec<(FileId, String)> = self
                .files
                .ids()
                .map(|file| (file, self.files.path(file)))
                .filter(|(_, path)| path.starts_with(&prefix))
                .map(|(file, path)| (file, path.to_owned()))
                .collect();
            let photos: Vec<String> =
                self.builds[at].photos.iter().map(|photo| format!("{prefix}{photo}")).collect();
            let mut reader = Reader::new(&self.files, &self.settings.tolerances);
            let build = read_build(&mut reader, slug, &own, &photos, &self.kinds)?;
            references::check(&mut reader, &build, &self.kinds);
            if reader.problems.iter().any(|problem| problem.severity == Severity::Error) {
                return None;
            }
            self.builds[at] = build;
        }
        Some(slugs)
    }
}
