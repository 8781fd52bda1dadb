//! The search index: classic scripts that assign, read by a script tag when search is used.
//!
//! `search/pages.js` has the pages; `search/a.js` and so on have the words that begin with that
//! letter or digit, `search/_.js` all others. A page is found by the beginnings of its words, and
//! accents do not count.

use rayon::prelude::*;
use rustc_hash::FxHashMap;
use serde::{Deserialize, Serialize};

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
    let names_and_text =
        |page: &Searchable| [folded(&format!("{} {}", page.title, page.names)), folded(&page.text)];
    let folded: Vec<[String; 2]> = pages.par_iter().map(names_and_text).collect();
    let piece = folded.len().div_ceil(rayon::current_num_threads()).max(1);
    let pieces = folded.par_chunks(piece).enumerate().map(|(nth, some)| {
        let mut found = Found::default();
        for (at, [names, text]) in (nth * piece..).zip(some) {
            words_in(names).for_each(|word| found.take(word, at as i64));
            words_in(text).for_each(|word| found.take(word, -1 - at as i64));
        }
        found
    });
    let mut words = Found::default();
    pieces.collect::<Vec<Found<'_>>>().into_iter().for_each(|piece| words.append(piece));
    let mut words = words.words;
    words.par_sort_unstable_by_key(|(word, _)| (shard(word), *word));
    let shards: Vec<_> = words.chunk_by(|a, b| shard(a.0) == shard(b.0)).collect();
    let firsts: String = shards.iter().map(|words| shard(words[0].0)).collect();
    let listed: Vec<_> = pages
        .iter()
        .map(|page| (&page.path, &page.title, &page.kind, &page.of, shorten(&page.text)))
        .collect();
    let mut files = vec![file("pages", &format!("endshakePages({},{});\n", json(&firsts), json(&listed)))];
    files.par_extend(shards.par_iter().map(|words| {
        let first = shard(words[0].0).to_string();
        file(&first, &format!("endshakeWords({},{});\n", json(&first), json(words)))
    }));
    files
}

/// What is only texts and numbers, which can always be written.
fn json(data: &(impl Serialize + ?Sized)) -> String {
    serde_json::to_string(data).unwrap_or_default()
}

/// The shard that a word is looked up in.
fn shard(word: &str) -> char {
    word.chars().next().filter(char::is_ascii_alphanumeric).unwrap_or('_')
}

/// Words in the order in which they were met, each with the pages that have it in order: as it stands
/// one that has the word in its names, as its complement, below zero, one that has it in its text.
#[derive(Default)]
struct Found<'a> {
    numbers: FxHashMap<&'a str, usize>,
    words: Vec<(&'a str, Vec<i64>)>,
}

impl<'a> Found<'a> {
    fn pages(&mut self, word: &'a str) -> &mut Vec<i64> {
        let Found { numbers, words } = self;
        let at = *numbers.entry(word).or_insert_with(|| {
            words.push((word, Vec::new()));
            words.len() - 1
        });
        &mut words[at].1
    }

    /// Takes a page's word; of a word in both the one in the names, which come first, counts.
    fn take(&mut self, word: &'a str, page: i64) {
        let pages = self.pages(word);
        if pages.last().is_none_or(|last| *last != page && *last != -1 - page) {
            pages.push(page);
        }
    }

    /// Takes the words of pages that come behind.
    fn append(&mut self, behind: Found<'a>) {
        behind.words.into_iter().for_each(|(word, pages)| self.pages(word).extend(pages));
    }
}

/// The words of a text as they are looked up: folded; a figure such as 27.10 or an id such as
/// mv-0031 is one word and its pieces as well.
#[must_use]
pub fn words(text: &str) -> Vec<String> {
    words_in(&folded(text)).map(str::to_owned).collect()
}

fn folded(text: &str) -> String {
    fold(text).replace('\u{2212}', "-")
}

fn words_in(folded: &str) -> impl Iterator<Item = &str> {
    let runs = folded.split(|c: char| !(c.is_alphanumeric() || matches!(c, '.' | '-' | '_')));
    let runs = runs.map(|run| run.trim_matches(|c: char| !c.is_alphanumeric()));
    runs.filter(|run| !run.is_empty()).flat_map(|run| {
        let figure = run.contains('.') && run.chars().all(|c| c.is_ascii_digit() || c == '.');
        let pieces = run
            .split(['.', '-', '_'])
            .filter(move |piece| !figure && !piece.is_empty() && piece.len() < run.len());
        std::iter::once(run).chain(pieces).map(cut)
    })
}

fn cut(word: &str) -> &str {
    word.char_indices().nth(LONGEST_WORD).map_or(word, |(at, _)| &word[..at])
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
        assert_eq!(words(&"ö".repeat(30)), ["o".repeat(24)]);
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
