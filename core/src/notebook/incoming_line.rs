//! A line on its way into the journal. The entry's body stays in the text alone: parsed, it takes
//! several times the memory, and many lines wait to be written at once.

use super::chain::LineHash;
use super::entry::Line;
use super::entry_kind::{EntryKind, Understood};
use super::id::{DeviceId, EntryId};
use uuid::Uuid;

/// What is needed of a line to insert it.
#[derive(Debug)]
pub(crate) struct IncomingLine {
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

impl IncomingLine {
    /// Returns today's name of its kind; the name in the line if this version does not know it.
    pub fn kind_today(&self) -> &str {
        match EntryKind::from_name(&self.kind) {
            Some(kind) => kind.name(),
            None => &self.kind,
        }
    }

    /// Returns what separates facts of the same kind about the same subject: the photo of a mark.
    pub fn slot(&self) -> Option<Uuid> {
        self.understood.as_ref()?.slot
    }

    /// Returns the entry that it strikes out.
    pub fn strikes_out(&self) -> Option<EntryId> {
        self.understood.as_ref()?.strikes_out
    }

    /// Returns the entries that it was worked out from.
    pub fn rests_on(&self) -> &[EntryId] {
        let understood = self.understood.as_ref();
        understood.map_or(&[], |understood| &understood.rests_on)
    }
}

impl From<Line> for IncomingLine {
    fn from(line: Line) -> Self {
        let (hash, understood) = (line.hash(), line.understood().cloned());
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
