//! The device's end: pairing with a shop computer, and its shelf.

mod ask;
mod carry;
mod pairing;
mod pinned;
mod reach;
mod shelf;
mod stream;

pub use pairing::pair;
pub use shelf::LanShelf;
