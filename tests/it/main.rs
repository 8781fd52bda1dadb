//! One integration binary: it links once.

#![allow(clippy::unwrap_used, reason = "where a test finds nothing it must fail at that line")]

mod advice;
mod again;
mod any_order;
mod bench_command;
mod bench_server;
mod commands;
mod dice;
mod drawings;
mod example;
mod fit;
mod kill;
mod layers;
mod ledger;
mod outside;
mod pages;
mod pairing;
mod photos;
mod photos_faulty;
mod photos_jpeg;
mod readme;
mod site;
mod specs;
mod spreadsheet;
mod themes;
mod user;
