//! What is wrong with a journal, told with its place; nothing here prints.

use crate::text::Place;

/// How bad a problem is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
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
#[derive(Clone, PartialEq, Eq, Debug)]
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
        Self { severity: Severity::Error, message: message.into(), place, also: Vec::new() }
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
    let most = (folded.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|known| (strsim::osa_distance(&folded, &fold(known)), first_differs(&folded, known), known))
        .filter(|(distance, ..)| *distance <= most)
        // Of equals the first letter tells, then the order of the list.
        .min_by_key(|(distance, differs, _)| (*distance, *differs))
        .map(|(.., known)| known)
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
    fn the_nearest_word_is_near() {
        let known = ["diameter", "thickness", "centre_hole", "feet"];
        assert_eq!(nearest("diametre", known), Some("diameter"));
        assert_eq!(nearest("Center-hole", known), Some("centre_hole"));
        assert_eq!(nearest("foot", known), None);
        assert_eq!(nearest("fet", known), Some("feet"));
        assert_eq!(did_you_mean("colour", known), "");
    }
}
