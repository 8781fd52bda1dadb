//! A Markdown file into its front matter and its text.

use crate::problem::Problem;
use crate::text::{FileId, Files, Span};

/// Where front matter and text of a file lie, in bytes.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SplitText {
    /// The YAML between the two `---` lines; `None` where there is none.
    pub yaml: Option<Span>,
    /// The Markdown.
    pub text: Span,
}

/// SplitText a file. Front matter that never ends is a problem; the rest of the file is then text.
pub fn split(files: &Files, file: FileId) -> (SplitText, Option<Problem>) {
    let text = files.text(file);
    let span = |start: usize, end: usize| Span { file, start: start as u32, end: end as u32 };
    let mut at = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let begin = at;
    let mut yaml = None;
    for line in text[begin..].split_inclusive('\n') {
        let start = at;
        at += line.len();
        let line = line.trim_end();
        match yaml {
            None if line == "---" => yaml = Some(at),
            None => break,
            Some(from) if line == "---" || line == "..." => {
                return (SplitText { yaml: Some(span(from, start)), text: span(at, text.len()) }, None);
            }
            Some(_) => {}
        }
    }
    let whole = SplitText { yaml: None, text: span(begin, text.len()) };
    let problem = yaml.map(|_| {
        let message = "the front matter does not end: close it with a line `---`";
        Problem::error(files.place(span(begin, begin)), message)
    });
    (whole, problem)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parted(text: &str) -> (Option<String>, String, bool) {
        let mut files = Files::default();
        let file = files.add("a.md", text);
        let (parts, problem) = split(&files, file);
        (
            parts.yaml.map(|span| files.cut(span).to_owned()),
            files.cut(parts.text).to_owned(),
            problem.is_some(),
        )
    }

    #[test]
    fn front_matter_stands_between_two_lines() {
        assert_eq!(parted("---\na: 1\n---\nText\n"), (Some("a: 1\n".into()), "Text\n".into(), false));
        assert_eq!(
            parted("\u{feff}---\r\na: 1\r\n---\r\nText"),
            (Some("a: 1\r\n".into()), "Text".into(), false)
        );
        assert_eq!(parted("---\n---\n"), (Some(String::new()), String::new(), false));
        assert_eq!(parted("No front matter\n---\n"), (None, "No front matter\n---\n".into(), false));
        assert_eq!(parted("---\na: 1\n"), (None, "---\na: 1\n".into(), true));
        assert_eq!(parted(""), (None, String::new(), false));
    }
}
