//! The search index: classic scripts that assign, read by a script tag when search is used.
//!
//! `search/pages.js` has the pages; `search/a.js` and so on have the words that begin with that
//! letter or digit, `search/_.js` all others. A page is found by the beginnings of its words, and
//! accents do not count.

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::markup::fold;
use super::render::{FileKind, SiteFile};

/// What can be found.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Searchable {
    /// The page's path in the site, with an anchor where that helps.
    pub path: String,
    /// Its title.
    pub title: String,
    /// What it is: build, entry, part, check.
    pub kind: String,
    /// Where it belongs, as the build's title; empty for nothing.
    pub of: String,
    /// Words that count most: title, id, names.
    pub names: String,
    /// All its other words.
    pub text: String,
}

/// How much of a page's text is shown with a hit.
const SHOWN: usize = 140;

/// Words longer than this are cut; nobody types more.
const LONGEST_WORD: usize = 24;

/// The index of `pages`; the same pages give the same bytes.
#[must_use]
pub fn index(pages: &[Searchable]) -> Vec<SiteFile> {
    // For every word the pages that have it, in their order: as it stands one that has the word in its
    // names, as its complement, below zero, one that has it in its text.
    let mut words: BTreeMap<String, Vec<i64>> = BTreeMap::new();
    let each: Vec<BTreeMap<String, bool>> = pages.par_iter().map(words_of).collect();
    for (at, of_page) in (0..).zip(each) {
        for (word, named) in of_page {
            words.entry(word).or_default().push(if named { at } else { -1 - at });
        }
    }
    let mut shards: BTreeMap<char, Vec<serde_json::Value>> = BTreeMap::new();
    for (word, found) in words {
        let first = word.chars().next().filter(char::is_ascii_alphanumeric).unwrap_or('_');
        shards.entry(first).or_default().push(json!([word, found]));
    }
    let listed: Vec<_> = pages
        .iter()
        .map(|page| json!([page.path, page.title, page.kind, page.of, shorten(&page.text)]))
        .collect();
    let firsts: String = shards.keys().collect();
    let mut files = vec![file("pages", &format!("endshakePages({},{});\n", json!(firsts), json!(listed)))];
    for (first, words) in shards {
        files.push(file(&first.to_string(), &format!("endshakeWords({},{});\n", json!(first), json!(words))));
    }
    files
}

/// The words of a page, and whether they stand in its names.
fn words_of(page: &Searchable) -> BTreeMap<String, bool> {
    let text = words(&page.text).into_iter().map(|word| (word, false));
    let names = words(&format!("{} {}", page.title, page.names)).into_iter().map(|word| (word, true));
    text.chain(names).collect()
}

/// The words of a text as they are looked up: folded; a figure such as 27.10 or an id such as
/// mv-0031 is one word and its pieces as well.
#[must_use]
pub fn words(text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let folded = fold(text).replace('\u{2212}', "-");
    for run in folded.split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | '-' | '_'))) {
        let run = run.trim_matches(|c: char| !c.is_alphanumeric());
        if run.is_empty() {
            continue;
        }
        out.push(run.chars().take(LONGEST_WORD).collect());
        let figure = run.contains('.') && run.chars().all(|c| c.is_ascii_digit() || c == '.');
        if !figure {
            let pieces =
                run.split(['.', '-', '_']).filter(|piece| !piece.is_empty() && piece.len() < run.len());
            out.extend(pieces.map(|piece| piece.chars().take(LONGEST_WORD).collect()));
        }
    }
    out
}

fn shorten(text: &str) -> String {
    if text.chars().count() <= SHOWN {
        return text.to_owned();
    }
    let cut: String = text.chars().take(SHOWN).collect();
    let cut = cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole);
    format!("{cut}…")
}

fn file(name: &str, script: &str) -> SiteFile {
    // Valid JSON is valid script since 2019; older engines end a line at these two.
    let script = script.replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    SiteFile { path: format!("search/{name}.js"), bytes: script.into_bytes(), kind: FileKind::Data }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_folded_and_ids_come_in_pieces_too() {
        assert_eq!(words("Café, mv-0031: 27.10 mm."), ["cafe", "mv-0031", "mv", "0031", "27.10", "mm"]);
        assert_eq!(words("−0.25 (–)"), ["0.25"]);
    }

    #[test]
    fn the_index_is_sharded_by_first_letter() {
        let pages = [Searchable {
            path: "builds/lantern.html".to_owned(),
            title: "Lantern".to_owned(),
            kind: "build".to_owned(),
            text: "An amber dial. Öl.".to_owned(),
            ..Searchable::default()
        }];
        let files = index(&pages);
        let paths: Vec<_> = files.iter().map(|file| file.path.as_str()).collect();
        assert_eq!(paths, ["search/pages.js", "search/a.js", "search/d.js", "search/l.js", "search/o.js"]);
        assert_eq!(files[1].bytes, b"endshakeWords(\"a\",[[\"amber\",[-1]],[\"an\",[-1]]]);\n");
        assert_eq!(files[3].bytes, b"endshakeWords(\"l\",[[\"lantern\",[0]]]);\n");
    }
}
