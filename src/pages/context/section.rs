//! Drawings as templates see them.

use serde::{Deserialize, Serialize};

/// A drawing in its wide and its narrow form.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Section {
    /// For a desk or for paper.
    pub wide_svg: String,
    /// For a phone; empty where the wide form serves. It is described by the words of the wide form,
    /// which has to stand on the same page.
    pub narrow_svg: String,
    /// What the numbers in the narrow form mean.
    pub key: Vec<KeyItem>,
    /// What is drawn dashed because nobody measured it.
    pub unmeasured: Vec<String>,
}

/// A number in a drawing and what stands there.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct KeyItem {
    /// The number.
    pub number: usize,
    /// What it is, with its figure.
    pub text: String,
    /// More about it; empty for nothing.
    pub note: String,
}
