//! What is drawn of a build: its parts with their nominal sizes, and where its findings are.

mod clearance;
mod drawn_watch;
mod from_build;
mod parts;

pub use self::clearance::{Clearance, Place};
pub use self::drawn_watch::DrawnWatch;
pub use self::from_build::drawn_watch;
pub use self::parts::{
    BackGasket, Bezel, Case, ChapterRing, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing, Foot, Form,
    Hand, Headline, Indices, Ledge, Movement, MovementRing, Post, Role, Shim, SubDial, Window,
};
