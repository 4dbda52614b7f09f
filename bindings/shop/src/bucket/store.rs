//! What a shelf asks of whoever keeps it.

use holebook_core::exchange::ExchangeError;
use holebook_link::http::Once;
use std::io::Write;

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
pub trait Store: Sync {
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
