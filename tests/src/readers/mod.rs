//! Readers of what comes from outside, each with what must hold whatever it is given.
//!
//! A reader here is a function over bytes that panics where a law is broken. The fuzzer (`tests/fuzz`) drives each as far as
//! it can, and `tests/tests/readers.rs` goes over the kept examples and some thousands of changed ones.

mod bundle;
mod chain;
mod client;
mod code;
mod entry;
mod examples;
mod history;
mod inserts;
mod measure;
mod names;
mod page;
mod photo;
mod piece;
mod scratch;
mod screens;
mod server;
mod shapes;
mod shelf;
mod stretch;
mod wire;

pub use examples::{Changes, changed};

/// A reader, and what must hold of it.
#[derive(Debug, Clone, Copy)]
pub struct Reader {
    /// Its name, that of the fuzzer's target and of its folder of examples.
    pub name: &'static str,
    /// Gives it these bytes.
    ///
    /// # Panics
    /// Where a law is broken.
    pub give: fn(&[u8]),
    /// Examples from real data, to start from.
    pub examples: fn() -> Vec<Vec<u8>>,
}

/// Every reader.
pub const READERS: &[Reader] = &[
    entry::READER,
    stretch::READER,
    piece::READER,
    bundle::READER,
    shelf::READER,
    code::READER,
    server::READER,
    client::READER,
    history::READER,
    measure::READER,
    inserts::READER,
    photo::READER,
    screens::READER,
    wire::READER,
];

/// Gives bytes to the reader of this name.
///
/// # Panics
/// Where there is none of that name, and where a law is broken.
pub fn give(name: &str, bytes: &[u8]) {
    let reader = READERS.iter().find(|reader| reader.name == name);
    (reader.expect("a reader of that name").give)(bytes);
}
