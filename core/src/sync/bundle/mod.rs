//! A bundle: a remote as one zip file, to hand over by message, cable or stick.
//!
//! ```text
//! journal/<device>/<first>-<last>-<start of the last line's hash>.jsonl
//! photos/<hash>
//! ```
//!
//! The first is a segment of one device's journal, deflated; the second a photo, stored without
//! compression.
//!
//! The names are those of a folder remote, so a zipped remote folder is a bundle, and an unzipped
//! bundle is a remote folder. The same content gives the same bytes, whichever device writes it and
//! when.
//!
//! A bundle is written once and then only read. It is trusted no more than a network: everything
//! that can be validated in a zip file without unpacking it is checked by [`Bundle::open`], no more
//! is unpacked than was declared, and what comes out is validated like the content of any other
//! remote.
//!
//! Writing a bundle does not mean that it arrived. Its lines count as synced only after a person
//! says so ([`WrittenBundle::mark_synced`]).

mod central_directory;
mod contents;
mod error;
mod fused_writer;
mod new_file;
mod read;
mod select;
mod shared_file;
mod write;

pub use error::{BundleError, BundleFlaw};
pub(crate) use fused_writer::FusedWriter;
pub(crate) use new_file::NewFile;
pub use read::{Bundle, import};
pub use select::BundleContent;
pub use write::{WrittenBundle, write, write_replacing};

/// The most files that a bundle may hold.
const MAX_FILES: u64 = 50_000;
/// The most bytes of lines that a bundle may hold, unpacked: about five million entries.
const MAX_LINE_BYTES: u64 = 2 << 30;

#[cfg(test)]
mod tests;
