//! What the open pages are told.

use serde_json::{Value, json};

use crate::problem::{Problem, Severity};

/// Notifications, each with a number of its own.
#[derive(Default)]
pub(super) struct Notifications {
    count: usize,
    /// What the person has to mend, as it was last told.
    head: String,
    said: Value,
}

impl Notifications {
    /// There is something new to show; what had to be mended still has.
    pub(super) fn again(&mut self) -> String {
        self.count += 1;
        // A bench that was started again counts anew: its number tells them apart.
        let version = format!("{}-{}", std::process::id(), self.count);
        json!({ "version": version, "head": self.head, "said": self.said }).to_string()
    }

    /// There is something new to show; with the problems that the person has to mend.
    pub(super) fn next(&mut self, problems: &[Problem]) -> String {
        let errors: Vec<_> = problems.iter().filter(|problem| problem.severity == Severity::Error).collect();
        let said = errors
            .iter()
            .take(20)
            .map(|problem| json!({ "place": problem.place.to_string(), "text": problem.message }));
        self.said = said.collect();
        self.head = match errors.len() {
            0 => String::new(),
            1 => "This has to be mended; until then the page below does without it".to_owned(),
            count => format!("{count} things have to be mended; until then the page below does without them"),
        };
        self.again()
    }

    /// Something hinders the bench itself.
    pub(super) fn fault(&mut self, fault: &str) -> String {
        self.head = "The site is not up to date".to_owned();
        self.said = json!([{ "place": "", "text": fault }]);
        self.again()
    }
}
