//! What the intake needs of a line. What the entry says stays in the text alone: read into values it takes several times
//! the room, and many lines wait to be written at once.

use super::chain::LineHash;
use super::entry::Line;
use super::id::{DeviceId, EntryId};
use super::kind::Understood;
use uuid::Uuid;

/// A line on its way into the journal.
#[derive(Debug)]
pub(crate) struct Arrived {
    pub id: EntryId,
    pub device: DeviceId,
    pub seq: u64,
    pub prev: Option<LineHash>,
    pub kind: String,
    pub subject: Uuid,
    pub replaces: Vec<EntryId>,
    pub understood: Option<Understood>,
    pub hash: LineHash,
    pub text: String,
}

impl Arrived {
    /// What tells its question from others of the same kind and subject.
    pub fn slot(&self) -> Option<Uuid> {
        self.understood.and_then(|understood| understood.slot)
    }

    /// The entry that it strikes.
    pub fn strikes(&self) -> Option<EntryId> {
        self.understood.and_then(|understood| understood.strikes)
    }
}

impl From<Line> for Arrived {
    fn from(line: Line) -> Self {
        let (hash, understood) = (line.hash(), line.understood());
        let (entry, text) = line.into_parts();
        Self {
            id: entry.id,
            device: entry.device,
            seq: entry.seq,
            prev: entry.prev,
            kind: entry.kind,
            subject: entry.subject,
            replaces: entry.replaces,
            understood,
            hash,
            text,
        }
    }
}
