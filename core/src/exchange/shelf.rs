//! What a shelf is: a place where devices leave lines and photos for each other.

use super::stretch::Stretch;
use super::{ExchangeError, Problem};
use crate::photo::PhotoHash;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::io::{Read, Write};

/// The most bytes of lines that are left, or given, in one piece, unless a single line is longer.
pub const PIECE_BYTES: usize = 4 << 20;

/// A place where devices leave lines of their journals and photos for each other: a folder, the shop computer, a bucket,
/// a bundle. Nothing on it is ever changed, and what is left twice is the same both times, so a shelf needs no lock and
/// whoever comes to it need not wait for anybody.
///
/// A shelf is not trusted: all that comes from it is checked by [`super::exchange_over`] before it reaches the notebook. Its
/// calls block, and several photos may be asked for at once.
pub trait Shelf: Sync {
    /// What tells it from all other shelves, the same every time: `folder:/media/stick`, `shop:<fingerprint>`.
    fn id(&self) -> String;

    /// What to call it in a sentence, without an article at its start: `the shelf /media/stick`, `the shop computer Bench`.
    fn name(&self) -> String;

    /// What lies on it; `None` where that is certainly the same as when its survey had the state `known`.
    ///
    /// # Errors
    /// Where the shelf cannot be reached or read.
    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError>;

    /// Lines of a stretch that [`Shelf::survey`] gave: whole lines, each with its line break, that begin at the stretch's
    /// first or at any later one not after `from`, and reach at least to `from`. A shelf of files gives the file, one that
    /// can choose gives at most [`PIECE_BYTES`] (or one line) from `from` on.
    ///
    /// # Errors
    /// [`ExchangeError::File`] where only these lines cannot be had; others where the shelf cannot be reached.
    fn lines(&self, stretch: &Stretch, from: u64) -> Result<Vec<u8>, ExchangeError>;

    /// Leaves the lines of a stretch, at most [`PIECE_BYTES`] or one line. They appear there whole or not at all. When
    /// it returns, they are kept for good, or will be by [`Shelf::finish`].
    ///
    /// # Errors
    /// Where the shelf cannot be reached or written.
    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError>;

    /// Writes a photo's bytes into `into`. The caller checks them against the name.
    ///
    /// # Errors
    /// [`ExchangeError::File`] where only this photo cannot be had; others where the shelf cannot be reached.
    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError>;

    /// Leaves a photo of so many bytes. It appears there whole or not at all, and takes the place of one that is not.
    ///
    /// # Errors
    /// Where the shelf cannot be reached or written.
    fn leave_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError>;

    /// Notes that a file, `journal/...` or `photos/...`, is not what its name says, so that whoever has what it should be leaves it
    /// again ([`Survey::doubted`]). The file stays as it is: it may still be on its way there. A shelf that cannot note it does not.
    fn doubt(&self, _file: &str) {}

    /// Called once, when all was taken and left.
    ///
    /// # Errors
    /// Where what was left could not be kept.
    fn finish(&self) -> Result<(), ExchangeError> {
        Ok(())
    }
}

/// What lies on a shelf.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Survey {
    /// Lines; they may overlap.
    pub stretches: BTreeSet<Stretch>,
    /// The sizes in bytes of those whose size the shelf knows: one that is shorter or longer than its lines is left again.
    pub sizes: BTreeMap<Stretch, u64>,
    /// The photos, with their sizes in bytes.
    pub photos: BTreeMap<PhotoHash, u64>,
    /// Files that look as if they were cut short, and so are not listed.
    pub unsound: Vec<Problem>,
    /// Files that somebody found not to be what their names say: they are left again by whoever has that.
    pub doubted: BTreeSet<String>,
    /// A word that changes whenever anything else does; none where the shelf cannot say.
    pub state: Option<String>,
}

impl Survey {
    /// A word that no two surveys have, unless they list the same lines and photos: a state for shelves that have none of
    /// their own.
    #[must_use]
    pub fn word(&self) -> String {
        let mut digest = Sha256::new();
        for stretch in &self.stretches {
            digest.update(stretch.to_string());
            if let Some(bytes) = self.sizes.get(stretch) {
                digest.update(format!(" {bytes}\n"));
            }
        }
        for (photo, bytes) in &self.photos {
            digest.update(format!("{photo} {bytes}\n"));
        }
        digest
            .finalize()
            .iter()
            .fold(String::new(), |mut text, byte| {
                // Writing to a `String` does not fail.
                let _ = write!(text, "{byte:02x}");
                text
            })
    }
}
