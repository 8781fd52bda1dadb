//! One integration binary: it links once.

#![allow(clippy::unwrap_used, reason = "where a test finds nothing it must fail at that line")]

mod advice;
mod again;
mod any_order;
mod bench_attacks;
mod bench_command;
mod bench_server;
mod commands;
mod dependencies;
mod dice;
mod drawings;
mod escaping;
mod example;
mod fit;
mod fuzz;
mod hostile;
mod kill;
mod layers;
mod ledger;
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
mod sites;
mod specs;
mod spreadsheet;
mod themes;
mod untouched;
mod user;
