//! The part that fills a slot of a build, as its checks see it.

use serde::Serialize;

use crate::journal::Spec;

use super::booking::Misbooked;

/// The part that fills a slot.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Fitted {
    /// Its id in the ledger.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Its sizes in the build; a movement's are its own over its sheet's.
    pub spec: Spec,
    /// Whether it was altered by the time that the build counts.
    pub altered: bool,
    /// The fields that an alteration set to what they are.
    pub set_by_alteration: Vec<String>,
    /// Where the log has it in this slot at a time when it cannot be there.
    pub misbooked: Vec<Misbooked>,
}

impl Fitted {
    /// A part that no log speaks of: one that is tried out, or one still to be bought.
    pub fn unlogged(id: impl Into<String>, name: impl Into<String>, spec: Spec) -> Fitted {
        Fitted {
            id: id.into(),
            name: name.into(),
            spec,
            altered: false,
            set_by_alteration: Vec::new(),
            misbooked: Vec::new(),
        }
    }

    /// Whether any field of a group is known: `date_window`.
    pub fn has_any(&self, group: &str) -> bool {
        let inside = |field: &str| field.strip_prefix(group).is_some_and(|rest| rest.starts_with('.'));
        self.spec.iter().any(|(field, _)| inside(field))
    }
}
