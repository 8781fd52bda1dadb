//! The bands of the checks: data with sources, which journal.yaml may change.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::journal::Journal;
use crate::journal::yaml::{Node, Value};
use crate::problem::{Problem, did_you_mean};
use crate::text::Files;

use super::verdict::Band;

/// What is advised for a check, where it truly fouls, and who says so.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Advised {
    /// Which of the check's bands: "without feet"; empty where there is one.
    pub variant: String,
    /// What is advised.
    pub band: Band,
    /// Beyond it the parts foul; open on both sides where nothing does.
    pub contact: Band,
    /// A publication, "common practice, no source", or "journal.yaml".
    pub source: String,
}

/// The bands in force for a journal.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Bands {
    by_check: BTreeMap<String, Vec<Advised>>,
}

impl Bands {
    /// The built-in bands, changed as journal.yaml says; what it says wrongly is a problem.
    pub fn of(journal: &Journal) -> (Bands, Vec<Problem>) {
        let mut bands = BUILT_IN.clone();
        let mut problems = Vec::new();
        if let Some(node) = &journal.settings.bands {
            bands.change(&journal.files, node, &mut problems);
        }
        (bands, problems)
    }

    /// The built-in bands.
    pub fn built_in() -> Bands {
        BUILT_IN.clone()
    }

    /// The band of a check's variant. A check without one advises nothing: everything lies inside.
    pub fn get(&self, check: &str, variant: &str) -> Advised {
        let several = self.by_check.get(check).map(Vec::as_slice).unwrap_or_default();
        several.iter().find(|advised| advised.variant == variant).cloned().unwrap_or(Advised {
            variant: variant.to_owned(),
            band: OPEN,
            contact: OPEN,
            source: String::new(),
        })
    }

    /// The checks that have one.
    pub fn checks(&self) -> impl Iterator<Item = &str> {
        self.by_check.keys().map(String::as_str)
    }

    /// All bands of a check.
    pub fn all(&self, check: &str) -> &[Advised] {
        self.by_check.get(check).map(Vec::as_slice).unwrap_or_default()
    }

    /// `bands: { hands-apart: 0.15.., "dial-in-seat without feet": { band: 0.05..0.30, contact: 0.. } }`.
    fn change(&mut self, files: &Files, node: &Node, problems: &mut Vec<Problem>) {
        let Value::Map(entries) = &node.value else {
            let words = "`bands` is a map from a check to its band: `hands-apart: 0.15..`";
            problems.push(Problem::error(files.place(node.span), words));
            return;
        };
        for (key, node) in entries {
            let mut fault = |span, words: String| problems.push(Problem::error(files.place(span), words));
            let (check, variant) = key.text.split_once(' ').unwrap_or((&key.text, ""));
            let Some(several) = self.by_check.get_mut(check) else {
                let near = did_you_mean(check, self.checks());
                fault(key.span, format!("`{check}` is not a check with a band{near}"));
                continue;
            };
            let Some(advised) = several.iter_mut().find(|advised| advised.variant == variant) else {
                let variants: Vec<String> =
                    several.iter().map(|one| format!("`{check} {}`", one.variant)).collect();
                fault(key.span, format!("`{check}` has several bands: write {}", variants.join(" or ")));
                continue;
            };
            let parts: Vec<(&str, &Node)> = match &node.value {
                Value::Map(parts) => parts.iter().map(|(key, node)| (key.text.as_str(), node)).collect(),
                _ => vec![("band", node)],
            };
            for (part, node) in parts {
                match (part, node.text().map(range)) {
                    ("band", Some(Ok(band))) => advised.band = band,
                    ("contact", Some(Ok(band))) => advised.contact = band,
                    ("band" | "contact", Some(Err(words))) => fault(node.span, words),
                    _ => fault(
                        node.span,
                        "a band is a range such as 0.15.. or 0.03..0.30, or `band:` and `contact:`".into(),
                    ),
                }
            }
            advised.source = "journal.yaml".into();
        }
    }
}

/// No limit on either side.
pub const OPEN: Band = Band { low: None, high: None };

static BUILT_IN: LazyLock<Bands> = LazyLock::new(|| {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Row {
        #[serde(default, rename = "for")]
        variant: String,
        band: String,
        contact: Option<String>,
        source: String,
    }
    let rows: BTreeMap<String, Vec<Row>> = serde_yaml::from_str(include_str!("data/bands.yaml"))
        .expect("the built-in table is read by every test");
    let advised = |row: Row| {
        let band = range(&row.band).expect("the built-in table is read by every test");
        let contact = match row.contact.as_deref() {
            None => band,
            Some("none") => OPEN,
            Some(text) => range(text).expect("the built-in table is read by every test"),
        };
        Advised { variant: row.variant, band, contact, source: row.source }
    };
    let by_check = rows.into_iter().map(|(check, rows)| (check, rows.into_iter().map(advised).collect()));
    Bands { by_check: by_check.collect() }
});

/// Reads a range: `0.03..0.60`, `0.20..`, `..0.10`.
pub fn range(text: &str) -> Result<Band, String> {
    let fault = || format!("`{text}` is not a range: write 0.03..0.60, or 0.20.. where one end is open");
    let (low, high) = text.split_once("..").ok_or_else(fault)?;
    let end = |text: &str| match text.trim() {
        "" => Ok(None),
        text => text.parse::<f64>().ok().filter(|end| end.is_finite()).map(Some).ok_or_else(fault),
    };
    let band = Band { low: end(low)?, high: end(high)? };
    match (band.low, band.high) {
        (None, None) => Err(fault()),
        (Some(low), Some(high)) if high < low => {
            Err(format!("`{text}` runs backwards: write the smaller end first"))
        }
        _ => Ok(band),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn contact_lies_around_what_is_advised() {
        for advised in BUILT_IN.by_check.values().flatten() {
            assert!(!advised.source.is_empty());
            let inside = |outer: Option<f64>, inner: Option<f64>, low: bool| match (outer, inner) {
                (Some(outer), Some(inner)) => {
                    if low {
                        outer <= inner
                    } else {
                        inner <= outer
                    }
                }
                (Some(_), None) => false,
                _ => true,
            };
            assert!(inside(advised.contact.low, advised.band.low, true), "{advised:?}");
            assert!(inside(advised.contact.high, advised.band.high, false), "{advised:?}");
        }
    }

    #[test]
    fn ranges_may_be_open() {
        assert_eq!(range("0.20.."), Ok(Band { low: Some(0.2), high: None }));
        assert_eq!(range("-0.10..0.15"), Ok(Band { low: Some(-0.1), high: Some(0.15) }));
        assert!(range("0.20").is_err() && range("0.3..0.2").is_err() && range("..").is_err());
    }
}
