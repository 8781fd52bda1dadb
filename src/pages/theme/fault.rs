//! What is wrong with a theme, in words and with its place.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::problem::{Problem, nearest};
use crate::text::Place;

/// Why a theme cannot be taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ThemeFault {
    /// Where; line and column are 0 where no line is known.
    pub place: Place,
    /// What is wrong and what to do.
    pub what: String,
}

impl ThemeFault {
    /// With a whole file of a theme.
    pub(super) fn of_file(path: impl AsRef<str>, what: impl Into<String>) -> ThemeFault {
        ThemeFault { place: Place::file(path), what: what.into() }
    }

    /// As a problem of a journal whose site is made with the built-in theme `instead`.
    pub(super) fn problem(&self, instead: &str) -> Problem {
        let what = &self.what;
        let words =
            format!("{what}; until this is fixed, the site is made with the built-in theme {instead}");
        Problem::error(self.place.clone(), words)
    }
}

impl fmt::Display for ThemeFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}: {}", self.place, self.what)
    }
}

impl std::error::Error for ThemeFault {}

/// One of tera's messages; lines and columns count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Report {
    pub(super) what: String,
    /// The templates that may be to blame, the likeliest first, each with a line and column if known.
    pub(super) at: Vec<Named>,
}

/// A template with a line and a column.
type Named = (String, Option<(u32, u32)>);

/// The messages in an error of tera's.
pub(super) fn reports(error: &tera::Error) -> Vec<Report> {
    use tera::ErrorKind;
    let whole = |names: &mut dyn Iterator<Item = &String>| names.map(|name| (name.clone(), None)).collect();
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let (line, column) = (report.span().start_line, report.span().start_col + 1);
            let mut at = vec![(report.filename().to_owned(), Some((line as u32, column as u32)))];
            // The callers of what failed are only in the text of the report.
            at.extend(
                error.to_string().lines().filter_map(|line| place(line.strip_prefix("note: called from ")?)),
            );
            vec![Report { what: words(report.message()), at }]
        }
        ErrorKind::CircularExtend { tpl, inheritance_chain: chain } => vec![Report {
            what: format!("templates extend each other in a circle: {tpl} > {}", chain.join(" > ")),
            at: whole(&mut std::iter::once(tpl).chain(chain)),
        }],
        ErrorKind::CircularInclude { include_chain: chain, .. } => vec![Report {
            what: format!("templates include each other in a circle: {}", chain.join(" > ")),
            at: whole(&mut chain.iter()),
        }],
        ErrorKind::MissingParent { current, parent } => vec![Report {
            what: format!("extends `{parent}`, which does not exist"),
            at: whole(&mut std::iter::once(current)),
        }],
        // Unknown names arrive as finished texts, one after another.
        kind => {
            let text = kind.to_string();
            let mut out: Vec<Report> = Vec::new();
            for line in text.lines() {
                if let Some(message) = line.strip_prefix("error: ") {
                    out.push(Report { what: words(message), at: Vec::new() });
                } else if let (Some(last), Some(shown)) =
                    (out.last_mut(), line.trim_start().strip_prefix("--> "))
                {
                    last.at.extend(place(shown));
                }
            }
            if out.is_empty() {
                out.push(Report { what: words(text.lines().next().unwrap_or_default()), at: Vec::new() });
            }
            out
        }
    }
}

/// The template, line and column in `search.html:3:7`.
fn place(text: &str) -> Option<Named> {
    let (rest, column) = text.rsplit_once(':')?;
    let (name, line) = rest.rsplit_once(':')?;
    Some((name.to_owned(), Some((line.parse().ok()?, column.parse().ok()?))))
}

/// One of tera's sentences in the style of our messages, with the nearest known name where tera lists all of
/// them.
fn words(message: &str) -> String {
    let (what, known) = message.split_once(". Available ").unwrap_or((message, ""));
    let mut letters = what.trim_end_matches('.').chars();
    let mut out: String = letters.next().into_iter().flat_map(char::to_lowercase).chain(letters).collect();
    let (_, known) = known.split_once(": ").unwrap_or_default();
    let asked = what.split('`').nth(1).unwrap_or_default();
    match meant(asked, known.split(", ").filter(|name| !name.is_empty())).as_str() {
        "" if known.is_empty() => {}
        "" => out.push_str(&format!(" (there are {known})")),
        meant => out.push_str(meant),
    }
    out
}

/// " (did you mean `x`?)" where a known word is near, else nothing.
pub(super) fn meant<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, known).map(|known| format!(" (did you mean `{known}`?)")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_of_tera_read_like_ours() {
        assert_eq!(
            words("Field `titel` is not defined. Available fields: slug, summary, title"),
            "field `titel` is not defined (did you mean `title`?)"
        );
        assert_eq!(
            words("Variable `x` is not defined. Available variables: frame, search"),
            "variable `x` is not defined (there are frame, search)"
        );
        assert_eq!(words("Unexpected end of input"), "unexpected end of input");
    }

    #[test]
    fn every_report_has_its_place() {
        let mut tera = tera::Tera::new();
        let error = tera
            .add_raw_templates([("a.html", "{{ x | nope }}\n{{ nothing() }}"), ("b.html", "{{ <none/> }}")])
            .unwrap_err();
        let all: Vec<_> = reports(&error).into_iter().map(|report| (report.what, report.at)).collect();
        let at = |name: &str, line, column| vec![(name.to_owned(), Some((line, column)))];
        assert_eq!(
            all,
            [
                ("unknown filter `nope`".to_owned(), at("a.html", 1, 8)),
                ("unknown function `nothing`".to_owned(), at("a.html", 2, 4)),
                ("unknown component `none`".to_owned(), at("b.html", 1, 4)),
            ]
        );
    }
}
