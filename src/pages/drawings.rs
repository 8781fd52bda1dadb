//! From a build's figures to its drawings.

use std::collections::BTreeMap;

use crate::journal::Build;

use super::checked::Checked;

/// All watches in outline at one scale.
pub(super) fn lineup(builds: &[&Build], checked: &BTreeMap<String, Checked>) -> String {
    let _ = (builds, checked);
    String::new()
}
