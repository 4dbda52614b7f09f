//! Fuzz entry points: one for everything that is parsed from outside, each with properties that
//! must hold for any input.
//!
//! An entry point is a function over bytes that panics if a property does not hold. The fuzzer
//! (`tests/fuzz`) explores each of them, and `tests/tests/integration/fuzz_entry_points.rs` runs
//! the kept examples and some thousands of mutated ones.

mod bundle;
mod chunk;
mod entry_bodies;
mod fixed_ids;
mod history;
mod http_request;
mod inserts_file;
mod journal_line;
mod journal_writer;
mod lan_client;
mod lan_server;
mod mutate;
mod page_checks;
mod pairing_code;
mod photo;
mod quantities;
mod remote;
mod screens;
mod segment_name;
mod temp_notebook;

pub use mutate::{Mutator, mutated};

/// Something that parses outside input, with the properties that must hold.
#[derive(Debug, Clone, Copy)]
pub struct FuzzEntryPoint {
    /// Its name, which is also that of the fuzz target and of its corpus folder.
    pub name: &'static str,
    /// Runs it on these bytes.
    ///
    /// # Panics
    /// If a property does not hold.
    pub run: fn(&[u8]),
    /// Valid inputs to start from.
    pub examples: fn() -> Vec<Vec<u8>>,
}

/// Every entry point.
pub const ENTRY_POINTS: &[FuzzEntryPoint] = &[
    journal_line::ENTRY_POINT,
    segment_name::ENTRY_POINT,
    chunk::ENTRY_POINT,
    bundle::ENTRY_POINT,
    remote::ENTRY_POINT,
    pairing_code::ENTRY_POINT,
    lan_server::ENTRY_POINT,
    lan_client::ENTRY_POINT,
    history::ENTRY_POINT,
    quantities::ENTRY_POINT,
    inserts_file::ENTRY_POINT,
    photo::ENTRY_POINT,
    screens::ENTRY_POINT,
    http_request::ENTRY_POINT,
];

/// Runs the entry point of this name.
///
/// # Panics
/// If there is none of that name, or a property does not hold.
pub fn run(name: &str, bytes: &[u8]) {
    let entry_point = ENTRY_POINTS
        .iter()
        .find(|entry_point| entry_point.name == name);
    (entry_point.expect("an entry point of that name").run)(bytes);
}
