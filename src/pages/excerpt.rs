//! What a few pages may show of a journal, cut out of it before they are made.
//!
//! The pages of a build, and the page of a part, are functions of an [`Excerpt`] and of nothing else: they
//! are handed a journal, a ledger, addresses and photos that hold only what the excerpt took over. Its key
//! covers all of that, so that nothing can stand on a page that its key does not know. An excerpt is taken
//! too large rather than too small: too large costs time, and what is missing is missing on the page.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use serde::{Serialize, Serializer};

use crate::fit::checks::ALL;
use crate::fit::key::Key;
use crate::journal::{Build, BuildState, Heading, Journal, PartSource};
use crate::ledger::{Ledger, Unit};
use crate::text::{FileId, Span};

use super::addresses::Addresses;
use super::album::{Album, Sizes};
use super::context::Link;
use super::gallery;
use super::input::Input;
use super::source::Source;

/// A whole journal, ready to be cut.
pub(super) struct Whole<'a> {
    pub(super) input: &'a Input<'a>,
    pub(super) addresses: Addresses,
    /// What every page rests on: how it looks, what the journal is set to, where the pages over many builds
    /// stand.
    shared: Key,
    /// Of each build's texts, and of each part with its history, once somebody asks.
    texts: BTreeMap<&'a str, OnceLock<Key>>,
    units: BTreeMap<&'a str, OnceLock<Key>>,
    reports: BTreeMap<&'a str, OnceLock<Option<Key>>>,
    /// The builds that a part was in, or in whose log something was said of it.
    met: BTreeMap<&'a str, BTreeSet<&'a str>>,
    /// The parts that a build has, had or names.
    named: BTreeMap<&'a str, BTreeSet<&'a str>>,
    /// Of every part that may be free: what would go into a watch may be any of them.
    spares: OnceLock<Key>,
    /// Where all pages stand, and all photos: for texts that lead out of their folder.
    anywhere: OnceLock<Key>,
}

/// What a few pages may show.
#[derive(Serialize)]
pub(super) struct Excerpt<'a> {
    shared: &'a Key,
    /// Builds with all that was read of them. What was read follows from their texts, the settings and the
    /// kinds of the parts that they name.
    builds: Vec<Texts<'a>>,
    /// Builds that are only called by their name.
    headings: Vec<Heading<'a>>,
    parts: Vec<PartHistory<'a>>,
    /// The pages of these builds and parts.
    pages: Vec<&'a str>,
    photos: BTreeMap<&'a str, &'a Sizes>,
    neighbours: (Option<Link>, Option<Link>),
    /// What was found of these builds.
    reports: Vec<FoundOf<'a>>,
    /// All that may be free, for a build that is not done.
    spares: Option<Spares<'a>>,
    /// All pages and photos, for texts that lead out of their folder.
    anywhere: Option<Anywhere<'a>>,
    #[serde(skip)]
    whole: &'a Whole<'a>,
}

/// A build by its texts; it serialises to their key.
struct Texts<'a>(&'a Build, &'a Whole<'a>);

/// A part with its history, by its id; it serialises to the key of both.
struct PartHistory<'a>(&'a str, &'a Whole<'a>);

/// What was found of a build, by its slug; it serialises to the key of the report.
struct FoundOf<'a>(&'a str, &'a Whole<'a>);

struct Spares<'a>(&'a Whole<'a>);

struct Anywhere<'a>(&'a Whole<'a>);

impl Serialize for Texts<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Texts(build, whole) = self;
        let key = || texts_key(whole.input.journal, build);
        whole.texts.get(build.slug.as_str()).map(|known| known.get_or_init(key)).serialize(to)
    }
}

impl Serialize for PartHistory<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let PartHistory(id, whole) = self;
        let Input { journal, ledger, .. } = *whole.input;
        let key = || Key::of(&(id, ledger.units.get(*id), journal.parts.get(*id)));
        whole.units.get(id).map(|known| known.get_or_init(key)).serialize(to)
    }
}

impl Serialize for FoundOf<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let FoundOf(slug, whole) = self;
        let key = || whole.input.reports.key(slug);
        whole.reports.get(slug).map(|known| known.get_or_init(key)).serialize(to)
    }
}

impl Serialize for Spares<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Spares(whole) = self;
        let key = || Key::of(&whole.spares().map(|id| PartHistory(id, whole)).collect::<Vec<_>>());
        whole.spares.get_or_init(key).serialize(to)
    }
}

impl Serialize for Anywhere<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Anywhere(whole) = self;
        whole.anywhere.get_or_init(|| Key::of(&(whole.addresses.all(), whole.input.album))).serialize(to)
    }
}

/// An excerpt, opened to make pages of.
pub(super) struct Opened<'a> {
    journal: Journal,
    ledger: Ledger,
    addresses: Addresses,
    album: Album,
    whole: &'a Whole<'a>,
    pub(super) neighbours: (Option<Link>, Option<Link>),
}

/// What all pages share.
#[derive(Serialize)]
struct Shared<'a> {
    program: &'static str,
    theme: &'a str,
    scope: super::addresses::Scope<'a>,
    settings: &'a crate::journal::Settings,
    sheets: &'a BTreeMap<String, crate::journal::CalibreSheet>,
    standards: &'a crate::fit::standards::Standards,
    site: [&'a str; 6],
}

impl<'a> Whole<'a> {
    pub(super) fn of(input: &'a Input<'a>) -> Whole<'a> {
        let (journal, ledger) = (input.journal, input.ledger);
        let with_pages = Source::parts_with_pages(journal, ledger, input.scope);
        let ids: Vec<&str> = ALL.iter().map(|check| check.id).collect();
        let addresses = Addresses::of(journal, input.scope, &with_pages, &ids);
        let met = met(journal, ledger);
        let mut named: BTreeMap<&str, BTreeSet<&str>> =
            journal.builds.iter().map(|build| (build.slug.as_str(), build.parts_named())).collect();
        for (id, slugs) in &met {
            for slug in slugs {
                named.entry(slug).or_default().insert(id);
            }
        }
        let texts = journal.builds.iter().map(|build| (build.slug.as_str(), OnceLock::new()));
        Whole {
            input,
            shared: shared(input, &addresses),
            addresses,
            texts: texts.collect(),
            reports: journal.builds.iter().map(|build| (build.slug.as_str(), OnceLock::new())).collect(),
            units: ledger.units.keys().map(|id| (id.as_str(), OnceLock::new())).collect(),
            met,
            named,
            spares: OnceLock::new(),
            anywhere: OnceLock::new(),
        }
    }

    /// The ids of all parts that may be free.
    fn spares(&self) -> impl Iterator<Item = &'a str> {
        let units = self.input.ledger.units.values();
        units.filter(|unit| is_free(unit)).map(|unit| unit.id.as_str())
    }

    /// What every page rests on.
    pub(super) fn shared(&self) -> &Key {
        &self.shared
    }

    /// All of it, for what is put together anew each time.
    pub(super) fn source(&self) -> Source<'_> {
        let Input { journal, ledger, album, scope, .. } = *self.input;
        Source::new(journal, ledger, &self.addresses, album, scope)
    }

    /// The builds that have a page, in the gallery's order.
    pub(super) fn order(&self) -> Vec<&'a Build> {
        let mut builds: Vec<&Build> = self.input.journal.builds.iter().collect();
        builds.retain(|build| self.addresses.builds.contains_key(&build.slug));
        gallery::sort(&mut builds);
        builds
    }

    /// What the pages of one build may show.
    pub(super) fn build(&'a self, slug: &'a str, neighbours: (Option<Link>, Option<Link>)) -> Excerpt<'a> {
        self.cut([slug].into(), BTreeSet::new(), neighbours)
    }

    /// What the page of one part may show: the part, and the builds that it had to do with.
    pub(super) fn part(&'a self, id: &'a str, neighbours: (Option<Link>, Option<Link>)) -> Excerpt<'a> {
        let builds = self.met.get(id).into_iter().flatten().copied().collect();
        self.cut(builds, [id].into(), neighbours)
    }

    /// What every page may show, and nothing else.
    pub(super) fn nothing(&'a self) -> Excerpt<'a> {
        self.cut(BTreeSet::new(), BTreeSet::new(), (None, None))
    }

    fn cut(
        &'a self,
        mut slugs: BTreeSet<&'a str>,
        mut ids: BTreeSet<&'a str>,
        neighbours: (Option<Link>, Option<Link>),
    ) -> Excerpt<'a> {
        let Input { journal, ledger, album, .. } = *self.input;
        let is_shown = |slug: &&str| self.addresses.builds.contains_key(*slug);
        slugs.retain(is_shown);
        ids.extend(slugs.iter().filter_map(|slug| self.named.get(slug)).flatten());
        let related: Vec<&str> = ids.iter().flat_map(|id| related(journal, ledger, id)).collect();
        ids.extend(related);
        let heard = ids.iter().filter_map(|id| self.met.get(id)).flatten().copied();
        let heard: BTreeSet<&str> = heard.filter(|slug| is_shown(slug) && !slugs.contains(slug)).collect();
        let built = |slugs: &BTreeSet<&'a str>| -> Vec<&'a Build> {
            slugs.iter().filter_map(|slug| journal.build(slug)).collect()
        };
        let (own, heard) = (built(&slugs), built(&heard));
        let photos = own.iter().flat_map(|build| album.of_build(&build.slug));
        let open =
            own.iter().any(|build| !matches!(build.state, BuildState::Finished | BuildState::TakenApart));
        let far = own.iter().any(|build| reaches_far(journal, build));
        let mut pages: Vec<&str> = Vec::new();
        for build in own.iter().chain(&heard) {
            pages.extend(self.addresses.builds.get(&build.slug).map(String::as_str));
        }
        pages.extend(own.iter().flat_map(|build| self.addresses.entries_of(build)));
        pages.extend(ids.iter().filter_map(|id| self.addresses.parts.get(*id)).map(String::as_str));
        Excerpt {
            shared: &self.shared,
            builds: own.iter().map(|build| Texts(build, self)).collect(),
            headings: heard.into_iter().map(Heading::of).collect(),
            parts: ids.iter().map(|id| PartHistory(id, self)).collect(),
            pages,
            photos: photos.collect(),
            neighbours,
            reports: own.iter().map(|build| FoundOf(&build.slug, self)).collect(),
            spares: open.then_some(Spares(self)),
            anywhere: far.then_some(Anywhere(self)),
            whole: self,
        }
    }
}

impl<'a> Excerpt<'a> {
    /// Gets ready to make pages of it.
    pub(super) fn open(&self) -> Opened<'a> {
        let whole = self.whole;
        let Input { journal, ledger, album, .. } = *whole.input;
        let own = self.builds.iter().map(|Texts(build, _)| (*build).clone());
        let builds: Vec<Build> = own.chain(self.headings.iter().map(|heading| heading.build())).collect();
        let mut ids: BTreeSet<&str> = self.parts.iter().map(|PartHistory(id, _)| *id).collect();
        if let Some(Spares(whole)) = &self.spares {
            ids.extend(whole.spares());
        }
        let (addresses, album) = match &self.anywhere {
            Some(_) => (whole.addresses.clone(), album.clone()),
            None => {
                let slugs: BTreeSet<&str> = builds.iter().map(|build| build.slug.as_str()).collect();
                let photos = self.photos.iter().map(|(path, sizes)| ((*path).to_owned(), (*sizes).clone()));
                (whole.addresses.only(&slugs, &ids), Album::new(photos.collect()))
            }
        };
        Opened {
            ledger: ledger.excerpt(ids.iter().copied(), &builds),
            journal: journal.excerpt(builds, ids.iter().copied()),
            addresses,
            album,
            whole,
            neighbours: self.neighbours.clone(),
        }
    }
}

impl Opened<'_> {
    /// What pages ask.
    pub(super) fn source(&self) -> Source<'_> {
        let input = self.whole.input;
        let Opened { journal, ledger, addresses, album, .. } = self;
        Source::new(journal, ledger, addresses, album, input.scope).with_reports(input.reports)
    }
}

fn shared(input: &Input<'_>, addresses: &Addresses) -> Key {
    let Addresses { home, bin, all_checks, photos, audit, search, .. } = addresses;
    Key::of(&Shared {
        program: env!("CARGO_PKG_VERSION"),
        theme: &input.theme.digest,
        scope: input.scope,
        settings: &input.journal.settings,
        sheets: &input.journal.sheets,
        standards: input.reports.standards,
        site: [home, bin, all_checks, photos, audit, search],
    })
}

/// The builds that each part had to do with.
fn met<'a>(journal: &'a Journal, ledger: &'a Ledger) -> BTreeMap<&'a str, BTreeSet<&'a str>> {
    let logs = journal.builds.iter().flat_map(|build| build.files().map(|file| (file, build.slug.as_str())));
    let logs: BTreeMap<FileId, &str> = logs.collect();
    let in_log = |span: Span| logs.get(&span.file).copied();
    let of = |unit: &'a Unit| {
        let said = [unit.had, unit.split].into_iter().flatten().chain(unit.gone.iter().map(|gone| gone.when));
        let said = said.filter_map(move |when| in_log(when.span));
        let stays = unit.stays.iter().map(|stay| stay.build.as_str());
        let changes = unit.changes.iter().map(|change| change.build.as_str());
        let written = unit.id.split_once('/').map(|(slug, _)| slug);
        (unit.id.as_str(), stays.chain(changes).chain(written).chain(said).collect())
    };
    ledger.units.values().map(of).collect()
}

/// The lots that a part came from, and what it was taken from.
fn related<'a>(journal: &'a Journal, ledger: &'a Ledger, id: &'a str) -> Vec<&'a str> {
    let lot = |id: &&'a str| -> Option<&'a str> { ledger.units.get(*id)?.split_from.as_deref() };
    // No lot is older than itself, but a log may say so.
    let lots = std::iter::successors(lot(&id), lot).take(64);
    let mut out: Vec<&str> = lots.collect();
    for id in [id].into_iter().chain(out.clone()) {
        if let Some(PartSource::Donor(donor)) =
            journal.parts.get(id).and_then(|part| part.from.source.as_ref())
        {
            out.push(&donor.value);
        }
    }
    out
}

fn texts_key(journal: &Journal, build: &Build) -> Key {
    let files = build.files().map(|file| (journal.files.path(file), journal.files.text(file)));
    Key::of(&(files.collect::<Vec<_>>(), &build.photos))
}

/// Whether a text of the build names a way out of its folder, also one whose dots are written as %2E.
fn reaches_far(journal: &Journal, build: &Build) -> bool {
    let mut texts = build.files().map(|file| journal.files.text(file));
    texts.any(|text| ["..", "%2e", "%2E"].iter().any(|way| text.contains(way)))
}

fn is_free(unit: &Unit) -> bool {
    unit.count.is_some() || !unit.stays.iter().any(|stay| stay.to.is_none() && !stay.planned)
}
