//! Lines in a device's chain, as that device would write them.

use super::fixed_ids;
use holebook_core::notebook::{DeviceId, Entry, EntryId, Line, LineHash};
use serde_json::Value;
use uuid::Uuid;

/// A device that writes lines. A clone that also writes is a copied notebook.
#[derive(Debug, Clone)]
pub struct JournalWriter {
    device: DeviceId,
    seq: u64,
    prev: Option<LineHash>,
}

/// The content of one line.
#[derive(Debug, Clone)]
pub struct LineContent {
    /// The entry's id.
    pub id: EntryId,
    /// The name of the kind.
    pub kind: String,
    /// What it is about.
    pub subject: Uuid,
    /// The body as JSON.
    pub body: Value,
    /// The entries that it replaces.
    pub replaces: Vec<EntryId>,
}

impl JournalWriter {
    /// A device that has written nothing yet.
    pub fn new(device: DeviceId) -> Self {
        Self {
            device,
            seq: 0,
            prev: None,
        }
    }

    /// Writes a line; none if it would exceed the maximum length.
    pub fn write(&mut self, saying: LineContent) -> Option<Line> {
        let number = i64::try_from(self.seq).unwrap_or(0);
        let at = chrono::DateTime::from_timestamp(1_767_225_600 + 60 * number, 0)?;
        let line = Line::write(&Entry {
            id: saying.id,
            device: self.device,
            seq: self.seq + 1,
            at: at.fixed_offset(),
            by: "Ada".to_owned(),
            kind: saying.kind,
            subject: saying.subject,
            body: saying.body,
            replaces: saying.replaces,
            prev: self.prev,
            seen: Vec::new(),
            corrects: None,
        })
        .ok()?;
        self.seq += 1;
        self.prev = Some(line.hash());
        Some(line)
    }
}

/// A short history of one device: a casting, a face, and a hole with its entries.
pub fn sample(device: DeviceId) -> Vec<Line> {
    let mut writer = JournalWriter::new(device);
    let entries = super::entry_bodies::sample().into_iter().enumerate();
    entries
        .filter_map(|(at, (kind, subject, body))| {
            writer.write(LineContent {
                id: fixed_ids::entry(at as u64 + 1),
                kind: kind.name().to_owned(),
                subject,
                body,
                replaces: vec![],
            })
        })
        .collect()
}

/// Lines as they are in a file.
pub fn text_of(lines: &[Line]) -> String {
    lines.iter().flat_map(|line| [line.text(), "\n"]).collect()
}
