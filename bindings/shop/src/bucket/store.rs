//! What a shelf asks of whoever keeps it.

use super::ask::Once;
use super::error::BucketError;
use holebook_core::exchange::ExchangeError;
use std::io::Write;

/// The most bytes of one answer of a list that are read.
pub const LIST_BYTES: u64 = 64 << 20;
/// The most files that a list may name: as many photos and pieces of lines as a hundred shops make in ten years.
pub const MOST_FILES: usize = 2_000_000;

/// What is put: its bytes are known before they go.
pub enum Load<'a, 'r> {
    /// Lines.
    Bytes(&'a [u8]),
    /// A photo.
    Stream {
        /// Where it comes from.
        from: &'a mut Once<'r>,
        /// How many bytes it has.
        bytes: u64,
        /// SHA-256 of them, in hex digits.
        digest: String,
    },
}

/// A store that lists, gets and puts files by their names on the shelf, such as `photos/<hash>`. Several may be asked for at once.
pub trait Store: Send + Sync {
    /// Tells each file of the shelf, with its size in bytes; others may be among them. Gives `false` where the shelf was new, and
    /// was made.
    ///
    /// # Errors
    /// Where the store cannot be reached, refuses, or the list does not come whole.
    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, ExchangeError>;

    /// Writes a file into `into`, at most `most` bytes of it.
    ///
    /// # Errors
    /// [`ExchangeError::File`] where only this file cannot be had; others where the store cannot be reached or refuses.
    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), ExchangeError>;

    /// Puts a file. It is there whole or not at all.
    ///
    /// # Errors
    /// Where the store cannot be reached, refuses, or is full.
    fn put(&self, name: &str, load: Load<'_, '_>) -> Result<(), ExchangeError>;
}

/// That a list has more than any shelf.
pub fn too_long(shelf: &str, kind: &'static str) -> BucketError {
    BucketError::Answer {
        shelf: shelf.to_owned(),
        kind,
        detail: "its list is longer than any shelf's".to_owned(),
    }
}
