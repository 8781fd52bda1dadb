//! All constraints of a search, over all choices: each check is run once for each mix of classes.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::check::{Check, Subject};
use crate::fit::checks;
use crate::fit::expr::Shape;
use crate::fit::nominal::{Formulas, Grade, Leaf, Leaves, Measure, Said, Work};
use crate::fit::trace::{Question, Trace};
use crate::journal::{HeldBy, Slot};

use super::class_formula::{ClassFormula, TermSource};
use super::constraint::{ClassMix, Constraint, Requirement};
use super::domains::Domains;
use super::headline_limits::HeadlineLimits;
use super::search_space::{SearchSpace, SlotChoice, UNDECIDED, bits};

/// All questions, over all choices.
#[derive(Clone)]
pub(super) struct Constraints<'a> {
    base: &'a Assembly,
    bands: &'a Bands,
    pub(super) space: &'a SearchSpace,
    pub(super) constraints: Vec<Constraint>,
    /// Per slot: the number of a path's column.
    columns: Vec<BTreeMap<String, usize>>,
    /// Per slot and column: the size of each choice.
    sizes: Vec<Vec<Vec<Leaf>>>,
    /// The classes by one question alone.
    answers: BTreeMap<(usize, Question), Arc<Vec<u16>>>,
    work: Work,
    leaves: Vec<Leaf>,
    ranges: Vec<Leaves>,
    trial: Vec<u16>,
}

impl<'a> Constraints<'a> {
    /// Every check of parts, and the limits; what each looks at is found by asking a sample.
    pub(super) fn new(
        base: &'a Assembly,
        bands: &'a Bands,
        space: &'a SearchSpace,
        limits: HeadlineLimits,
    ) -> Constraints<'a> {
        let count = space.slots.len();
        let mut constraints = Constraints {
            base,
            bands,
            space,
            constraints: Vec::new(),
            columns: vec![BTreeMap::new(); count],
            sizes: vec![Vec::new(); count],
            answers: BTreeMap::new(),
            work: Work::default(),
            leaves: Vec::new(),
            ranges: Vec::new(),
            trial: Vec::new(),
        };
        let samples = constraints.samples();
        let mut asking = vec![Requirement::HeadlineLimits(limits)];
        for check in checks::ALL.iter().filter(|check| check.of_parts()) {
            if samples.iter().take(8).any(|sample| constraints.says_by_hand(check, sample)) {
                let hands = Slot::HANDS.into_iter().filter(|hand| space.slots.contains(hand));
                asking.push(Requirement::Check(check, Subject::Rest));
                asking.extend(hands.map(|hand| Requirement::Check(check, Subject::Hand(hand))));
            } else {
                asking.push(Requirement::Check(check, Subject::All));
            }
        }
        constraints.constraints = asking.into_iter().map(|asking| Constraint::new(asking, space)).collect();
        for sample in &samples {
            for at in 0..constraints.constraints.len() {
                constraints.grade(at, sample);
            }
        }
        constraints
    }

    /// Combinations in which many choices of every slot occur.
    fn samples(&self) -> Vec<Vec<u16>> {
        let longest = self.space.choices.iter().map(Vec::len).max().unwrap_or(0);
        let step = longest.div_ceil(MOST_SAMPLES).max(1);
        let sample = |at: usize| {
            let one = |(slot, choices): (usize, &Vec<SlotChoice>)| {
                // Another stride in each slot, so that equal numbers do not always meet.
                (at.wrapping_mul(2 * slot + 1).wrapping_add(slot + choices.len() - 1) % choices.len().max(1))
                    as u16
            };
            self.space.choices.iter().enumerate().map(one).collect()
        };
        (0..longest).step_by(step).map(sample).collect()
    }

    fn says_by_hand(&self, check: &'static Check, chosen: &[u16]) -> bool {
        let (parts, held) = self.space.parts(chosen);
        Formulas::of(check, Subject::All, &self.base.of_parts(parts, held), self.bands).by_hand
    }

    /// The grade of a combination; `None` while it depends on a slot that is not decided.
    pub(super) fn grade(&mut self, at: usize, chosen: &[u16]) -> Option<Grade> {
        let constraint = &self.constraints[at];
        let known = match constraint.key(chosen) {
            ClassMix::Undecided => return None,
            ClassMix::Of(key) => constraint.formulas.get(&key),
            ClassMix::TooMany => None,
        };
        if let Some(form) = known {
            return Some(form.grade(chosen, &self.sizes, &mut self.leaves, &mut self.work));
        }
        let form = self.form(at, chosen)?;
        Some(form.grade(chosen, &self.sizes, &mut self.leaves, &mut self.work))
    }

    /// The best grade that it could come to, whatever is chosen of `open` where nothing is yet.
    pub(super) fn bound(&mut self, at: usize, chosen: &[u16], open: &mut Domains) -> Grade {
        let undecided = |slot: &usize| chosen[*slot] == UNDECIDED;
        let scope = self.constraints[at].scope;
        // Domain of one class go by the same formulas; each mix of classes is looked at.
        let mut mixes = 1;
        let mut free = false;
        for slot in bits(scope).filter(undecided) {
            free = true;
            mixes *= open.count(at, slot, &self.constraints[at], MOST_MIXES);
            if mixes == 0 {
                return Grade::Fouls;
            }
            if mixes > MOST_MIXES {
                return Grade::BEST;
            }
        }
        if !free {
            return self.grade(at, chosen).unwrap_or(Grade::BEST);
        }
        let mut trial = std::mem::take(&mut self.trial);
        let mut best = Grade::Fouls;
        for mix in 0..mixes {
            trial.clear();
            trial.extend_from_slice(chosen);
            open.mix(at, bits(scope).filter(undecided), mix, &mut trial);
            let learned = self.constraints[at].learned;
            let form = self.form(at, &trial);
            // A question that came up only now has changed the classes: they mix differently.
            let form = form.filter(|_| self.constraints[at].learned == learned);
            best = match form {
                Some(form) => {
                    let spread = |slot, column, sizes: &[Leaf]| open.spread(at, slot, column, sizes);
                    best.max(form.bound(chosen, &self.sizes, spread, (&mut self.ranges, &mut self.work)))
                }
                None => Grade::BEST,
            };
            if best == Grade::BEST {
                break;
            }
        }
        self.trial = trial;
        best
    }

    /// The formulas for a combination; `None` where it depends on a slot that is not decided.
    fn form(&mut self, at: usize, chosen: &[u16]) -> Option<Arc<ClassFormula>> {
        match self.constraints[at].key(chosen) {
            ClassMix::Undecided => return None,
            ClassMix::Of(key) => {
                if let Some(form) = self.constraints[at].formulas.get(&key) {
                    return Some(form.clone());
                }
            }
            ClassMix::TooMany => {}
        }
        let form = Arc::new(self.run(at, chosen)?);
        let constraint = &mut self.constraints[at];
        if let ClassMix::Of(key) = constraint.key(chosen) {
            constraint.formulas.insert(key, form.clone());
        }
        Some(form)
    }

    /// Runs the check over what is chosen and learns what it looks at; `None` where it looked at
    /// what is not decided.
    fn run(&mut self, at: usize, chosen: &[u16]) -> Option<ClassFormula> {
        let trace = Arc::new(Trace::default());
        let (parts, held) = self.space.parts(chosen);
        let watch = self.base.of_parts(parts, held).traced(&trace);
        let said = match self.constraints[at].asking {
            Requirement::Check(check, subject) => Formulas::of(check, subject, &watch, self.bands).said,
            Requirement::HeadlineLimits(limits) => vec![(String::new(), Said::Fixed(limits.grade(&watch)))],
        };
        let mut whole = true;
        for question in trace.take() {
            let Some(slot) = self.space.position(question.slot()) else { continue };
            whole &= chosen[slot] != UNDECIDED;
            self.learn(at, slot, question);
        }
        if !whole {
            return None;
        }
        let mut form = ClassFormula { fixed: Grade::BEST, measures: Vec::new() };
        for (_, said) in said {
            match said {
                Said::Fixed(grade) => form.fixed = form.fixed.and(grade),
                Said::Measure(measure) => {
                    let sources = self.sources(&measure, chosen);
                    form.measures.push((measure, sources));
                }
            }
        }
        Some(form)
    }

    fn learn(&mut self, at: usize, slot: usize, question: Question) {
        let constraint = &mut self.constraints[at];
        if constraint.questions[slot].contains(&question) {
            return;
        }
        constraint.scope |= 1 << slot;
        constraint.learned += 1;
        let own = self.answers.entry((slot, question.clone())).or_insert_with(|| {
            let mut known: BTreeMap<String, u16> = BTreeMap::new();
            let class = |choice: &SlotChoice| {
                let held = choice.held.map_or("", HeldBy::word);
                let answer = question.answer(choice.part.as_deref(), held);
                let next = known.len() as u16;
                *known.entry(answer).or_insert(next)
            };
            Arc::new(self.space.choices[slot].iter().map(class).collect())
        });
        let mut known: BTreeMap<(u16, u16), u16> = BTreeMap::new();
        let finer = constraint.classes[slot].iter().zip(own.iter()).map(|(old, new)| {
            let next = known.len() as u16;
            *known.entry((*old, *new)).or_insert(next)
        });
        let finer: Vec<u16> = finer.collect();
        constraint.questions[slot].push(question);
        if known.len() != usize::from(constraint.counts[slot]) {
            constraint.counts[slot] = known.len() as u16;
            constraint.classes[slot] = Arc::new(finer);
            constraint.formulas.clear();
        }
        constraint.weigh();
    }

    fn sources(&mut self, measure: &Measure, chosen: &[u16]) -> Vec<TermSource> {
        let names: Vec<Option<(Slot, String)>> =
            measure.names().map(|name| name.map(|(slot, path)| (slot, path.to_owned()))).collect();
        let terms = measure.compiled.terms.iter().zip(names);
        terms
            .map(|(term, name)| {
                let own = TermSource::Own(Leaf::of(term).unwrap_or(Leaf { value: 0.0, variance: 0.0 }));
                let Some((slot, path)) = name else { return own };
                let Some(at) = self.space.position(slot) else { return own };
                let Some(column) = self.column(at, &path) else { return own };
                // What was assumed for a size that is not known belongs to the formula.
                match self.sizes[at][column][usize::from(chosen[at])].value.is_nan() {
                    true => own,
                    false => TermSource::Column { slot: at, column },
                }
            })
            .collect()
    }

    /// The column of a path; `None` where no choice of the slot has a size there.
    fn column(&mut self, slot: usize, path: &str) -> Option<usize> {
        if let Some(column) = self.columns[slot].get(path) {
            return Some(*column);
        }
        let size = |choice: &SlotChoice| {
            let size = choice.part.as_ref()?.spec.size(path)?.value;
            let shape = if size.origin.uniform() { Shape::Uniform } else { Shape::Normal };
            Some(Leaf::new(size.value, size.plus, size.minus, shape))
        };
        let sizes: Vec<Option<Leaf>> = self.space.choices[slot].iter().map(size).collect();
        if sizes.iter().all(Option::is_none) {
            return None;
        }
        let unknown = Leaf { value: f64::NAN, variance: f64::NAN };
        self.sizes[slot].push(sizes.into_iter().map(|size| size.unwrap_or(unknown)).collect());
        let column = self.sizes[slot].len() - 1;
        self.columns[slot].insert(path.to_owned(), column);
        Some(column)
    }
}

const MOST_SAMPLES: usize = 48;
/// More mixes of classes than this are not looked at one by one.
const MOST_MIXES: usize = 32;
