//! The table itself.

use crate::measure::Quantity;

use super::constructors::{
    clock, field, flag, group, height, items, kind, length, nominal, number, text, word,
};
use super::{Field, FieldShape, Kind};

/// The words that say how a size is known.
pub const ORIGINS: &[&str] = &["gauged", "measured", "drawn", "stated", "assumed"];
const LUME: &[&str] = &["none", "modern", "tritium", "radium", "unknown"];
const GLASS: &[&str] = &["sapphire", "mineral", "hardened", "acrylic"];
const RINGS: &[&str] = &["plastic", "brass", "steel", "aluminium", "nylon", "resin"];
const METALS: &[&str] = &[
    "steel",
    "brass",
    "titanium",
    "bronze",
    "gold",
    "silver",
    "nickel silver",
    "aluminium",
    "copper",
    "iron",
    "plastic",
    "sapphire",
    "mineral",
    "acrylic",
];

/// Fields that every part has.
pub const PART: &[Field] = &[
    field("kind", FieldShape::Raw("one of the kinds"), "what the part is"),
    text("name", "what it is called on the pages"),
    field("from", FieldShape::Group(FROM), "where it came from"),
    word(
        "origin",
        ORIGINS,
        "how the sizes below are known, where they do not say themselves; stated if left out",
    ),
    text("like", "the id of a part whose sizes it takes over, as they came"),
    number("count", "how many equal ones there are: makes it a lot"),
    text("note", "anything worth knowing"),
    text("serial", "its number; shown only where journal.yaml says so"),
];

/// Where a part came from.
pub const FROM: &[Field] = &[
    text("donor", "the id of the watch it was taken from"),
    text("bought", "where it was bought"),
    text("made", "by whom it was made"),
    text("given", "by whom it was given"),
    field("date", FieldShape::Date, "the day it came"),
    number("price", "what it cost, in the journal's currency"),
];

const PLACE: &[Field] = &[
    clock("at", "direction from the centre, as seen from the front: 3h, 4h30 or 135 deg"),
    length("radius", "from the centre to its middle"),
    length("diameter", "across"),
];
const WINDOW: &[Field] = &[
    clock("at", "direction of its middle from the centre"),
    length("radius", "from the centre to its middle"),
    length("along", "size along the radius"),
    length("across", "size across the radius"),
];
const FIGURE: &[Field] = &[
    clock("at", "direction of the figure that stands in the window, with the stem at 3h"),
    length("radius", "from the centre to the middle of the figures"),
    length("along", "height of the tallest figure along the radius"),
    length("across", "width of the widest figure"),
    field("pitch", FieldShape::Size(Quantity::Turn), "angle from one figure to the next"),
    flag("quick_set", "whether the crown sets it alone"),
];
const CONE: [Field; 3] = [
    length("bottom", "inner diameter at its foot"),
    length("top", "inner diameter at its upper edge"),
    length("height", "from foot to upper edge"),
];

const CASE: &[Field] = &[
    length("diameter", "across the flanks, without the crown"),
    length("lug_to_lug", "tip to tip over the lugs"),
    length("lug_width", "between the lugs"),
    clock("crown_at", "where the crown stands"),
    length("dial_seat", "bore that the dial drops into"),
    length("opening", "inner diameter of the ledge that the dial is seen through"),
    field(
        "ledge",
        FieldShape::WordOr(
            &["front", "back"],
            &[height("over_seat", "the ledge over the plate, where it touches no dial")],
        ),
        "front: it bears on the dial's front (default); back: the dial lies on it",
    ),
    group("rehaut", &CONE, "the slope between dial and crystal"),
    length("shelf", "from the ledge up to the crystal's seat"),
    length("bore", "for the movement or its ring"),
    length("depth", "from the ledge back to the inside of the back"),
    length("back_to_ledge", "from the outside of the back to the ledge"),
    length("rim", "from the ledge to the top of the bezel"),
    group(
        "tube",
        &[
            height("below", "the tube's axis below the ledge, towards the back"),
            length("end_radius", "from the centre to the tube's outer end"),
            nominal("thread", "of the tube, for a screw crown"),
        ],
        "the crown's tube",
    ),
    group(
        "crystal_seat",
        &[length("diameter", "the bore that takes crystal and gasket")],
        "where the crystal sits",
    ),
    group("ring_seat", &[length("diameter", "for a loose chapter ring")], "where a chapter ring sits"),
    group("back", BACK, "the back, where it is the case's own"),
    height("bar_offset", "spring bar's axis to the flank"),
    field("rating", FieldShape::Size(Quantity::Pressure), "what is marked on it; never taken for a promise"),
];

const POST: &[Field] = &[
    length("diameter", "of the post, as gauged"),
    nominal("fits", "nominal size that hands are sold for"),
    height("top", "its top over the plate"),
    length("pipe_diameter", "of the pipe that passes the dial, the hour wheel's"),
    length("shake", "how far it moves up when pulled"),
    clock("at", "direction of an axis off the centre, with the stem at 3h"),
    length("radius", "of an axis off the centre"),
];

/// The fields of a calibre sheet, which a movement may give again where it was measured.
pub const SHEET: &[Field] = &[
    length("casing_diameter", "what the bore must take"),
    length("total_diameter", "over the flange"),
    length("height", "of the whole movement, as sheets print it: for its class, not for checks"),
    group("holder", HOLDER, "the dial-holding ring that comes on it"),
    height("height_below", "from the plate to the lowest point, rotor in"),
    length("rotor_radius", "of the rotor's lowest edge"),
    group(
        "posts",
        &[
            group("hour", POST, "the hour wheel"),
            group("minute", POST, "the cannon pinion"),
            group("seconds", POST, "the seconds post"),
            group("second_time", POST, "the second hour wheel"),
        ],
        "what the hands sit on",
    ),
    items("foot_holes", PLACE, "the holes for the dial's feet, with the stem at 3h"),
    group(
        "stem",
        &[
            height("below", "the stem's axis below the plate, towards the back"),
            clock("at", "where the stem stands; 3h"),
            nominal("tap", "thread of the stem"),
            length("seat_radius", "from the centre to where the stem's shoulder sits"),
        ],
        "the winding stem",
    ),
    group("date", FIGURE, "the date figures"),
    group("day", FIGURE, "the day figures"),
    word("seconds_at", &["centre", "small", "none"], "where the seconds are"),
    number("vph", "beats an hour"),
    field("lift_angle", FieldShape::Size(Quantity::Turn), "for the timing machine"),
    field("power_reserve", FieldShape::Size(Quantity::Hours), "hours from full wind"),
    flag("hacks", "whether the seconds stop for setting"),
    flag("hand_winds", "whether the crown winds it"),
    flag("self_winds", "whether a rotor winds it"),
    flag("quartz", "whether a cell drives it"),
    number("jewels", "how many"),
    group(
        "limits",
        &[
            field(
                "seconds_unbalance",
                FieldShape::Size(Quantity::Torque),
                "most that the seconds hand may have",
            ),
            field(
                "minute_unbalance",
                FieldShape::Size(Quantity::Torque),
                "most that the minute hand may have",
            ),
            field(
                "seconds_inertia",
                FieldShape::Size(Quantity::Inertia),
                "most that the seconds hand may have",
            ),
            field(
                "minute_inertia",
                FieldShape::Size(Quantity::Inertia),
                "most that the minute hand may have",
            ),
        ],
        "of the hands",
    ),
    group(
        "torque",
        &[
            field("seconds", FieldShape::Size(Quantity::Torque), "useful torque at the seconds post"),
            field("minute", FieldShape::Size(Quantity::Torque), "useful torque at the minute post"),
        ],
        "at the posts",
    ),
    text("source", "where the figures come from"),
    text("like", "the id of the sheet it builds on"),
    text("name", "what it is called on the pages"),
    word("origin", ORIGINS, "how the sizes are known, where they do not say themselves; stated if left out"),
];

/// Every kind of part.
pub const KINDS: &[Kind] = &[
    kind("case", "the case, with its lugs", CASE),
    kind(
        "chapter_ring",
        "a ring that lies on the dial in the rehaut's place",
        &[
            length("bottom", "inner diameter at its foot, on the dial"),
            length("top", "inner diameter at its upper edge"),
            length("height", "from foot to upper edge"),
            length("outer", "across"),
        ],
    ),
    kind(
        "dial_ring",
        "fills a seat wider than the dial",
        &[
            length("inner", "takes the dial"),
            length("outer", "goes into the seat"),
            length("thickness", "of the ring"),
        ],
    ),
    kind(
        "ring",
        "the movement ring",
        &[
            length("inner", "takes the movement"),
            length("outer", "goes into the case"),
            length("height", "of the ring"),
            height("from_seat", "from the plate to its upper face, positive towards the back"),
            word("material", RINGS, "of the ring"),
        ],
    ),
    kind("shim", "between the movement's plate and the dial", &[length("thickness", "of the shim")]),
    kind(
        "crystal",
        "the crystal",
        &[
            length("diameter", "across"),
            word("form", &["flat", "domed", "box"], "its form"),
            length("thickness", "at the centre"),
            length("height", "from foot to crown, outside"),
            length("inner_rise", "of the dome inside, over its aperture"),
            length("inner_aperture", "across the dome inside"),
            length("wall", "of a box crystal: from the base straight up to where the dome begins"),
            word("material", GLASS, "of the crystal"),
            word("held", &["radial", "face", "tension", "glued"], "how it is held; radial if left out"),
        ],
    ),
    kind(
        "crystal_gasket",
        "between crystal and case",
        &[
            length("section", "free thickness of its wall"),
            length("flange", "what lies under the crystal's base"),
            length("inner", "inner diameter"),
            word("material", &["elastomer", "nylon"], "of the gasket"),
        ],
    ),
    kind(
        "back_gasket",
        "between back and case",
        &[
            length("section", "free thickness"),
            length("inner", "inner diameter of the free ring"),
            group(
                "groove",
                &[
                    length("inner", "inner diameter of the groove"),
                    length("depth", "of the groove, closed"),
                    length("width", "of the groove"),
                ],
                "where it lies",
            ),
        ],
    ),
    kind(
        "bezel",
        "a loose or rotating bezel",
        &[
            length("inner", "inner diameter"),
            length("outer", "across"),
            length("insert_inner", "inner edge of the insert's seat"),
            length("insert_outer", "outer edge of the insert's seat"),
        ],
    ),
    kind(
        "insert",
        "the bezel's insert",
        &[length("inner", "inner diameter"), length("outer", "across"), length("thickness", "of the insert")],
    ),
    kind(
        "dial",
        "the dial",
        &[
            length("diameter", "across"),
            length("thickness", "at the hands"),
            length("centre_hole", "for the hour wheel's pipe"),
            length("track_diameter", "outermost print or lume"),
            group(
                "indices",
                &[
                    length("height", "over the dial's face"),
                    length("inner_radius", "their inner ends"),
                    length("outer_radius", "their outer ends"),
                ],
                "applied indices",
            ),
            items(
                "raised",
                &[
                    length("from", "inner radius"),
                    length("to", "outer radius"),
                    length("height", "over the dial's face"),
                ],
                "other raised features: a frame, a logo",
            ),
            items("feet", PLACE, "its feet, as seen from the front; [] says that there are none"),
            word("feet_from", &["front", "back"], "the side that the feet were measured from"),
            field("feet_for", FieldShape::Texts, "calibre ids that it is sold for"),
            clock("crown_at", "where the crown stands on this dial"),
            group("date_window", WINDOW, "the date window"),
            group("day_window", WINDOW, "the day window"),
            group(
                "small_seconds",
                &[
                    clock("at", "direction of its middle"),
                    length("radius", "from the centre to its middle"),
                    length("diameter", "across"),
                    length("recess", "below the dial's face"),
                ],
                "the small seconds",
            ),
            word("lume", LUME, "what glows on it; unknown if left out"),
        ],
    ),
    kind(
        "hand",
        "a hand",
        &[
            length("length", "from the axis to the tip"),
            length("tail", "from the axis to the end of the tail"),
            nominal("fits", "nominal post it is sold for"),
            length("bore", "of its pipe, as gauged"),
            length("thickness", "greatest, ridge, boss and lume included"),
            length("pipe", "below the underside"),
            height("proud", "its top over the post's top"),
            height("seated", "its top over the plate, measured once fitted"),
            field("mass", FieldShape::Size(Quantity::Mass), "weighed"),
            height("centroid", "from the axis to its centre of mass, towards the tip"),
            length("width", "mean, for its mass"),
            word("material", METALS, "of the hand"),
            word("lume", LUME, "what glows on it"),
        ],
    ),
    Kind { name: "movement", doc: "a movement", fields: MOVEMENT, also: SHEET },
    kind("stem", "a winding stem", &[nominal("tap", "its thread"), length("length", "of the stem")]),
    kind(
        "crown",
        "a crown",
        &[
            nominal("tap", "thread for the stem"),
            length("diameter", "across"),
            nominal("tube_thread", "of a screw crown"),
            length("reach", "from its inner face to the bottom of its thread"),
        ],
    ),
    kind("back", "a case back of its own", BACK),
    kind(
        "strap",
        "a strap or bracelet",
        &[
            length("width", "at the lugs"),
            length("thickness", "over the loop at the lugs"),
            length("length", "of the strap"),
            word("end", &["leather", "textile", "rubber", "metal"], "what its end is made of"),
        ],
    ),
    kind("watch", "a donor", &[field("holds", FieldShape::Texts, "what is still on it, in words")]),
];

const MOVEMENT: &[Field] = &[
    text("calibre", "the id of its sheet"),
    field("holder", FieldShape::WordOr(&["yes", "no"], HOLDER), "yes where its dial-holding ring is on"),
    field("serviced", FieldShape::Date, "the day of its last service"),
];

const HOLDER: &[Field] = &[
    length("outer", "across the dial-holding ring"),
    length("height", "of the ring"),
    word("material", RINGS, "of the ring; a plastic one gives"),
];

const BACK: &[Field] = &[
    length("thickness", "of the back"),
    length("free_diameter", "across the part that is not held"),
    word("material", METALS, "of the back"),
    word("edge", &["held", "free"], "held: screwed or pressed tight; free: only resting"),
    items(
        "profile",
        &[
            length("radius", "from the centre"),
            height("depth", "from the ledge to the inside of the back there"),
        ],
        "the inside of a back that is not flat",
    ),
];
