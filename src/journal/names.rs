//! Names that stand in file names and addresses: slugs of builds, ids of parts and sheets.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt;

use unicode_normalization::UnicodeNormalization;

/// Longer names are cut by some file systems.
const MOST_BYTES: usize = 120;

/// What is wrong with a name; in words it completes "the name `x` ...".
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NameFault {
    /// There is nothing.
    Empty,
    /// More than some file systems take.
    TooLong,
    /// A character that no file or address should have.
    Forbidden(char),
    /// A character at an end that hides the file, or that some systems drop.
    BadEnd,
    /// A device of some system.
    Reserved,
}

impl fmt::Display for NameFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NameFault::Empty => f.write_str("is empty"),
            NameFault::TooLong => write!(f, "is longer than {MOST_BYTES} bytes: shorten it"),
            NameFault::Forbidden(c) => write!(f, "has {} in it: use letters, digits and -", shown(*c)),
            NameFault::BadEnd => f.write_str(
                "begins or ends with a character that files are not named with: use letters and digits there",
            ),
            NameFault::Reserved => f.write_str("is reserved by some systems: choose another"),
        }
    }
}

impl std::error::Error for NameFault {}

/// Whether a name can stand in file names and addresses everywhere.
pub fn check(name: &str) -> Result<(), NameFault> {
    let forbidden = |c: char| {
        c.is_control()
            || matches!(c, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|' | '#')
            || is_hidden_control(c)
    };
    if name.is_empty() {
        return Err(NameFault::Empty);
    }
    if name.len() > MOST_BYTES {
        return Err(NameFault::TooLong);
    }
    if let Some(c) = name.chars().find(|c| forbidden(*c)) {
        return Err(NameFault::Forbidden(c));
    }
    if name.starts_with(['.', ' ', '-', '~']) || name.ends_with(['.', ' ']) {
        return Err(NameFault::BadEnd);
    }
    let stem = name.split('.').next().unwrap_or(name).to_ascii_lowercase();
    let numbered = ["com", "lpt"].iter().any(|port| {
        stem.strip_prefix(port)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|byte| byte.is_ascii_digit()))
    });
    if numbered || matches!(stem.as_str(), "con" | "prn" | "aux" | "nul") {
        return Err(NameFault::Reserved);
    }
    Ok(())
}

/// The form in which two names are the same for some file system: case and Unicode form folded.
pub fn folded(name: &str) -> String {
    if name.is_ascii() {
        return name.to_ascii_lowercase();
    }
    name.nfkc().collect::<String>().to_lowercase().nfkc().collect()
}

/// Pairs of names that some file system takes for one: `(first, second)` in the order given.
pub fn clashes<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<(&'a str, &'a str)> {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    let mut out = Vec::new();
    for name in names {
        match seen.entry(folded(name)) {
            Entry::Occupied(first) => out.push((*first.get(), name)),
            Entry::Vacant(free) => {
                free.insert(name);
            }
        }
    }
    out
}

/// Marks that change the direction of text or cannot be seen: a name with one is not what it looks like.
pub(crate) fn is_hidden_control(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}')
}

fn shown(c: char) -> String {
    if c.is_control() || is_hidden_control(c) {
        format!("the invisible character U+{:04X}", c as u32)
    } else {
        format!("`{c}`")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_files_can_have() {
        for good in ["lantern", "amber-sunburst", "Café 2", "100% brass", "時計", "mv-0031", "🌊"] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
        for bad in
            ["", "..", ".hidden", "a/b", "a\\b", "nul", "COM1", "con.md", "a\u{202e}b", "a\0", "x ", "a?b"]
        {
            assert!(check(bad).is_err(), "{bad:?}");
        }
        assert!(check(&"x".repeat(200)).is_err());
    }

    #[test]
    fn names_that_differ_only_by_case_or_form_clash() {
        assert_eq!(clashes(["Heron", "lantern", "heron"]), [("Heron", "heron")]);
        assert_eq!(clashes(["cafe\u{301}", "caf\u{e9}"]), [("cafe\u{301}", "caf\u{e9}")]);
    }
}
