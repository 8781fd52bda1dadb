//! The parts of a watch as drawings need them: nominal sizes.
//!
//! Lengths are millimetres. Angles are degrees by the clock: 12h is 0, clockwise, as seen on the wrist.

/// The figures by which a watch is first judged, in mm; `None`: not known yet.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Headline {
    /// From lug end to lug end.
    pub lug_to_lug: Option<f64>,
    /// Across the case, without the crown.
    pub diameter: Option<f64>,
    /// Between the lugs.
    pub lug_width: Option<f64>,
    /// From the back to the highest point of the crystal.
    pub thickness: Option<f64>,
    /// From the back to the rim, without the crystal; said beside the thickness.
    pub without_crystal: Option<f64>,
}

/// What the case's ledge bears on.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Ledge {
    /// The dial's front: the dial goes in from behind.
    #[default]
    Front,
    /// The dial lies on it, put in from the front.
    Back,
    /// It touches no dial and stands so far over the movement's plate.
    OverSeat(f64),
}

/// The case.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Case {
    /// Across, without the crown.
    pub diameter: Option<f64>,
    /// From lug end to lug end.
    pub lug_to_lug: Option<f64>,
    /// Between the lugs.
    pub lug_width: Option<f64>,
    /// The crown's place; 90 where nothing is said.
    pub crown_at: Option<f64>,
    /// The diameter of the seat that takes the dial.
    pub dial_seat: Option<f64>,
    /// The opening over the dial, where there is no rehaut to measure.
    pub opening: Option<f64>,
    /// What the ledge bears on.
    pub ledge: Ledge,
    /// The cone around the hands: diameters at its foot and at its top, and its height over the ledge.
    pub rehaut: Option<Cone>,
    /// The seat of a loose chapter ring, a diameter.
    pub ring_seat: Option<f64>,
    /// From the ledge up to the crystal's seat.
    pub shelf: Option<f64>,
    /// What the movement or its ring goes into, a diameter.
    pub bore: Option<f64>,
    /// From the ledge down to the inside of the back.
    pub depth: Option<f64>,
    /// From the ledge down to the outside of the back.
    pub back_to_ledge: Option<f64>,
    /// From the ledge up to the top of the bezel.
    pub rim: Option<f64>,
    /// From the ledge down to the axis of the crown's tube.
    pub tube_below: Option<f64>,
    /// From the axis to the tube's outer end.
    pub tube_end_radius: Option<f64>,
    /// The diameter that the crystal or its gasket goes into.
    pub crystal_seat: Option<f64>,
    /// Thickness of the back.
    pub back_thickness: Option<f64>,
    /// The inside of the back: radius and depth below the ledge, from the middle outwards.
    pub back_profile: Vec<(f64, f64)>,
}

/// A cone: two diameters and a height.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Cone {
    /// Diameter at the foot, over the dial.
    pub bottom: Option<f64>,
    /// Diameter at the top.
    pub top: Option<f64>,
    /// From foot to top.
    pub height: Option<f64>,
}

/// A bezel on the case.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Bezel {
    /// Inner diameter.
    pub inner: Option<f64>,
    /// Outer diameter.
    pub outer: Option<f64>,
    /// Inner and outer diameter of the insert that lies in it.
    pub insert: Option<(f64, f64)>,
}

/// The shape of a crystal.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Form {
    /// Flat on both sides.
    #[default]
    Flat,
    /// Arched.
    Domed,
    /// Straight walls under a dome.
    Box,
}

impl Form {
    /// The trade's word.
    pub fn word(self) -> &'static str {
        match self {
            Form::Flat => "flat",
            Form::Domed => "domed",
            Form::Box => "box",
        }
    }
}

/// The crystal.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Crystal {
    /// Diameter at the foot.
    pub diameter: Option<f64>,
    /// Its shape.
    pub form: Form,
    /// At the centre.
    pub thickness: Option<f64>,
    /// From the foot to the highest point outside.
    pub height: Option<f64>,
    /// How far the inner face rises over its aperture.
    pub inner_rise: Option<f64>,
    /// The diameter over which it rises.
    pub inner_aperture: Option<f64>,
    /// Of a box crystal: from the base straight up to where the dome begins.
    pub wall: Option<f64>,
}

/// The gasket around a crystal.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct CrystalGasket {
    /// Free thickness.
    pub section: Option<f64>,
    /// What lies under the crystal's base; 0 for none.
    pub flange: Option<f64>,
    /// Inner diameter.
    pub inner: Option<f64>,
}

/// A chapter ring on the dial.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct ChapterRing {
    /// Its inner cone.
    pub cone: Cone,
    /// Outer diameter.
    pub outer: Option<f64>,
}

/// The dial.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Dial {
    /// Diameter.
    pub diameter: Option<f64>,
    /// Diameter as it came, where it was turned down or filled out since.
    pub diameter_as_came: Option<f64>,
    /// Thickness at the hands.
    pub thickness: Option<f64>,
    /// Diameter of the hole for the hour pipe.
    pub centre_hole: Option<f64>,
    /// Diameter of the outermost print.
    pub track_diameter: Option<f64>,
    /// Applied indices.
    pub indices: Option<Indices>,
    /// Raised rings and frames: inner radius, outer radius, height over the face.
    pub raised: Vec<(f64, f64, f64)>,
    /// Feet, as seen from the front.
    pub feet: Vec<Foot>,
    /// The date's window.
    pub date_window: Option<Window>,
    /// The day's window.
    pub day_window: Option<Window>,
    /// A small seconds of its own.
    pub small_seconds: Option<SubDial>,
}

/// Applied indices.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Indices {
    /// Over the dial's face.
    pub height: Option<f64>,
    /// Where they begin.
    pub inner_radius: Option<f64>,
    /// Where they end.
    pub outer_radius: Option<f64>,
}

/// A dial foot, or the hole for one.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Foot {
    /// Its place by the clock.
    pub at: Option<f64>,
    /// From the axis.
    pub radius: Option<f64>,
    /// Its diameter.
    pub diameter: Option<f64>,
    /// Cut off since it came; of a hole: false.
    pub cut: bool,
}

/// A window in the dial, or the figure that shows in it.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Window {
    /// Its place by the clock.
    pub at: Option<f64>,
    /// From the axis to its middle.
    pub radius: Option<f64>,
    /// Radial width.
    pub along: Option<f64>,
    /// Tangential width.
    pub across: Option<f64>,
}

/// A small seconds on the dial.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct SubDial {
    /// Its place by the clock.
    pub at: Option<f64>,
    /// From the axis to its middle.
    pub radius: Option<f64>,
    /// Its diameter.
    pub diameter: Option<f64>,
    /// How far it lies under the dial's face.
    pub recess: Option<f64>,
}

/// A ring around the dial.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct DialRing {
    /// Inner diameter.
    pub inner: Option<f64>,
    /// Outer diameter.
    pub outer: Option<f64>,
    /// Thickness.
    pub thickness: Option<f64>,
}

/// A shim under the dial.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Shim {
    /// Thickness.
    pub thickness: Option<f64>,
}

/// Which hand.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Role {
    /// The hour hand.
    Hour,
    /// A second hour hand.
    SecondTime,
    /// The minute hand.
    Minute,
    /// The seconds hand, on the axis or on its own small dial.
    Seconds,
}

impl Role {
    /// The word in a label.
    pub fn word(self) -> &'static str {
        match self {
            Role::Hour => "hour",
            Role::SecondTime => "second time",
            Role::Minute => "minute",
            Role::Seconds => "seconds",
        }
    }
}

/// A hand.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Hand {
    /// Which one.
    pub role: Role,
    /// From the axis to the tip.
    pub length: Option<f64>,
    /// From the axis to the other end.
    pub tail: Option<f64>,
    /// Greatest thickness.
    pub thickness: Option<f64>,
    /// Its top over the movement's plate, as seated or as its post gives it.
    pub top: Option<f64>,
    /// How far its pipe reaches below its underside.
    pub pipe: Option<f64>,
    /// Greatest width.
    pub width: Option<f64>,
}

impl Hand {
    /// A hand of which nothing is known yet.
    pub fn new(role: Role) -> Hand {
        Hand { role, length: None, tail: None, thickness: None, top: None, pipe: None, width: None }
    }
}

/// A post that carries a hand.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Post {
    /// Which hand it carries.
    pub role: Role,
    /// Its diameter.
    pub diameter: Option<f64>,
    /// Its top over the plate.
    pub top: Option<f64>,
}

/// The movement, turned into its case.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Movement {
    /// Its calibre sheet or class.
    pub calibre: String,
    /// What the bore must take, a diameter.
    pub casing_diameter: Option<f64>,
    /// The dial-holding ring where it is on: outer diameter and height.
    pub holder: Option<(Option<f64>, Option<f64>)>,
    /// From the plate to the lowest point, rotor in.
    pub height_below: Option<f64>,
    /// The rotor's radius.
    pub rotor_radius: Option<f64>,
    /// Whether it has a rotor.
    pub self_winds: bool,
    /// Posts of the hands.
    pub posts: Vec<Post>,
    /// Diameter of the hour wheel's pipe where it passes the dial.
    pub pipe_diameter: Option<f64>,
    /// The place of a seconds post beside the axis: clock angle and radius.
    pub seconds_at: Option<(f64, f64)>,
    /// Holes for the dial's feet.
    pub foot_holes: Vec<Foot>,
    /// From the plate down to the stem's axis.
    pub stem_below: Option<f64>,
    /// From the axis to where the stem seats.
    pub stem_seat_radius: Option<f64>,
    /// The figure of the date that stands next to the window.
    pub date: Option<Window>,
    /// The figure of the day that stands next to its window.
    pub day: Option<Window>,
}

/// The ring between movement and case.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct MovementRing {
    /// Inner diameter.
    pub inner: Option<f64>,
    /// Outer diameter.
    pub outer: Option<f64>,
    /// Height.
    pub height: Option<f64>,
    /// From the plate down to its upper face.
    pub from_seat: Option<f64>,
    /// Of metal; plastic otherwise.
    pub metal: bool,
}

/// The crown.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Crown {
    /// Its diameter.
    pub diameter: Option<f64>,
}

/// The back's gasket.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct BackGasket {
    /// Free thickness.
    pub section: Option<f64>,
    /// Inner diameter of its groove, or of the gasket.
    pub inner: Option<f64>,
}
