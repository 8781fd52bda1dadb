//! What crystals, backs and hands are made of, each value with its source.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

/// The material of that name, by its own word or one of its others; upper and lower case are one.
/// `None` for a word that the table does not have: nothing is guessed.
pub fn material(word: &str) -> Option<&'static Material> {
    let word = word.trim().to_lowercase();
    TABLE.get(&word).or_else(|| TABLE.values().find(|material| material.also.contains(&word)))
}

/// The words of the table, in order, for a message or the page of a check.
pub fn words() -> impl Iterator<Item = (&'static str, &'static Material)> {
    TABLE.iter().map(|(word, material)| (word.as_str(), material))
}

/// A material as the checks use it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Other words for it, in lower case.
    pub also: Vec<String>,
    /// Whether it breaks before it bends for good: then its strength is a matter of chance.
    pub brittle: bool,
    /// MPa in bending: where it may break, or for a metal first bends for good.
    pub strength: Value,
    /// Young's modulus, MPa.
    pub young: Value,
    /// Poisson's ratio.
    pub poisson: Value,
    /// kg/m3.
    pub density: Value,
}

/// A value and where it comes from.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// In the unit of its field.
    pub value: f64,
    /// A publication, or "from memory".
    pub source: String,
}

static TABLE: LazyLock<BTreeMap<String, Material>> = LazyLock::new(|| {
    serde_yaml::from_str(include_str!("../data/materials.yaml"))
        .expect("the built-in table is read by every test")
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_find_their_material() {
        assert_eq!(material("Sapphire").unwrap().strength.value, 448.0);
        assert_eq!(material("stainless steel").unwrap().density.value, 7990.0);
        assert!(material("unobtainium").is_none());
    }

    #[test]
    fn every_value_has_a_source_and_no_word_is_used_twice() {
        let mut seen = std::collections::BTreeSet::new();
        for (word, material) in words() {
            for value in [&material.strength, &material.young, &material.poisson, &material.density] {
                assert!(value.value > 0.0 && value.source.len() > 8, "{word}: {value:?}");
            }
            assert!(material.poisson.value < 0.5, "{word}");
            for word in material.also.iter().map(String::as_str).chain([word]) {
                assert!(seen.insert(word.to_owned()), "{word} twice");
                assert_eq!(word, word.to_lowercase());
            }
        }
    }
}
