//! Sites made in memory, for tests that look at every file of them.

use std::collections::BTreeMap;

use endshake::journal::Journal;
use endshake::journal::folder::Folder;
use endshake::pages::addresses::Scope;
use endshake::pages::album::{Album, Sizes};
use endshake::pages::render::SiteFile;
use endshake::pages::theme::Theme;
use endshake::pages::{Input, Results, all};
use endshake::problem::Problem;
use endshake::session::Session;
use std::path::Path;
use std::sync::Mutex;

use crate::markup;

/// How a site is made.
pub(crate) struct Look {
    pub(crate) theme: &'static str,
    pub(crate) private: bool,
}

impl Default for Look {
    fn default() -> Look {
        Look { theme: "linen", private: false }
    }
}

/// A site, by path.
pub(crate) struct Made {
    pub(crate) journal: Journal,
    pub(crate) files: BTreeMap<String, String>,
    pub(crate) problems: Vec<Problem>,
}

/// Makes the site of a journal; its photos stand under made-up names.
pub(crate) fn made(folder: Folder, look: &Look) -> Made {
    let photos: BTreeMap<String, Sizes> = folder
        .photos
        .iter()
        .enumerate()
        .map(|(at, path)| {
            let file = |width: u32| (format!("photos/{at:032x}-{width}.jpg"), width, width * 3 / 4);
            (
                path.clone(),
                Sizes { files: vec![file(400), file(800)], share: Some(file(1200)), ..Sizes::default() },
            )
        })
        .collect();
    let session = Session::of(Path::new("."), folder);
    let mut problems = session.problems();
    let album = Album::new(photos);
    let theme = Theme::built_in(look.theme).unwrap();
    let files = Mutex::new(BTreeMap::new());
    let put = |file: SiteFile| {
        files.lock().unwrap().insert(file.path, file.bytes);
        Ok(())
    };
    let input = Input {
        journal: session.journal(),
        ledger: session.ledger(),
        reports: session.reports(),
        album: &album,
        theme: &theme,
        scope: Scope { only: None, private: look.private },
        results: &Results::default(),
        stands: &|_| false,
    };
    let pages = all(&input, &put).unwrap();
    problems.extend(pages.problems);
    let text = [".html", ".xml", ".js", ".svg", ".css"];
    let files = files.into_inner().unwrap();
    let files = files
        .into_iter()
        .filter(|(path, _)| text.iter().any(|end| path.ends_with(end)))
        .map(|(path, bytes)| (path, String::from_utf8(bytes).unwrap()))
        .collect();
    Made { journal: session.journal().clone(), files, problems }
}

impl Made {
    /// Whatever acts on a page, asks another host, or is no XML or no data where it should be.
    pub(crate) fn faults(&self, links: &dyn Fn(&str) -> bool) -> Vec<String> {
        let mut out = Vec::new();
        for (path, text) in &self.files {
            if path.ends_with(".html") {
                let found = markup::faults(&markup::read(text), links);
                out.extend(found.into_iter().map(|fault| format!("{path}: {fault}")));
            } else if path.ends_with(".xml") {
                if let Err(error) = roxmltree::Document::parse(text) {
                    out.push(format!("{path} is no XML: {error}"));
                }
            } else if path.starts_with("search/") && !path.ends_with(".html") {
                out.extend(called(text).err().map(|fault| format!("{path}: {fault}")));
            }
        }
        out
    }
}

/// A script of data is one call of one of two names, with nothing but JSON in it.
fn called(script: &str) -> Result<(), String> {
    let call = script.trim_end().strip_suffix(");").ok_or("it does not end with a call")?;
    let inner = ["endshakePages(", "endshakeWords("].iter().find_map(|name| call.strip_prefix(name));
    let inner = inner.ok_or("it is no call that is known")?;
    if script.contains(['\u{2028}', '\u{2029}']) {
        return Err("older engines end a line in it".into());
    }
    serde_json::from_str::<serde_json::Value>(&format!("[{inner}]"))
        .map(|_| ())
        .map_err(|error| error.to_string())
}
