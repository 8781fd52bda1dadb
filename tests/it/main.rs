//! What the program does, by its own promises. Attacks on it are in the binary beside this one.

#![allow(clippy::unwrap_used, reason = "where a test finds nothing it must fail at that line")]

mod advice;
mod again;
mod any_order;
mod bench_command;
mod bench_server;
mod commands;
mod dependencies;
#[path = "../common/dice.rs"]
mod dice;
mod dimension_names;
mod drawings;
mod escaping;
mod example;
mod fit;
mod hidden;
mod layers;
mod ledger;
#[path = "../common/markup.rs"]
#[allow(dead_code, reason = "the other binary of tests uses the rest")]
mod markup;
mod output;
mod outside;
mod pages;
mod pairing;
mod part_pages;
mod photos;
mod photos_faulty;
mod photos_jpeg;
mod readme;
mod same_bytes;
mod site;
#[path = "../common/sites.rs"]
#[allow(dead_code, reason = "the other binary of tests uses the rest")]
mod sites;
mod specs;
mod spreadsheet;
mod themes;
mod untouched;
mod user;
