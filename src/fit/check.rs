//! What a check is: words for people, and a function that writes its formulas over a watch.

use crate::journal::Slot;

use super::assembly::Assembly;
use super::expr::Expr;
use super::sentence::Sentence;

/// One check. The functions of `checks/` each hold one; `checks::ALL` lists them.
#[derive(Debug)]
pub struct Check {
    /// Its name in files and JSON, kebab-case.
    pub id: &'static str,
    /// What it is about, in a few words: "dial in its seat".
    pub title: &'static str,
    /// Where it stands on a page.
    pub group: Group,
    /// What it asks, one sentence.
    pub asks: &'static str,
    /// The formula in words and symbols.
    pub formula: &'static str,
    /// Where each dimension is measured, and with what.
    pub measured: &'static str,
    /// What goes wrong when it is ignored.
    pub ignored: &'static str,
    /// What people do about it.
    pub remedy: &'static str,
    /// The unit of its figures; empty for a ratio or a rule.
    pub unit: &'static str,
    /// What it concerns.
    pub concerns: Concerns,
    /// Whether a person may accept what it finds: not where that would hide a danger.
    pub acceptable: bool,
    /// What the drawing beside its words shows.
    pub thumbnail: Thumbnail,
    /// Where the section and the plan of a build show its findings; `None` where neither does.
    pub scene: Option<Scene>,
    /// Writes its findings for a watch. A check whose slots are not filled writes none.
    pub run: fn(&Assembly, &mut Asked),
}

/// Where a check stands on a page, in the order in which a watch goes together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    /// The dial in its case and on its movement.
    Dial,
    /// The hands.
    Hands,
    /// The movement, its stem and crown.
    Movement,
    /// Crystal, gaskets and water.
    Water,
    /// Strap and wrist.
    Wear,
    /// Timing and records.
    Records,
}

impl Group {
    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Group::Dial => "Dial",
            Group::Hands => "Hands",
            Group::Movement => "Movement",
            Group::Water => "Crystal and water",
            Group::Wear => "Strap and wrist",
            Group::Records => "Timing and records",
        }
    }
}

/// What a check concerns.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Concerns {
    /// The parts: another part, or a change to one, may clear it.
    Parts,
    /// What builds hold which part, and when.
    Build,
    /// What the log says was measured or tested.
    Log,
}

/// What of a build its section and its plan show of a check.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scene {
    /// The dial's edge in its seat.
    Seat,
    /// The dial under the opening's edge.
    Opening,
    /// The dial's print and the opening.
    Track,
    /// The hour wheel's pipe in the hole of the dial.
    DialHole,
    /// The dial's feet and their holes.
    Feet,
    /// The date's numeral in its window, radially.
    DateAlong,
    /// The date's numeral in its window, tangentially.
    DateAcross,
    /// A hand over the dial's face.
    HandOverDial,
    /// A hand over indices or what else is raised.
    HandOverIndices,
    /// One hand over another.
    HandsApart,
    /// A hand under the crystal.
    HandUnderCrystal,
    /// The tip of a hand inside rehaut or chapter ring.
    HandInRing,
    /// The small seconds hand in its recess.
    SmallSeconds,
    /// A loose chapter ring between dial and crystal.
    RingRoom,
    /// The movement in its ring or in the case.
    MovementInCase,
    /// The movement held by its ring and the back.
    MovementHeld,
    /// Rotor or movement over the back.
    Back,
    /// The stem at the height of its tube.
    Stem,
    /// The crystal's gasket.
    CrystalGasket,
    /// The back's gasket.
    BackGasket,
}

/// What the drawing beside a check's words shows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Thumbnail {
    /// The dial's edge in its seat.
    Seat,
    /// The dial under its opening.
    Opening,
    /// The hole in the dial's middle.
    Hole,
    /// The dial's feet.
    Feet,
    /// The date in its window.
    Date,
    /// A hand on its post.
    Post,
    /// The stack of hands.
    Stack,
    /// The tips of the hands under the crystal.
    Crystal,
    /// The tips of the hands inside the ring.
    Ring,
    /// The movement in its bore.
    Bore,
    /// The rotor over the back.
    Back,
    /// Stem and crown.
    Stem,
    /// A gasket in its groove.
    Gasket,
    /// The bezel.
    Bezel,
    /// The strap between the lugs.
    Strap,
    /// The watch on the wrist.
    Wrist,
    /// The timing machine's trace.
    Timing,
    /// The log.
    Log,
}

impl Check {
    /// Whether it concerns the parts, and neither the log nor other builds.
    pub fn of_parts(&self) -> bool {
        self.concerns == Concerns::Parts
    }
}

/// What a check found to say, before it is judged.
#[derive(Debug, Default)]
pub struct Asked {
    pub(super) asked: Vec<Ask>,
    /// Which of its findings are wanted.
    pub(super) wanted: Subject,
    /// Whether a hand is being asked about.
    about_hand: bool,
    /// Whether something is said hand by hand.
    pub(super) by_hand: bool,
}

/// A part of what a check says. What it says of one hand rests on that hand alone, as far as
/// [`Asked::each_hand`] is used.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Default)]
pub enum Subject {
    /// Everything, as it is told.
    #[default]
    Told,
    /// Everything, with what [`Asked::telling`] would leave out.
    All,
    /// What it says of one hand.
    Hand(Slot),
    /// What it says of no one hand.
    Rest,
}

/// One finding to be.
#[derive(Debug)]
pub struct Ask {
    pub(super) about: String,
    pub(super) title: Option<String>,
    pub(super) note: Option<Sentence>,
    pub(super) unit: Option<&'static str>,
    pub(super) told: Told,
    pub(super) kind: AskKind,
    /// Belongs to another subject than what is wanted.
    pub(super) aside: bool,
}

/// How a measure's verdict is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Told {
    /// As it is.
    #[default]
    Always,
    /// Clear only where the worst case lies inside the band too.
    AtItsWorst,
    /// Where it is clear that says nothing: then it is a figure without a verdict.
    InTrouble,
}

#[derive(Debug)]
pub(super) enum AskKind {
    /// A formula with a band; `band` names the variant of the check's bands.
    Measure { formula: Expr, band: &'static str },
    /// Whether something holds, with the reason and the dimensions that were looked at.
    Rule { answer: Answer, reason: Sentence, used: Vec<String> },
    /// A figure without a verdict.
    Figure { formula: Expr },
    /// A remark without a figure or a verdict.
    Note,
}

/// The answer to a rule.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Answer {
    /// It holds.
    Holds,
    /// It holds, but look at it.
    Barely,
    /// It does not hold.
    Fails,
    /// Something is not known: the names of what is missing.
    Unknown(Vec<String>),
}

impl Asked {
    /// A formula whose result must lie in the check's band.
    pub fn measure(&mut self, about: impl Into<String>, formula: Expr) -> &mut Ask {
        self.push(about.into(), AskKind::Measure { formula, band: "" })
    }

    /// Something that holds or does not, and why.
    pub fn rule(
        &mut self,
        about: impl Into<String>,
        answer: Answer,
        reason: impl Into<Sentence>,
    ) -> &mut Ask {
        self.push(about.into(), AskKind::Rule { answer, reason: reason.into(), used: Vec::new() })
    }

    /// A figure that people want to know, without a verdict.
    pub fn figure(&mut self, about: impl Into<String>, formula: Expr) -> &mut Ask {
        self.push(about.into(), AskKind::Figure { formula })
    }

    /// A remark that is neither for nor against the parts.
    pub fn note(&mut self, about: impl Into<String>, words: impl Into<Sentence>) -> &mut Ask {
        self.push(about.into(), AskKind::Note).noting(words)
    }

    /// Only a part of what a check says.
    pub fn about(wanted: Subject) -> Asked {
        Asked { wanted, ..Asked::default() }
    }

    /// Asks about each hand of the watch, one by one. Nothing is carried from hand to hand: what is
    /// said of one rests on what the watch is asked for it alone.
    pub fn each_hand(&mut self, watch: &Assembly, of: &[Slot], ask: impl Fn(&mut Asked, Slot)) {
        self.by_hand = true;
        for hand in of.iter().copied() {
            let wanted = match self.wanted {
                Subject::Told | Subject::All => true,
                Subject::Hand(only) => only == hand,
                Subject::Rest => false,
            };
            if wanted && watch.has(hand) {
                self.about_hand = true;
                ask(self, hand);
                self.about_hand = false;
            }
        }
    }

    /// The same for the hands that turn about the dial's centre: all but a small seconds.
    pub fn each_centred_hand(&mut self, watch: &Assembly, ask: impl Fn(&mut Asked, Slot)) {
        self.each_hand(watch, &Slot::HANDS, |asked, hand| {
            if hand != Slot::Seconds || !watch.small_seconds() {
                ask(asked, hand);
            }
        });
    }

    /// Leaves out findings that another one includes: told is what is kept, of every one that was
    /// asked. Whatever fouls there must foul in one that is kept too.
    pub fn telling(&mut self, kept: impl Fn(&str) -> bool) {
        if self.wanted == Subject::Told {
            self.asked.retain(|ask| kept(&ask.about));
        }
    }

    fn push(&mut self, about: String, kind: AskKind) -> &mut Ask {
        let aside = matches!(self.wanted, Subject::Hand(_)) && !self.about_hand;
        let at = self.asked.len();
        self.asked.push(Ask { about, title: None, note: None, unit: None, told: Told::Always, kind, aside });
        &mut self.asked[at]
    }
}

impl Ask {
    /// A title of its own: "minute hand over hour hand".
    pub fn titled(&mut self, title: impl Into<String>) -> &mut Ask {
        self.title = Some(title.into());
        self
    }

    /// A sentence that belongs to it, whatever the verdict.
    pub fn noting(&mut self, note: impl Into<Sentence>) -> &mut Ask {
        self.note = Some(note.into());
        self
    }

    /// A measure judged by a variant of the check's bands: "without feet".
    pub fn within(&mut self, variant: &'static str) -> &mut Ask {
        if let AskKind::Measure { band, .. } = &mut self.kind {
            *band = variant;
        }
        self
    }

    /// A unit of its own, where the findings of a check do not share one.
    pub fn in_unit(&mut self, unit: &'static str) -> &mut Ask {
        self.unit = Some(unit);
        self
    }

    /// Clear only where the worst case lies inside the band, not only most of what may be.
    pub fn at_its_worst(&mut self) -> &mut Ask {
        self.told = Told::AtItsWorst;
        self
    }

    /// A measure that can only speak against the parts: where it is clear, it is a figure.
    pub fn only_in_trouble(&mut self) -> &mut Ask {
        self.told = Told::InTrouble;
        self
    }

    /// The dimensions that a rule looked at.
    pub fn using(&mut self, names: impl IntoIterator<Item = String>) -> &mut Ask {
        if let AskKind::Rule { used, .. } = &mut self.kind {
            used.extend(names);
        }
        self
    }
}
