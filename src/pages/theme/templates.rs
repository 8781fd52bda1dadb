//! The templates of a theme: its own over the built-in ones, and the built-in ones where its own fail.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tera::Tera;

use crate::text::Place;

use super::super::guard::{self, Guarded};
use super::fault::{self, Fault, Said};

/// Names of templates of the theme's own.
pub(in crate::pages) type Names = BTreeSet<String>;

/// All templates that pages may be made with.
pub(in crate::pages) struct Templates {
    /// The theme's folder in the journal, as `themes/mine`.
    folder: String,
    own: BTreeMap<String, Guarded>,
    /// Names with what stands before them, as `linen/build.html`, and texts.
    built_in: Vec<(String, String)>,
    /// What may stand before a name, in the order in which it is tried.
    prefixes: Vec<String>,
    /// Put together already, by what of the theme's own is set aside.
    ready: Mutex<BTreeMap<Names, Arc<Tera>>>,
    /// The pages' templates that run away, and how.
    endless: Mutex<BTreeMap<String, Fault>>,
}

/// What is to be set aside, and why.
pub(in crate::pages) type Blame = (Names, Fault);

enum Refused {
    /// Components that call each other.
    Circle(Vec<String>),
    Tera(tera::Error),
}

impl Templates {
    /// Puts them together; templates of the theme's own with which that fails are left out and told.
    pub(super) fn new(
        folder: String,
        own: BTreeMap<String, Guarded>,
        built_in: Vec<(String, String)>,
        prefixes: Vec<String>,
    ) -> anyhow::Result<(Templates, Vec<Fault>)> {
        let (ready, endless) = (Mutex::default(), Mutex::default());
        let mut templates = Templates { folder, own, built_in, prefixes, ready, endless };
        let (tera, dropped, faults) = templates.assemble(&Names::new())?;
        templates.own.retain(|name, _| !dropped.contains(name));
        templates.ready().insert(Names::new(), Arc::new(tera));
        Ok((templates, faults))
    }

    /// The templates of the theme's own.
    pub(in crate::pages) fn own(&self) -> Names {
        self.own.keys().cloned().collect()
    }

    fn built_in(&self, name: &str) -> Option<&str> {
        self.built_in.iter().find(|(known, _)| known == name).map(|(_, text)| text.as_str())
    }

    /// Those that pages are made with where some of the theme's own are set aside.
    pub(in crate::pages) fn without(&self, aside: &Names) -> anyhow::Result<Arc<Tera>> {
        if let Some(tera) = self.ready().get(aside) {
            return Ok(Arc::clone(tera));
        }
        let tera = Arc::new(self.assemble(aside)?.0);
        self.ready().insert(aside.clone(), Arc::clone(&tera));
        Ok(tera)
    }

    /// Who is to blame where a page could not be made with `template`; never of what is set aside.
    pub(in crate::pages) fn blame(&self, error: &tera::Error, template: &str, aside: &Names) -> Blame {
        let own = self.but(aside);
        let mut said = fault::said(error);
        let blamed = said.iter().find_map(|said| self.named(said, &own));
        blamed.unwrap_or_else(|| self.blame_outermost(template, aside, said.swap_remove(0).what))
    }

    /// The same where no line can be named: the outermost template of the theme's own that the page's
    /// goes on from, or all of them.
    pub(in crate::pages) fn blame_outermost(&self, template: &str, aside: &Names, what: String) -> Blame {
        let own = self.but(aside);
        let (mut name, mut outermost) = (template, None);
        // Longer than any chain that is not a circle.
        for _ in 0..=self.own.len() + self.built_in.len() {
            let text = match own.get_key_value(name) {
                Some((name, guarded)) => {
                    outermost = Some(*name);
                    Some(guarded.text.as_str())
                }
                None => self.built_in(name).or_else(|| {
                    self.prefixes.iter().find_map(|prefix| self.built_in(&format!("{prefix}{name}")))
                }),
            };
            match text.and_then(guard::parent) {
                Some(parent) => name = parent,
                None => break,
            }
        }
        match outermost {
            Some(name) => (Names::from([name.to_owned()]), self.fault(name, None, what)),
            None => {
                let all = own.keys().map(|name| (*name).to_owned()).collect();
                (all, Fault { place: Place::file(&self.folder), what })
            }
        }
    }

    /// From now on, the theme's own templates are not taken for the pages of `template`.
    pub(in crate::pages) fn stop(&self, template: &str, fault: Fault) {
        let mut endless = self.endless.lock().unwrap_or_else(PoisonError::into_inner);
        // Of several that run away at one time the same is told each time.
        let told = endless.entry(template.to_owned()).or_insert_with(|| fault.clone());
        if fault < *told {
            *told = fault;
        }
    }

    /// The pages' templates that were stopped, and why.
    pub(in crate::pages) fn stopped(&self) -> BTreeMap<String, Fault> {
        self.endless.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn ready(&self) -> MutexGuard<'_, BTreeMap<Names, Arc<Tera>>> {
        self.ready.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn but(&self, aside: &Names) -> BTreeMap<&str, &Guarded> {
        let own = self.own.iter().filter(|(name, _)| !aside.contains(*name));
        own.map(|(name, guarded)| (name.as_str(), guarded)).collect()
    }

    /// Puts them together, and leaves out what of the theme's own that fails with, one after the other.
    fn assemble(&self, aside: &Names) -> anyhow::Result<(Tera, Names, Vec<Fault>)> {
        let mut own = self.but(aside);
        let mut dropped = Names::new();
        let mut faults = Vec::new();
        loop {
            let refused = match self.tera(&own) {
                Ok(tera) => return Ok((tera, dropped, faults)),
                Err(refused) => refused,
            };
            anyhow::ensure!(
                !own.is_empty(),
                "the built-in templates do not go together: {}",
                refused.words()
            );
            for (names, fault) in self.blame_refused(&refused, &own) {
                // What asks for something that was left out is told by that.
                if !self.follows(&fault, &dropped) {
                    faults.push(fault);
                }
                own.retain(|name, _| !names.contains(*name));
                dropped.extend(names);
            }
        }
    }

    fn tera(&self, own: &BTreeMap<&str, &Guarded>) -> Result<Tera, Refused> {
        let own = own.iter().map(|(name, guarded)| (*name, guarded.text.as_str()));
        let built_in = self.built_in.iter().map(|(name, text)| (name.as_str(), text.as_str()));
        let all = own.chain(built_in);
        if let Some(circle) = guard::circle(all.clone().map(|(_, text)| text)) {
            return Err(Refused::Circle(circle));
        }
        let mut tera = Tera::new();
        tera.autoescape_on(vec![".html", ".xml", ".svg"]);
        tera.set_fallback_prefixes(self.prefixes.iter().cloned()).map_err(Refused::Tera)?;
        guard::register(&mut tera);
        tera.add_raw_templates(all).map_err(Refused::Tera)?;
        Ok(tera)
    }

    /// At least one of the theme's own, and why.
    fn blame_refused(&self, refused: &Refused, own: &BTreeMap<&str, &Guarded>) -> Vec<Blame> {
        let named: Vec<Blame> = match refused {
            Refused::Circle(circle) => {
                let defines = own.iter().find_map(|(name, guarded)| {
                    let (_, place) = guarded.defines().find(|(component, _)| circle.contains(component))?;
                    Some((*name, place))
                });
                let blame = |(name, place): (&str, (u32, u32))| {
                    (Names::from([name.to_owned()]), self.fault(name, Some(place), refused.words()))
                };
                defines.map(blame).into_iter().collect()
            }
            Refused::Tera(error) => {
                fault::said(error).iter().filter_map(|said| self.named(said, own)).collect()
            }
        };
        if !named.is_empty() {
            return named;
        }
        // A built-in one asks for something that stands no more where it stood.
        let without = |name: &&&str| {
            let mut rest = own.clone();
            rest.remove(**name);
            self.tera(&rest).is_ok()
        };
        let what = format!("the built-in templates do not go with it, {}", refused.words());
        match own.keys().find(without) {
            Some(name) => vec![(Names::from([(*name).to_owned()]), self.fault(name, None, what))],
            None => {
                let all = own.keys().map(|name| (*name).to_owned()).collect();
                vec![(all, Fault { place: Place::file(&self.folder), what })]
            }
        }
    }

    fn named(&self, said: &Said, own: &BTreeMap<&str, &Guarded>) -> Option<Blame> {
        let (name, place) = said.at.iter().find(|(name, _)| own.contains_key(name.as_str()))?;
        let place = place.and_then(|(line, column)| Some(own.get(name.as_str())?.place(line, column)));
        Some((Names::from([name.clone()]), self.fault(name, place, said.what.clone())))
    }

    fn fault(&self, name: &str, place: Option<(u32, u32)>, what: String) -> Fault {
        let (line, column) = place.unwrap_or_default();
        Fault { place: Place { file: format!("{}/{name}", self.folder).into(), line, column }, what }
    }

    /// Whether a fault speaks of a template that was left out, or of what one defines.
    fn follows(&self, fault: &Fault, dropped: &Names) -> bool {
        let gone = |name: &str| fault.what.contains(&format!("`{name}`"));
        let left_out = dropped.iter().filter_map(|name| self.own.get(name));
        dropped.iter().any(|name| gone(name))
            || left_out.flat_map(Guarded::defines).any(|(name, _)| gone(&name))
    }
}

impl Refused {
    fn words(&self) -> String {
        match self {
            Refused::Circle(circle) => format!("components call each other for ever: {}", circle.join(" > ")),
            Refused::Tera(error) => fault::said(error).swap_remove(0).what,
        }
    }
}
