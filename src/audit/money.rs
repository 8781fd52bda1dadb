//! Money and time.

use std::collections::BTreeMap;

use super::Books;

/// What was spent, in the journal's currency. Every part counts once: where it was fitted first,
/// and in the year it came; the sums by build and by year are the same.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Spent {
    /// By build, in the order of their slugs; last what went into no build.
    pub by_build: Vec<SpentOn>,
    /// By year; last what has no date.
    pub by_year: Vec<SpentOn>,
    /// In all.
    pub all: f64,
}

/// A sum and what it is made of.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SpentOn {
    /// The build's slug, or the year; empty for no build or no date.
    pub key: String,
    /// What the build is called, or the year; "in no build", "without a date".
    pub title: String,
    /// The prices of parts.
    pub parts: f64,
    /// What entries say was spent at the bench.
    pub bench: f64,
}

/// Time at the bench.
#[derive(Clone, PartialEq, Debug)]
pub struct Hours {
    /// The build's slug.
    pub build: String,
    /// What the build is called.
    pub title: String,
    /// Minutes.
    pub minutes: f64,
    /// How many entries it was counted from.
    pub entries: usize,
}

impl SpentOn {
    /// Parts and bench together.
    pub fn sum(&self) -> f64 {
        self.parts + self.bench
    }
}

/// `bench`: what was spent at the bench counts too.
pub(super) fn spent(books: &Books<'_>, bench: bool) -> Spent {
    // What has no build, or no date, stands last: its key is `None`, turned round.
    let mut by_build: BTreeMap<(bool, String), SpentOn> = BTreeMap::new();
    let mut by_year: BTreeMap<(bool, String), SpentOn> = BTreeMap::new();
    let key = |text: Option<String>| (text.is_none(), text.unwrap_or_default());
    for unit in &books.units {
        let Some(price) = unit.price() else { continue };
        let first = unit.stays.iter().find(|stay| !stay.planned).map(|stay| stay.build.clone());
        let year = unit.had.map(|had| had.at.date().year().to_string());
        by_build.entry(key(first)).or_default().parts += price;
        by_year.entry(key(year)).or_default().parts += price;
    }
    if bench {
        for build in &books.journal.builds {
            for entry in books.entries(build) {
                let Some(sum) = entry.spent else { continue };
                by_build.entry(key(Some(build.slug.clone()))).or_default().bench += sum;
                by_year.entry(key(Some(entry.date.value.year().to_string()))).or_default().bench += sum;
            }
        }
    }
    let named = |rows: BTreeMap<(bool, String), SpentOn>, none: &str, title: &dyn Fn(&str) -> String| {
        let row = |((without, key), sums): ((bool, String), SpentOn)| {
            let title = if without { none.to_owned() } else { title(&key) };
            SpentOn { key, title, ..sums }
        };
        rows.into_iter().map(row).filter(|row| row.sum() != 0.0).collect::<Vec<_>>()
    };
    let by_build = named(by_build, "in no build", &|slug| books.title(slug));
    let by_year = named(by_year, "without a date", &str::to_owned);
    let all = by_build.iter().map(SpentOn::sum).sum();
    Spent { by_build, by_year, all }
}

pub(super) fn hours(books: &Books<'_>) -> Vec<Hours> {
    let rows = books.journal.builds.iter().filter_map(|build| {
        let minutes: Vec<f64> = books.entries(build).filter_map(|entry| entry.minutes).collect();
        (!minutes.is_empty()).then(|| Hours {
            build: build.slug.clone(),
            title: build.title.clone(),
            minutes: minutes.iter().sum(),
            entries: minutes.len(),
        })
    });
    rows.collect()
}
