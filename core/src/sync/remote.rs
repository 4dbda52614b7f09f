//! The remote: a place where devices put lines and photos for each other.

use super::segment::Segment;
use super::{Problem, SyncError};
use crate::photo::PhotoHash;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Read, Write};

/// The most bytes of lines that are pushed or returned in one chunk, unless a single line is
/// longer.
pub const CHUNK_BYTES: usize = 4 << 20;

/// A place where devices put lines of their journals and photos for each other: a folder, the shop
/// computer, a bucket, a bundle. Files on it never change, and pushing the same thing twice writes
/// the same bytes, so a remote needs no lock and devices never wait for each other.
///
/// A remote is not trusted: [`super::sync_with`] validates everything it returns before it reaches
/// the notebook. The methods block. Several photos may be transferred in parallel.
pub trait Remote: Sync {
    /// An id that no other remote has, the same every time: `folder:/media/stick`,
    /// `shop:<fingerprint>`.
    fn id(&self) -> String;

    /// The name to use in a sentence, with its article: `the folder /media/stick`, `the shop
    /// computer Bench`.
    fn name(&self) -> String;

    /// Lists what the remote holds; `None` if it has certainly not changed since its listing had
    /// the state `known`.
    ///
    /// # Errors
    /// If the remote cannot be reached or read.
    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError>;

    /// Returns lines of a listed segment: whole lines, each with its line break. They begin at the
    /// segment's first line or at any later one up to `from`, and reach at least to `from`. A
    /// remote made of files returns the whole file; one that can choose returns at most
    /// [`CHUNK_BYTES`] (or one line) starting at `from`.
    ///
    /// # Errors
    /// [`SyncError::File`] if only these lines are unavailable; another error if the remote cannot
    /// be reached.
    fn pull_lines(&self, segment: &Segment, from: u64) -> Result<Vec<u8>, SyncError>;

    /// Stores the lines of a segment, at most [`CHUNK_BYTES`] or one line. They appear on the
    /// remote complete or not at all. They are durable when this returns or, at the latest, after
    /// [`Remote::finish`].
    ///
    /// # Errors
    /// If the remote cannot be reached or written.
    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError>;

    /// Writes a photo's bytes to `into`. The caller checks them against the photo's hash.
    ///
    /// # Errors
    /// [`SyncError::File`] if only this photo is unavailable; another error if the remote cannot be
    /// reached.
    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError>;

    /// Stores a photo of `bytes` bytes. It appears on the remote complete or not at all, and
    /// replaces a damaged one.
    ///
    /// # Errors
    /// If the remote cannot be reached or written.
    fn push_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError>;

    /// Reports that a file, `journal/...` or `photos/...`, does not match its name, so that a
    /// device that has the right content pushes it again ([`Listing::reported_corrupt`]). The file
    /// itself stays: it may still be in transit. A remote that cannot store the report ignores it.
    fn report_corrupt(&self, _file: &str) {}

    /// Makes calls that wait for the remote fail soon, and those to come at once. Called from another
    /// thread when the sync was canceled; an error after it is reported as that. A remote that never
    /// waits long ignores it.
    fn interrupt(&self) {}

    /// Called once, after everything was pulled and pushed.
    ///
    /// # Errors
    /// If what was pushed could not be made durable.
    fn finish(&self) -> Result<(), SyncError> {
        Ok(())
    }
}

/// What a remote holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Listing {
    /// Segments of lines; they may overlap.
    pub segments: BTreeSet<Segment>,
    /// Sizes in bytes of the segments whose size the remote knows. A segment with another size than
    /// its lines have is pushed again.
    pub segment_sizes: BTreeMap<Segment, u64>,
    /// The photos, with their sizes in bytes.
    pub photos: BTreeMap<PhotoHash, u64>,
    /// Files that look truncated or cannot be read, and are therefore not listed.
    pub unreadable: Vec<Problem>,
    /// Files that a device found not to match their names: they are pushed again by a device that
    /// has the content.
    pub reported_corrupt: BTreeSet<String>,
    /// A value that changes whenever anything else on the remote does; none if the remote cannot
    /// tell.
    pub state: Option<String>,
}

impl Listing {
    /// A hash over the listed lines and photos, for remotes that have no state value of their own:
    /// two listings have the same fingerprint only if they list the same.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        let mut digest = Sha256::new();
        for segment in &self.segments {
            digest.update(segment.to_string());
            if let Some(bytes) = self.segment_sizes.get(segment) {
                digest.update(format!(" {bytes}\n"));
            }
        }
        for (photo, bytes) in &self.photos {
            digest.update(format!("{photo} {bytes}\n"));
        }
        hex::encode(digest.finalize())
    }
}
