//! The bench: the site keeps up while the person writes, in a browser that shows every change.

mod answer;
mod events;
mod follow;
mod look;
mod media;
mod range;
mod server;

pub use answer::{Found, Stock};
pub use follow::{Change, Follower};
pub use server::Server;
