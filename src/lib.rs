//! Endshake: a build journal for one-off wristwatches.
//!
//! The data goes one way, and the modules below stand in that order; a module names only modules
//! above it, and neighbours joined by `|` do not know each other:
//!
//! `text | measure` -> `problem` -> `journal` -> `spreadsheet | timing` -> `ledger` -> `fit` -> `pairing`
//! -> `audit` -> `caption` -> `draw | photos` -> `pages` -> `site` -> `publish`; `report` tells findings in a terminal, in JSON and
//! in SARIF; `bench` follows the journal while the person writes; `cli` wires it all.

pub mod text;

pub mod measure;

pub mod problem;

pub mod journal;

pub mod spreadsheet;

pub mod timing;

pub mod ledger;

pub mod fit;

pub mod pairing;

pub mod audit;

pub mod caption;

pub mod draw;

pub mod photos;

pub mod pages;

pub mod site;

pub mod publish;

pub mod report;

pub mod bench;

pub mod cli;
