//! A bundle: a shelf as one zip file, to be handed over by whatever a device offers: a message, a cable, a stick.
//!
//! ```text
//! journal/<device>/<first>-<last>-<start of the last line's hash>.jsonl    lines of one device's journal, deflated
//! photos/<hash>                                                           a photo, stored as it is
//! ```
//! The names are those of a folder shelf, so that a shelf's folder that somebody packed by other means is a bundle too, and an
//! unpacked bundle is a shelf's folder. The same content gives the same bytes, whoever writes it and when.
//!
//! A bundle is written once and then only read. It is no more trusted than a network: whatever can be told of a zip file
//! without unpacking it is checked when it is opened ([`Bundle::open`]), no more is unpacked than was declared, and all that
//! comes out is checked as from any other shelf.
//!
//! That a bundle was written does not mean that it arrived. Its lines count as brought home only where a person says so
//! ([`Written::count_as_home`]).

mod error;
mod file;
mod frame;
mod pen;
mod pick;
mod read;
mod shared;
mod sort;
mod write;

pub use error::{BundleError, Flaw};
pub use pick::What;
pub use read::{Bundle, take_in};
pub use write::{Written, write, write_over};

/// The most files that a bundle may hold.
const MOST_FILES: u64 = 50_000;
/// The most bytes of lines that a bundle may hold, unpacked: some five million entries.
const MOST_LINES: u64 = 2 << 30;

#[cfg(test)]
mod tests;
