//! Lines in the chain of a device, written as that device would write them.

use super::names;
use holebook_core::notebook::{DeviceId, Entry, EntryId, Line, LineHash};
use serde_json::Value;
use uuid::Uuid;

/// A device that writes. A clone of it that goes on is a notebook that was copied.
#[derive(Debug, Clone)]
pub struct Writer {
    device: DeviceId,
    seq: u64,
    prev: Option<LineHash>,
}

/// What one line says.
#[derive(Debug, Clone)]
pub struct Saying {
    /// The entry's id.
    pub id: EntryId,
    /// The kind's word.
    pub kind: String,
    /// What it is about.
    pub subject: Uuid,
    /// What it says.
    pub body: Value,
    /// The entries that it replaces.
    pub replaces: Vec<EntryId>,
}

impl Writer {
    /// A device that has written nothing yet.
    pub fn new(device: DeviceId) -> Self {
        Self {
            device,
            seq: 0,
            prev: None,
        }
    }

    /// Writes a line; none where it would be longer than a line may be.
    pub fn write(&mut self, saying: Saying) -> Option<Line> {
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
        })
        .ok()?;
        self.seq += 1;
        self.prev = Some(line.hash());
        Some(line)
    }
}

/// A short history of one device: a casting, a face, a hole with its work.
pub fn sample(device: DeviceId) -> Vec<Line> {
    let mut writer = Writer::new(device);
    let said = super::shapes::sample().into_iter().enumerate();
    said.filter_map(|(at, (kind, subject, body))| {
        writer.write(Saying {
            id: names::entry(at as u64 + 1),
            kind: kind.word().to_owned(),
            subject,
            body,
            replaces: vec![],
        })
    })
    .collect()
}

/// Lines as they stand in a file.
pub fn text_of(lines: &[Line]) -> String {
    lines.iter().flat_map(|line| [line.text(), "\n"]).collect()
}
