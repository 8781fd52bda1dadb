//! The table of what people do about a check that is not clear.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::journal::{HeldBy, Slot};

/// What is to be said of a check that is not clear.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remedy {
    /// What may be tried, in the order in which people would.
    #[serde(default)]
    pub mends: Vec<Mend>,
    /// What is said of a finding that fouls where no mend helps.
    #[serde(default = "otherwise")]
    pub otherwise: String,
}

/// One way of mending a check that is not clear.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mend {
    /// A word for it.
    #[serde(rename = "do")]
    pub action: String,
    /// What is changed, with {hand}, {upper} and {lower} in it.
    pub dimension: String,
    /// Which way.
    pub way: Way,
    /// The word that an entry would log it by; `None` where no part is altered.
    pub how: Option<String>,
    /// Whether it takes material off the part.
    #[serde(default)]
    pub cuts: bool,
    /// The slot of a part that is added where the build has none.
    pub adds: Option<String>,
    /// How the dial is held after it, where that changes.
    #[serde(default, deserialize_with = "held")]
    pub holds: Option<HeldBy>,
    /// The least size that such a part is to be had in.
    pub least: Option<f64>,
    /// The greatest size that such a part is to be had in.
    pub most: Option<f64>,
    /// The most that the part can be changed by.
    pub by: Option<f64>,
    /// How it is said.
    pub text: String,
    /// What to beware of.
    #[serde(default)]
    pub caution: String,
}

/// Which way a dimension is changed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Smaller.
    Down,
    /// Larger.
    Up,
    /// A list is emptied.
    Empty,
}

/// What is to be said of a check; `None` for one that the table does not know.
pub fn remedy(check: &str) -> Option<&'static Remedy> {
    TABLE.get(check)
}

/// What is said of a check that fouls and that nothing mends.
pub fn unmended(check: &str) -> String {
    remedy(check).map_or_else(otherwise, |remedy| remedy.otherwise.clone())
}

impl Mend {
    /// The dimension's name for the hands that a finding is about; `None` where it is about none.
    pub fn name(&self, about: &str) -> Option<String> {
        let about = about.split(',').next().unwrap_or(about);
        let first = about.split(' ').next().unwrap_or(about);
        let (upper, lower) = about.split_once(" over ").unwrap_or((first, ""));
        let hand = |name: &str| Slot::of(name).filter(|slot| Slot::HANDS.contains(slot)).map(Slot::name);
        let mut name = self.dimension.clone();
        for (word, about) in [("{hand}", upper), ("{upper}", upper), ("{lower}", lower)] {
            if name.contains(word) {
                name = name.replace(word, hand(about)?);
            }
        }
        Some(name)
    }

    /// Whether a part can be had, or changed, from one size to another.
    pub fn reaches(&self, from: f64, to: f64) -> bool {
        self.least.is_none_or(|least| least <= to)
            && self.most.is_none_or(|most| to <= most)
            && self.by.is_none_or(|by| (to - from).abs() <= by)
    }
}

fn otherwise() -> String {
    "no single change clears this without fouling something else: another part is needed".to_owned()
}

fn held<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Option<HeldBy>, D::Error> {
    let word = String::deserialize(from)?;
    let held = HeldBy::of(&word).ok_or_else(|| serde::de::Error::custom("no way of holding a dial"))?;
    Ok(Some(held))
}

static TABLE: LazyLock<BTreeMap<String, Remedy>> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("data/mends.yaml")).expect("the built-in table is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::checks;
    use crate::fit::solve::field;

    #[test]
    fn every_mend_belongs_to_a_check_and_changes_a_dimension() {
        for (check, remedy) in TABLE.iter() {
            assert!(checks::of(check).is_some(), "{check} is no check");
            for mend in &remedy.mends {
                let name = mend.name("seconds over minute").expect("the pattern names a hand");
                let list = mend.way == Way::Empty;
                assert!(list || field(&name).is_some(), "{name} is no dimension");
                let known = |how: &str| crate::journal::entry::ALTERATIONS.contains(&how);
                assert!(mend.how.as_deref().is_none_or(known), "{check}: {:?}", mend.how);
            }
        }
    }

    #[test]
    fn patterns_take_the_hands_of_a_finding() {
        let named = |pattern: &str, about: &str| {
            let mend = Mend { dimension: pattern.into(), ..TABLE["hand-fit"].mends[0].clone() };
            mend.name(about)
        };
        assert_eq!(named("{upper}.seated", "seconds over minute, pipe").as_deref(), Some("seconds.seated"));
        assert_eq!(named("{lower}.seated", "seconds over minute").as_deref(), Some("minute.seated"));
        assert_eq!(named("{hand}.length", "minute").as_deref(), Some("minute.length"));
        assert_eq!(named("{hand}.length", "in ring"), None);
        assert_eq!(named("dial.diameter", "").as_deref(), Some("dial.diameter"));
    }
}
