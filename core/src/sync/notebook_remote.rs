//! A notebook as a remote for other notebooks: they pull what it knows, and what they push it
//! imports at once.
//!
//! There is no second copy of anything, and what this notebook pulled from a stick or a bucket
//! reaches every device that syncs with it another way.

use super::Problem;
use super::chunk;
use super::error::SyncError;
use super::remote::{CHUNK_BYTES, Listing, Remote};
use super::segment::Segment;
use crate::notebook::{Notebook, NotebookError};
use crate::photo::{PhotoError, PhotoHash};
use std::fs::File;
use std::io::{self, Read, Write};

/// Makes a notebook serve as a remote.
#[derive(Debug, Clone, Copy)]
pub struct NotebookRemote<'a>(pub &'a Notebook);

impl Remote for NotebookRemote<'_> {
    fn id(&self) -> String {
        format!("notebook:{}", self.0.dir().display())
    }

    fn name(&self) -> String {
        format!("the notebook in {}", self.0.dir().display())
    }

    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let heads = self.0.heads()?;
        let segments = heads
            .iter()
            .map(|head| Segment::ending_at(head, 1))
            .collect();
        let mut listing = Listing {
            segments,
            photos: self.0.photo_sizes()?,
            ..Listing::default()
        };
        let state = listing.fingerprint();
        if known == Some(&state) {
            return Ok(None);
        }
        listing.state = Some(state);
        Ok(Some(listing))
    }

    fn pull_lines(&self, segment: &Segment, from: u64) -> Result<Vec<u8>, SyncError> {
        let mut ends = self.0.numbered(segment.device, segment.last)?.into_iter();
        let end = ends
            .find(|end| segment.last_hash.matches(end.hash))
            .filter(|_| (segment.first..=segment.last).contains(&from))
            .ok_or_else(|| segment_problem(segment, "the remote notebook has no such lines"))?;
        let (text, _) = self.0.chunk(end, from..=end.seq, CHUNK_BYTES)?;
        Ok(text)
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        let read = chunk::read(segment, segment.first, lines.to_vec());
        let lines = read.map_err(|reason| segment_problem(segment, &reason.to_string()))?;
        match self.0.import_lines(&lines) {
            Ok(_) => Ok(()),
            Err(NotebookError::RejectedLine(reason)) => {
                Err(segment_problem(segment, &reason.to_string()))
            }
            Err(error) => Err(error.into()),
        }
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        let file = self.0.photos().original(photo);
        let open = File::open(&file).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => SyncError::File(Problem {
                file: format!("photos/{photo}"),
                reason: "the remote notebook does not have it".to_owned(),
            }),
            _ => SyncError::from_read(&error, &self.name(), &file.display().to_string()),
        });
        io::copy(&mut open?, into).map(drop).map_err(|error| {
            SyncError::from_read(&error, &self.name(), &file.display().to_string())
        })
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        let received = self.0.photos().receive_from(photo, from);
        received.map_err(|error| match error {
            PhotoError::StorageFull { .. } | PhotoError::Storage { .. } => error.into(),
            refused => SyncError::File(Problem {
                file: format!("photos/{photo}"),
                reason: refusal_reason(&refused).to_owned(),
            }),
        })
    }
}

/// The reason why a pushed photo is refused, for the device that pushed it. It does not reveal
/// paths of this computer.
fn refusal_reason(refused: &PhotoError) -> &'static str {
    match refused {
        PhotoError::NotAsNamed { .. } => "its content does not match its name",
        PhotoError::Empty { .. } => "it is empty",
        PhotoError::FileTooLarge { .. } => "it is too large for a photo",
        _ => "it was not received completely",
    }
}

fn segment_problem(segment: &Segment, reason: &str) -> SyncError {
    SyncError::File(Problem {
        file: segment.to_string(),
        reason: reason.to_owned(),
    })
}
