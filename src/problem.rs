//! What is wrong with a journal, told with its place; nothing here prints.

use serde::{Deserialize, Serialize};

use crate::text::Place;

/// How bad a problem is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub enum Severity {
    /// What was written cannot be used: the run ends with status 2.
    Error,
    /// It can be used, but the person should look at it.
    Warning,
}

impl Severity {
    /// The word that JSON and the terminal use.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
        }
    }
}

/// One thing that is wrong, in words: lower case, no full stop, with what to write instead.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// What is wrong and what to do.
    pub message: String,
    /// Where; the first place where two contradict each other.
    pub place: Place,
    /// The other places that made it so, each with a few words.
    pub also: Vec<(Place, String)>,
}

impl Problem {
    /// Something that cannot be used.
    pub fn error(place: Place, message: impl Into<String>) -> Self {
        Self { severity: Severity::Error, message: shortened(message.into()), place, also: Vec::new() }
    }

    /// Something to look at.
    pub fn warning(place: Place, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(place, message) }
    }

    /// Adds a second place with its words.
    #[must_use]
    pub fn and(mut self, place: Place, words: impl Into<String>) -> Self {
        self.also.push((place, words.into()));
        self
    }
}

/// So many problems are told of what is read together, a file of parts or a build with its log. Who has
/// more mends these first: a list without end helps nobody, and takes time to make.
pub const MOST: usize = 500;

/// Adds to the problems of what is read together, or says once that there are more.
pub fn tell(problems: &mut Vec<Problem>, problem: Problem) {
    match problems.len() {
        len if len < MOST => problems.push(problem),
        MOST => {
            let words = "more problems than can be listed: fix these first";
            problems.push(Problem {
                severity: problem.severity,
                ..Problem::error(Place::file(problem.place.file), words)
            });
        }
        // An error that is not told is one all the same.
        _ => problems[MOST].severity = problems[MOST].severity.min(problem.severity),
    }
}

/// A message of a length that is read; its beginning and its end are kept.
fn shortened(message: String) -> String {
    const LONGEST: usize = 1200;
    if message.len() <= LONGEST {
        return message;
    }
    let begin: String = message.chars().take(LONGEST / 3).collect();
    let end: Vec<char> = message.chars().rev().take(LONGEST / 3).collect();
    format!("{begin} … {}", end.into_iter().rev().collect::<String>())
}

/// Whether one of them is an error.
pub fn has_errors(problems: &[Problem]) -> bool {
    problems.iter().any(|problem| problem.severity == Severity::Error)
}

/// Puts problems into the order in which a person would go through the files, and drops repeats.
pub fn sort(problems: &mut Vec<Problem>) {
    problems.sort_by(|a, b| {
        (&a.place, a.severity, &a.message, &a.also).cmp(&(&b.place, b.severity, &b.message, &b.also))
    });
    problems.dedup();
}

/// The known word nearest to `word`, if one is near enough to have been meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let folded = fold(word);
    // A third of the letters may be wrong: more, and the guess would puzzle rather than help.
    let letters = folded.chars().count();
    let most = (letters / 3).max(1);
    known
        .into_iter()
        // So many letters must be wrong at the least; to count them is soon done.
        .filter(|known| known.chars().count().abs_diff(letters) <= most)
        .map(|known| (strsim::osa_distance(&folded, &fold(known)), first_differs(&folded, known), known))
        .filter(|(distance, ..)| *distance <= most)
        // Of equals the first letter tells, then the order of the list.
        .min_by_key(|(distance, differs, _)| (*distance, *differs))
        .map(|(.., known)| known)
}

/// The same for the words that things of a journal have, of which there may be thousands: beyond the
/// first `told` problems a guess would cost more than it helps.
pub fn did_you_mean_one_of_many<'a>(
    word: &str,
    known: impl ExactSizeIterator<Item = &'a str>,
    told: usize,
) -> String {
    const MANY: usize = 2000;
    const FIRST: usize = 10;
    if known.len() < MANY || told < FIRST { did_you_mean(word, known) } else { String::new() }
}

/// ", did you mean `x`?" where a known word is near, else nothing.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, known).map(|known| format!(", did you mean `{known}`?")).unwrap_or_default()
}

fn first_differs(folded: &str, known: &str) -> bool {
    folded.chars().next() != fold(known).chars().next()
}

fn fold(word: &str) -> String {
    word.chars().map(|c| if matches!(c, '-' | ' ') { '_' } else { c.to_ascii_lowercase() }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neither_a_message_nor_a_list_goes_on_for_ever() {
        let long = Problem::error(Place::file("a"), format!("begins {} ends", "é".repeat(1 << 20)));
        assert!(long.message.starts_with("begins é") && long.message.ends_with("é ends"));
        assert!(long.message.len() < 2000);
        let mut problems = Vec::new();
        for n in 0..MOST * 3 {
            tell(&mut problems, Problem::error(Place::file("a"), n.to_string()));
        }
        assert_eq!(problems.len(), MOST + 1);
        assert!(problems[MOST].message.starts_with("more problems than"));
    }

    #[test]
    fn the_nearest_word_is_near() {
        let known = ["diameter", "thickness", "centre_hole", "feet"];
        assert_eq!(nearest("diametre", known), Some("diameter"));
        assert_eq!(nearest("Center-hole", known), Some("centre_hole"));
        assert_eq!(nearest("foot", known), None);
        assert_eq!(nearest("fet", known), Some("feet"));
        assert_eq!(did_you_mean("colour", known), "");
    }
}
