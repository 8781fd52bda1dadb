//! Endshake: a build journal for one-off wristwatches.
//!
//! The modules stand in the order in which the data flows; each names only modules above it. A test reads
//! that order here, and writes the map in DEVELOPERS.md from the lines beside them.

/// What tells a file from itself after a change, without reading it. Begin with `FileStamp`.
pub mod file_stamp;

/// Files, spans and places: where everything that was read stands. Begin with `Files::place`.
pub mod text;

/// What is wrong with a journal, with its place and the nearest known word. Begin with `Problem`.
pub mod problem;

/// Sizes as people write them, units, origins and their tolerances, ISO 286, clock angles. Begin with
/// `literal.rs`.
pub mod measure;

/// A folder of Markdown and YAML into typed parts, calibre sheets, builds and entries; `fields/table.rs` is
/// the one table of kinds and fields. Begin with `mod.rs`.
pub mod journal;

/// Parts out of a spreadsheet and into one, with cells that no spreadsheet runs. Begin with `read.rs`.
pub mod spreadsheet;

/// Readings of a timing machine: sittings, spreads, the criteria of ISO 3159. Begin with `sitting.rs`.
pub mod timing;

/// The log replayed by date: every part's sizes and place at a moment, and where the log contradicts
/// itself. Begin with `replay.rs`.
pub mod ledger;

/// Whether the parts of a build go together: `checks/` one file a check, `engine/` formulas over numbers,
/// intervals and slopes, `assembly.rs` what a check sees of a build. Begin with
/// `checks/dial_in_seat.rs`.
pub mod fit;

/// `spares.rs` which parts are free, `wanted/` what would go into an empty slot, `combine/` whole builds of
/// the free parts. Begin with `combine/best_first.rs`.
pub mod pairing;

/// Where each part is and was, what it cost, what is still to be measured, as data. Begin with `mod.rs`.
pub mod audit;

/// A build's parts and tools as plain text. Begin with `mod.rs`.
pub mod caption;

/// The one way to a checked journal: read from its folder, replayed, checked as far as somebody asks, and
/// kept up with what is saved. Begin with `Session`.
pub mod session;

/// Sections, plans, bars and charts as SVG, from the same numbers as the checks. Begin with `watch/`.
pub mod draw;

/// Derivatives of photos: decoded at the size wanted, upright, without metadata, made once. Begin with
/// `mod.rs`.
pub mod photos;

/// What templates may see (`context/`), Markdown, pages, feed and search index; no disk but the themes'.
/// Begin with `excerpt.rs`.
pub mod pages;

/// Writing a site as a whole: order, manifest, lock. Begin with `mod.rs`.
pub mod site;

/// Read, check, render, write. Begin with `mod.rs`.
pub mod publish;

/// Findings and problems in a terminal, as JSON and as SARIF. Begin with `text.rs`.
pub mod report;

/// A live preview of the site while the journal is written. Begin with `mod.rs`.
pub mod bench;

/// Arguments, one file a command. Begin with `mod.rs`.
pub mod cli;
