//! Notebooks of any size: the entries are another device's, and imported in the usual way.

use holebook_core::notebook::{
    CastingId, DeviceId, Entry, EntryId, EntryKind, FaceId, HoleId, Line, LineHash, Notebook,
    NotebookError,
};
use serde_json::{Value, json};

/// How many entries each hole has.
pub const PER_HOLE: usize = 32;
const HOLES_PER_FACE: usize = 40;
const FACES_PER_CASTING: usize = 3;
/// How many lines are imported at once.
const BATCH: usize = 8_000;

/// Adds castings, faces and holes until the notebook has that many more entries, and returns the
/// holes. The holes of a face take turns, so the entries of one hole are not next to each other.
///
/// # Errors
/// If the notebook cannot be written.
pub fn fill(notebook: &Notebook, entries: usize) -> Result<Vec<HoleId>, NotebookError> {
    let mut device = Device::new(notebook, entries);
    let mut holes = Vec::new();
    let mut casting = CastingId::fresh();
    let mut faces = 0;
    while device.left > 0 {
        if faces % FACES_PER_CASTING == 0 {
            casting = CastingId::fresh();
            let name = format!("casting {}", faces / FACES_PER_CASTING + 1);
            device.write(EntryKind::Casting, casting, json!({"name": name}))?;
        }
        faces += 1;
        let face = FaceId::fresh();
        let body = json!({"casting": casting, "name": format!("face {faces}")});
        device.write(EntryKind::Face, face, body)?;
        let on_face: Vec<HoleId> = (0..HOLES_PER_FACE).map(|_| HoleId::fresh()).collect();
        for step in 0..PER_HOLE {
            for (at, hole) in on_face.iter().enumerate() {
                let (kind, body) = entry_of(step, face, at + 1);
                device.write(kind, *hole, body)?;
            }
        }
        holes.extend(on_face);
    }
    device.import()?;
    Ok(holes)
}

/// A hole's entry of this number.
fn entry_of(step: usize, face: FaceId, number: usize) -> (EntryKind, Value) {
    let work =
        json!({"remedy": "wire-insert", "family": "wire thread insert", "length_mm": 14.2875});
    let quantity = ["depth", "floor", "nearest-edge", "nearest-hole"][step % 4];
    match step {
        0 => (
            EntryKind::Hole,
            json!({"face": face, "number": number, "x_mm": number, "y_mm": 20.0}),
        ),
        1 => (
            EntryKind::WantedThread,
            json!({"thread": "3/8-16 UNC", "through": false}),
        ),
        2 => (
            EntryKind::Damage,
            json!({"stations": [{"from_mm": 0, "to_mm": 9, "diameter_mm": 10.2, "offset_mm": 0.3}]}),
        ),
        3 => (EntryKind::Remedy, work),
        4 => (
            EntryKind::Cut,
            json!({"for": work, "step": "drill", "depth_mm": 24.0, "tool": "drill X"}),
        ),
        5 => (
            EntryKind::Cut,
            json!({"for": work, "step": "tap", "depth_mm": 20.0}),
        ),
        6..=9 => (
            EntryKind::Note,
            json!({"text": "cast skin is hard here; the drill wanders unless it is held short"}),
        ),
        _ => (
            EntryKind::Reading,
            json!({"quantity": quantity, "value_mm": 20 + step, "instrument": "depth rod"}),
        ),
    }
}

/// A device whose lines are imported in batches.
struct Device<'a> {
    notebook: &'a Notebook,
    id: DeviceId,
    seq: u64,
    prev: Option<LineHash>,
    left: usize,
    lines: Vec<Line>,
}

impl<'a> Device<'a> {
    fn new(notebook: &'a Notebook, left: usize) -> Self {
        let id = DeviceId::fresh();
        Self {
            notebook,
            id,
            seq: 0,
            prev: None,
            left,
            lines: Vec::new(),
        }
    }

    fn write(
        &mut self,
        kind: EntryKind,
        subject: impl Into<uuid::Uuid>,
        body: Value,
    ) -> Result<(), NotebookError> {
        if self.left == 0 {
            return Ok(());
        }
        self.left -= 1;
        self.seq += 1;
        let entry = Entry {
            id: EntryId::fresh(),
            device: self.id,
            seq: self.seq,
            at: chrono::DateTime::from_timestamp_nanos(0).fixed_offset(),
            by: "Ada".to_owned(),
            kind: kind.name().to_owned(),
            subject: subject.into(),
            body,
            replaces: Vec::new(),
            prev: self.prev,
            seen: Vec::new(),
            corrects: None,
        };
        let line =
            Line::write(&entry).map_err(|error| NotebookError::Invalid(error.to_string()))?;
        self.prev = Some(line.hash());
        self.lines.push(line);
        if self.lines.len() >= BATCH {
            self.import()
        } else {
            Ok(())
        }
    }

    fn import(&mut self) -> Result<(), NotebookError> {
        self.notebook.import_lines(&self.lines)?;
        self.lines.clear();
        Ok(())
    }
}
