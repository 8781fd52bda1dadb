//! What other programs read: the feed, and the list of all pages.

use crate::pages::feed::{self, Feed, FeedEntry};
use crate::pages::render::{FileKind, SiteFile};
use crate::pages::{log, markdown};

use super::frame::shorten;
use super::maker::Maker;

/// So many entries are in the feed, the latest.
const NEWS: usize = 50;

impl Maker<'_> {
    /// Feed and sitemap, where the journal has an address.
    pub(super) fn for_others(&self, days: &[(String, String)]) -> Vec<SiteFile> {
        let settings = &self.source.journal.settings;
        if settings.address.is_none() || self.input.scope.only.is_some() {
            return Vec::new();
        }
        let data = |path: &str, text: String| SiteFile {
            path: path.to_owned(),
            bytes: text.into_bytes(),
            kind: FileKind::Data,
        };
        let pages: Vec<(String, Option<String>)> = days
            .iter()
            .map(|(path, day)| {
                let url = if *path == self.source.addresses.home { self.whole("") } else { self.whole(path) };
                (url, Some(day.clone()).filter(|day| !day.is_empty()))
            })
            .collect();
        let feed = Feed {
            title: settings.title.clone(),
            home: self.whole(""),
            url: self.whole("feed.xml"),
            author: settings.author.clone().unwrap_or_default(),
            language: settings.language.clone(),
            entries: self.news(),
        };
        vec![data("feed.xml", feed::atom(&feed)), data("sitemap.xml", feed::sitemap(&pages))]
    }

    fn news(&self) -> Vec<FeedEntry> {
        let mut entries = Vec::new();
        for build in self.builds {
            for entry in &build.entries {
                let key = (build.slug.clone(), entry.name.clone());
                let Some(path) = self.source.addresses.entries.get(&key) else { continue };
                entries.push((entry.date.value.to_string(), self.whole(path), build, entry));
            }
        }
        entries.sort_by(|(a, a_url, ..), (b, b_url, ..)| b.cmp(a).then_with(|| a_url.cmp(b_url)));
        entries.truncate(NEWS);
        let told = entries.into_iter().map(|(date, url, build, entry)| FeedEntry {
            url,
            title: format!("{}: {}", build.title, log::title(entry)),
            date,
            summary: shorten(&markdown::plain(self.source.journal.files.cut(entry.text)), 300),
            html: String::new(),
        });
        told.collect()
    }
}
