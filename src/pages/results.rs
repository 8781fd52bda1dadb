//! What was made before, by the key of what it was made of.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::fit::key::Key;
use crate::problem::Problem;

use super::cards::{BuildCard, PartCard};

/// Results by their keys: the same key, the same result.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Results {
    by_key: Mutex<BTreeMap<String, Held>>,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
struct Held {
    result: Outcome,
    /// Somebody asked for it since [`Results::forget_unused`].
    #[serde(skip)]
    used: bool,
}

/// What can be remembered.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) enum Outcome {
    Build(Arc<BuildCard>),
    Part(Arc<PartCard>),
    Pages(Arc<Written>),
}

/// Pages that were made together and handed on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Written {
    pub(super) paths: Vec<String>,
    /// What could not be shown as it was written.
    pub(super) problems: Vec<Problem>,
}

/// A kind of result.
pub(super) trait Kind: Sized {
    fn wrap(it: Arc<Self>) -> Outcome;
    fn of(outcome: &Outcome) -> Option<Arc<Self>>;
}

macro_rules! kinds {
    ($($name:ident: $kind:ty),*) => {$(
        impl Kind for $kind {
            fn wrap(it: Arc<Self>) -> Outcome {
                Outcome::$name(it)
            }
            fn of(outcome: &Outcome) -> Option<Arc<Self>> {
                match outcome {
                    Outcome::$name(it) => Some(Arc::clone(it)),
                    _ => None,
                }
            }
        }
    )*};
}

kinds!(Build: BuildCard, Part: PartCard, Pages: Written);

impl Results {
    /// The result of a key: the one that is remembered, if it `stands`; else it is made and remembered.
    pub(super) fn once<T: Kind>(
        &self,
        key: &Key,
        stands: impl FnOnce(&T) -> bool,
        make: impl FnOnce() -> anyhow::Result<T>,
    ) -> anyhow::Result<Arc<T>> {
        let known = self.open(|held| T::of(&held.get(&key.to_string())?.result));
        if let Some(known) = known.filter(|known| stands(known)) {
            self.open(|held| held.get_mut(&key.to_string()).map(|held| held.used = true));
            return Ok(known);
        }
        let made = Arc::new(make()?);
        let held = Held { result: T::wrap(Arc::clone(&made)), used: true };
        self.open(|all| all.insert(key.to_string(), held));
        Ok(made)
    }

    /// Forgets what nobody has asked for since this was last done.
    pub fn forget_unused(&self) {
        self.open(|held| {
            held.retain(|_, held| held.used);
            held.values_mut().for_each(|held| held.used = false);
        });
    }

    /// Forgets what was asked for since: what was made of it is not to stand.
    pub fn forget_used(&self) {
        self.open(|held| held.retain(|_, held| !held.used));
    }

    /// The paths of all pages that are remembered.
    pub fn paths(&self) -> Vec<String> {
        let paths = |held: &Held| match &held.result {
            Outcome::Pages(written) => written.paths.clone(),
            Outcome::Build(_) | Outcome::Part(_) => Vec::new(),
        };
        self.open(|held| held.values().flat_map(paths).collect())
    }

    fn open<T>(&self, with: impl FnOnce(&mut BTreeMap<String, Held>) -> T) -> T {
        with(&mut self.by_key.lock().unwrap_or_else(PoisonError::into_inner))
    }
}
