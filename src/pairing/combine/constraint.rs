//! A check as a search asks it: worked out once for all parts that answer its questions alike.

use std::collections::BTreeMap;
use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::fit::assembly::Assembly;
use crate::fit::bands::Bands;
use crate::fit::check::{Check, Subject};
use crate::fit::checks;
use crate::fit::expr::Shape;
use crate::fit::headline::headline;
use crate::fit::interval::Interval;
use crate::fit::nominal::{Formulas, Grade, Leaf, Leaves, Measure, Said, Work};
use crate::fit::trace::{Question, Trace};
use crate::fit::verdict::Band;
use crate::journal::{HeldBy, Slot};

use super::domains::Domains;
use super::search_space::{SearchSpace, SlotChoice};

/// A slot that is not decided yet.
pub(super) const UNDECIDED: u16 = u16::MAX;

/// HeadlineLimits on the headline figures, mm.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct HeadlineLimits {
    /// Across the case.
    pub diameter: Band,
    /// From the back to the top.
    pub thickness: Band,
    /// Lug to lug.
    pub lug_to_lug: Band,
}

/// What is asked of a combination of parts.
#[derive(Clone, Copy, Debug)]
pub(super) enum Requirement {
    Check(&'static Check, Subject),
    HeadlineLimits(HeadlineLimits),
}

/// A question to combinations with all that was found out about it.
#[derive(Clone)]
pub(super) struct Constraint {
    pub(super) asking: Requirement,
    /// The slots that it was seen to look at, by number, as bits.
    pub(super) scope: u32,
    /// The class of each choice of each slot: choices of one class answer all questions alike.
    pub(super) classes: Vec<Arc<Vec<u16>>>,
    /// How many classes each slot has.
    pub(super) counts: Vec<u16>,
    questions: Vec<Vec<Question>>,
    /// What a class of each slot in the scope counts for in the number of a form; `None` where there are
    /// more mixes of classes than numbers.
    weights: Option<Vec<(usize, u128)>>,
    formulas: FxHashMap<u128, Arc<ClassFormula>>,
    /// How often a question was new.
    pub(super) learned: usize,
}

/// What it says of all combinations of some classes.
struct ClassFormula {
    fixed: Grade,
    measures: Vec<(Measure, Vec<TermSource>)>,
}

/// The classes of what is chosen, as one number.
enum ClassMix {
    /// Something that counts is not decided.
    Undecided,
    /// The number.
    Of(u128),
    /// More classes than numbers: then the check is run every time.
    TooMany,
}

/// Where the size of a term comes from.
#[derive(Clone, Copy)]
enum TermSource {
    /// The choice of a slot, from a column of sizes.
    Column { slot: usize, column: usize },
    /// The formula itself.
    Own(Leaf),
}

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
                Some(form) => best.max(self.bound_form(at, &form, chosen, open)),
                None => Grade::BEST,
            };
            if best == Grade::BEST {
                break;
            }
        }
        self.trial = trial;
        best
    }

    fn bound_form(&mut self, at: usize, form: &ClassFormula, chosen: &[u16], open: &Domains) -> Grade {
        let mut grade = form.fixed;
        for (measure, sources) in &form.measures {
            if grade == Grade::Fouls {
                break;
            }
            self.ranges.clear();
            for source in sources {
                self.ranges.push(match *source {
                    TermSource::Own(leaf) => spread_of(std::iter::once(leaf)),
                    TermSource::Column { slot, column } => {
                        let sizes = &self.sizes[slot][column];
                        match chosen[slot] {
                            UNDECIDED => open.spread(at, slot, column, sizes),
                            choice => spread_of(std::iter::once(sizes[usize::from(choice)])),
                        }
                    }
                });
            }
            grade = grade.and(measure.bound(&self.ranges, &mut self.work));
        }
        grade
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

impl ClassFormula {
    /// The grade of a combination of these classes.
    fn grade(
        &self,
        chosen: &[u16],
        sizes: &[Vec<Vec<Leaf>>],
        leaves: &mut Vec<Leaf>,
        work: &mut Work,
    ) -> Grade {
        let mut grade = self.fixed;
        for (measure, sources) in &self.measures {
            if grade == Grade::Fouls {
                break;
            }
            leaves.clear();
            leaves.extend(sources.iter().map(|source| match *source {
                TermSource::Own(leaf) => leaf,
                TermSource::Column { slot, column } => sizes[slot][column][usize::from(chosen[slot])],
            }));
            grade = grade.and(measure.grade(leaves, work));
        }
        grade
    }
}

impl Constraint {
    fn new(asking: Requirement, space: &SearchSpace) -> Constraint {
        let count = space.slots.len();
        Constraint {
            asking,
            scope: 0,
            classes: space.choices.iter().map(|choices| Arc::new(vec![0; choices.len()])).collect(),
            counts: vec![1; count],
            questions: vec![Vec::new(); count],
            weights: Some(Vec::new()),
            formulas: FxHashMap::default(),
            learned: 0,
        }
    }

    /// Works the weights out anew.
    fn weigh(&mut self) {
        let mut next = Some(1_u128);
        let mut weights = Vec::new();
        for slot in bits(self.scope) {
            weights.push((slot, next.unwrap_or(0)));
            next = next.and_then(|weight| weight.checked_mul(self.counts[slot].into()));
        }
        self.weights = next.map(|_| weights);
    }

    fn key(&self, chosen: &[u16]) -> ClassMix {
        let Some(weights) = &self.weights else {
            let decided = bits(self.scope).all(|slot| chosen[slot] != UNDECIDED);
            return if decided { ClassMix::TooMany } else { ClassMix::Undecided };
        };
        let mut key = 0;
        for (slot, weight) in weights {
            let choice = chosen[*slot];
            if choice == UNDECIDED {
                return ClassMix::Undecided;
            }
            key += weight * u128::from(self.classes[*slot][usize::from(choice)]);
        }
        ClassMix::Of(key)
    }

    /// Its name in what is told: the check's id.
    pub(super) fn name(&self) -> &'static str {
        match self.asking {
            Requirement::Check(check, _) => check.id,
            Requirement::HeadlineLimits(_) => "limits",
        }
    }
}

impl HeadlineLimits {
    /// Whether a watch's headline figures lie in them.
    pub fn grade(&self, watch: &Assembly) -> Grade {
        if *self == HeadlineLimits::default() {
            return Grade::BEST;
        }
        let told = headline(watch);
        let pairs = [
            (self.diameter, told.diameter),
            (self.thickness, told.thickness),
            (self.lug_to_lug, told.lug_to_lug),
        ];
        let one = |(limit, figure): (Band, Option<f64>)| match figure {
            _ if limit == Band::OPEN => Grade::BEST,
            Some(figure) if limit.holds(figure) => Grade::BEST,
            Some(_) => Grade::Fouls,
            None => Grade::Unmeasured(crate::fit::nominal::Ease::MOST),
        };
        pairs.into_iter().map(one).fold(Grade::BEST, Grade::and)
    }
}

/// The numbers of the bits that are set.
pub(super) fn bits(mut set: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let at = (set != 0).then(|| set.trailing_zeros() as usize)?;
        set &= set - 1;
        Some(at)
    })
}

pub(super) fn spread_of(leaves: impl Iterator<Item = Leaf>) -> Leaves {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    let (mut calm, mut wild) = (f64::INFINITY, 0.0_f64);
    for leaf in leaves {
        least = least.min(leaf.value);
        most = most.max(leaf.value);
        calm = calm.min(leaf.variance);
        wild = wild.max(leaf.variance);
    }
    Leaves { values: Interval::new(least, most), variance: (calm, wild) }
}

const MOST_SAMPLES: usize = 48;
/// More mixes of classes than this are not looked at one by one.
const MOST_MIXES: usize = 32;
