//! Reading a few texts again, where the journal is otherwise as it was.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::text::FileId;

use super::reader::Reader;
use super::{Journal, entry, read_build};

impl Journal {
    /// Takes in new texts of files that were read before, by path. The journal is then what [`super::read`]
    /// makes of the whole folder.
    ///
    /// `false`, and nothing was changed, where that takes reading all of it: a text that was not there, one
    /// that is no build's, or one that makes a part of its own of one of a lot, for any log may name that.
    #[must_use]
    pub fn update(&mut self, texts: &BTreeMap<String, String>) -> bool {
        let mut known = Vec::new();
        for (path, text) in texts {
            let below = path.strip_prefix("builds/").and_then(|below| below.split_once('/'));
            let (Some((slug, _)), Some(file)) = (below, self.files.find(path)) else { return false };
            let splits = entry::may_split(self.files.text(file)) || entry::may_split(text);
            if splits || self.builds.find(slug).is_none() {
                return false;
            }
            known.push((slug.to_owned(), file, text));
        }
        let slugs: BTreeSet<String> = known.iter().map(|(slug, ..)| slug.clone()).collect();
        known.into_iter().for_each(|(_, file, text)| self.files.replace(file, text.as_str()));
        for slug in slugs {
            self.read_again(&slug);
        }
        self.tell();
        true
    }

    fn read_again(&mut self, slug: &str) {
        let Some(at) = self.builds.find(slug) else { return };
        let prefix = format!("builds/{slug}/");
        let own = self.files.ids().map(|file| (file, self.files.path(file)));
        let own = own.filter(|(_, path)| path.starts_with(&prefix));
        let own: Vec<(FileId, String)> = own.map(|(file, path)| (file, path.to_owned())).collect();
        let photos: Vec<String> =
            self.builds[at].photos.iter().map(|photo| format!("{prefix}{photo}")).collect();
        let mut reader = Reader::new(&self.files, &self.settings.tolerances);
        let build = read_build(&mut reader, slug, &own, &photos, &self.kinds);
        let problems = reader.problems;
        if let Some(build) = build {
            self.builds.0[at] = Arc::new(build);
        }
        let by_build = Arc::make_mut(&mut self.by_build);
        by_build.remove(slug);
        if !problems.is_empty() {
            by_build.insert(slug.to_owned(), problems);
        }
    }
}
