//! What templates may see, and the pages made of it; no disk is touched here but for themes.

pub mod context;

pub mod markup;

pub mod markdown;

pub mod words;

pub mod theme;

pub mod render;

pub mod addresses;

pub mod album;

pub mod digest;

mod kept;

mod source;

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

mod all;

pub use all::{Input, Pages, Put, START, all, some};
pub use kept::Kept;
