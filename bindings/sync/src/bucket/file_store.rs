//! The interface between a bucket remote and the store that holds its files.

use crate::http::SendOnce;
use holebook_core::sync::SyncError;
use std::io::Write;

/// Content to upload, with a size known in advance.
pub enum Upload<'a, 'r> {
    /// Lines.
    Bytes(&'a [u8]),
    /// A photo.
    Stream {
        /// Its source.
        from: &'a mut SendOnce<'r>,
        /// Its size in bytes.
        bytes: u64,
        /// Its SHA-256 in hex.
        digest: String,
    },
}

/// A store that lists, gets and puts files by their names on the remote, such as `photos/<hash>`.
/// Requests may run in parallel.
pub trait FileStore: Sync {
    /// Ends requests that wait, and those to come, since the sync was canceled.
    fn interrupt(&self);

    /// Calls `each` for every file of the remote, with its size in bytes; unrelated files may be
    /// among them. Returns `false` if the remote did not exist and was created.
    ///
    /// # Errors
    /// If the store cannot be reached, refuses, or the listing is truncated.
    fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, SyncError>;

    /// Writes a file to `into`, at most `most` bytes of it.
    ///
    /// # Errors
    /// [`SyncError::File`] if only this file is unavailable; another error if the store cannot be
    /// reached or refuses.
    fn get(&self, name: &str, most: u64, into: &mut dyn Write) -> Result<(), SyncError>;

    /// Uploads a file. It appears complete or not at all.
    ///
    /// # Errors
    /// If the store cannot be reached, refuses, or is full.
    fn put(&self, name: &str, upload: Upload<'_, '_>) -> Result<(), SyncError>;
}
