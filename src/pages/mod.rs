//! What templates may see, and the pages made of it; no disk is touched here but for themes.

pub mod context;

pub mod markup;

pub mod markdown;

pub mod words;

pub mod theme;

pub mod render;

pub mod addresses;

pub mod album;

mod source;

mod excerpt;

mod results;

mod input;

mod frame;

pub mod caution;

mod texts;

mod checked;

mod findings;

mod log;

mod part_history;

mod parts;

mod timing;

mod drawings;

mod build;

mod wanted;

mod gallery;

mod bin;

mod checks;

mod needs;

mod audit;

pub mod search;

pub mod feed;

pub mod structured;

mod cards;

mod making;

pub use input::Input;
pub use making::{Pages, Put, START, all, one};
pub use results::Results;
