//! What was read and where in it: files, spans and the values that carry them.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, OnceLock};

use serde::{Deserialize, Serialize, Serializer};

/// A file that was read, by its index in [`Files`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct FileId(u32);

/// A run of bytes in a file: `start` is its first byte, `end` the byte after its last.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Span {
    /// The file it lies in.
    pub file: FileId,
    /// The offset of its first byte.
    pub start: u32,
    /// The offset after its last byte.
    pub end: u32,
}

/// A key is made of what was written, not of where: the same words elsewhere are the same.
impl Serialize for Span {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_unit()
    }
}

/// A value and the place it was written at.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Located<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T> Located<T> {
    /// Joins a value with its place.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}

/// A place as a person looks it up: a path relative to the journal, line and column from 1.
///
/// The column counts characters, not bytes. A fault of a whole file has line and column 0.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Default, Serialize, Deserialize)]
pub struct Place {
    /// Path relative to the journal, with `/` between its parts.
    pub file: Arc<str>,
    /// Line, from 1; 0 where the whole file is meant.
    pub line: u32,
    /// Column in characters, from 1; 0 where the whole file is meant.
    pub column: u32,
}

impl Place {
    /// The whole of a file.
    pub fn file(path: impl AsRef<str>) -> Self {
        Self { file: path.as_ref().into(), line: 0, column: 0 }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line == 0 {
            write!(f, "{}", self.file)
        } else {
            write!(f, "{}:{}:{}", self.file, self.line, self.column)
        }
    }
}

/// Every file that was read, in the order of reading.
#[derive(Clone, Debug, Default)]
pub struct Files {
    files: BTreeMap<FileId, Arc<File>>,
}

#[derive(Clone, Debug)]
struct File {
    path: Arc<str>,
    text: String,
    /// Most files are never asked for a place.
    marks: OnceLock<Marks>,
}

/// What places are told by: looked up often, counted once.
#[derive(Clone, Debug)]
struct Marks {
    /// The offset of each line's first byte.
    lines: Vec<u32>,
    /// How many characters begin before each [`STRIDE`] bytes: a fault in every word of one endless
    /// line must not count that line anew each time.
    characters: Vec<u32>,
}

/// Bytes between two counts of characters.
const STRIDE: usize = 1 << 10;

impl Files {
    /// Takes a file in. `path` is relative to the journal.
    ///
    /// Offsets are kept in 32 bits; the reader refuses larger files before they come here.
    pub fn add(&mut self, path: impl AsRef<str>, text: impl Into<String>) -> FileId {
        let next = self.files.last_key_value().map_or(0, |(FileId(last), _)| last + 1);
        let file = File { path: path.as_ref().into(), text: text.into(), marks: OnceLock::new() };
        self.files.insert(FileId(next), Arc::new(file));
        FileId(next)
    }

    /// The file of a path; `None` where none was read.
    pub fn find(&self, path: &str) -> Option<FileId> {
        self.files.iter().find(|(_, file)| *file.path == *path).map(|(id, _)| *id)
    }

    /// Every file, in the order of reading.
    pub fn ids(&self) -> impl Iterator<Item = FileId> {
        self.files.keys().copied()
    }

    /// These files alone: a place in any other has no path and no text there.
    #[must_use]
    pub fn only(&self, ids: impl IntoIterator<Item = FileId>) -> Files {
        let there = |id| Some((id, Arc::clone(self.files.get(&id)?)));
        Files { files: ids.into_iter().filter_map(there).collect() }
    }

    /// Gives a file another text: spans of the old one mean nothing afterwards.
    pub fn replace(&mut self, file: FileId, text: impl Into<String>) {
        let renewed = File { path: self.path(file).into(), text: text.into(), marks: OnceLock::new() };
        self.files.insert(file, Arc::new(renewed));
    }

    /// The file's path, relative to the journal; empty for a file that is not among these.
    pub fn path(&self, file: FileId) -> &str {
        self.files.get(&file).map_or("", |file| &file.path)
    }

    /// The file's whole text; empty for a file that is not among these.
    pub fn text(&self, file: FileId) -> &str {
        self.files.get(&file).map_or("", |file| &file.text)
    }

    /// The text of a span.
    pub fn cut(&self, span: Span) -> &str {
        self.text(span.file).get(span.start as usize..span.end as usize).unwrap_or_default()
    }

    /// The text of the line that a span begins in, without its line break.
    pub fn line(&self, span: Span) -> &str {
        let Some(file) = self.files.get(&span.file) else { return "" };
        let start = file.line_of(span.start).1;
        let rest = &file.text[start as usize..];
        rest.split(['\r', '\n']).next().unwrap_or_default()
    }

    /// Where a span begins.
    pub fn place(&self, span: Span) -> Place {
        let Some(file) = self.files.get(&span.file) else { return Place::default() };
        let (line, start) = file.line_of(span.start);
        Place { file: Arc::clone(&file.path), line, column: file.characters(start, span.start) + 1 }
    }
}

impl File {
    fn marks(&self) -> &Marks {
        self.marks.get_or_init(|| Marks::of(&self.text))
    }

    /// The line that an offset lies in, from 1, and the offset of its first byte.
    fn line_of(&self, offset: u32) -> (u32, u32) {
        let lines = &self.marks().lines;
        let line = lines.partition_point(|start| *start <= offset);
        (line as u32, lines[line - 1])
    }

    /// How many characters begin from one offset up to another.
    fn characters(&self, from: u32, to: u32) -> u32 {
        let text = self.text.as_bytes();
        let (from, to) = (from as usize, (to as usize).min(text.len()));
        if to - from <= STRIDE {
            return begins(&text[from..to]);
        }
        let counted = |offset: usize| {
            let stride = offset / STRIDE;
            self.marks().characters[stride] + begins(&text[stride * STRIDE..offset])
        };
        counted(to) - counted(from)
    }
}

impl Marks {
    fn of(text: &str) -> Marks {
        let breaks = text.match_indices('\n').map(|(at, _)| at as u32 + 1);
        let lines = std::iter::once(0).chain(breaks).collect();
        let mut characters = vec![0];
        let mut count = 0;
        for stride in text.as_bytes().chunks(STRIDE) {
            count += begins(stride);
            characters.push(count);
        }
        Marks { lines, characters }
    }
}

/// How many characters begin in a run of UTF-8; counted in bytes, so that many go at once.
fn begins(bytes: &[u8]) -> u32 {
    let begin = |run: &[u8]| run.iter().map(|byte| u8::from(byte & 0xc0 != 0x80)).sum::<u8>();
    bytes.chunks(u8::MAX.into()).map(|run| u32::from(begin(run))).sum()
}

impl FileId {
    /// The place of the whole file.
    pub fn start(self) -> Span {
        Span { file: self, start: 0, end: 0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_characters_from_one() {
        let mut files = Files::default();
        let file = files.add("parts/a.yaml", "é: 1\r\nß: ±0.02\n");
        let at = |start| files.place(Span { file, start, end: start + 1 }).to_string();
        assert_eq!(at(0), "parts/a.yaml:1:1");
        assert_eq!(at(2), "parts/a.yaml:1:2");
        assert_eq!(at(7), "parts/a.yaml:2:1");
        assert_eq!(at(11), "parts/a.yaml:2:4");
        assert_eq!(files.line(Span { file, start: 3, end: 4 }), "é: 1");
    }

    #[test]
    fn columns_of_long_lines_are_counted_from_their_beginning() {
        for (line, width) in [("x".repeat(5000), 1), ("é".repeat(2500), 2), ("🌊".repeat(1024), 4)] {
            let mut files = Files::default();
            let file = files.add("a.yaml", format!("first\n{line}"));
            for (column, at) in (0..=line.len()).step_by(width).enumerate() {
                let start = at as u32 + 6;
                let place = files.place(Span { file, start, end: start });
                assert_eq!((place.line, place.column), (2, column as u32 + 1), "{at} of {}", line.len());
            }
        }
    }
}
