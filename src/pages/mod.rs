//! What templates may see, and the pages made of it; no disk is touched here but for themes.

pub mod context;

pub mod feed;

pub mod markdown;

pub mod markup;

pub mod render;

pub mod search;

pub mod structured;

pub mod theme;
