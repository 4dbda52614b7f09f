//! Devices with another version: they leave lines that this one would not write.

use super::look::{after, pick, told};
use super::plan::Foreign;
use super::{Done, THREADS};
use crate::exchange::{FolderShelf, Shelf, Stretch};
use crate::notebook::{DeviceId, EntryId, Head, Line, Notebook};
use serde_json::{Value, json};
use std::path::Path;
use uuid::Uuid;

/// A device with another version.
pub struct Stranger {
    device: DeviceId,
    pub lines: Vec<Line>,
    /// How many of its lines lie on each of the two folders.
    pub left: [usize; 2],
}

/// What it knows of.
pub struct Known<'a> {
    pub holes: &'a [Uuid],
    /// Entries, each with its kind and subject.
    pub entries: &'a [(EntryId, String, Uuid)],
}

impl Stranger {
    pub fn new() -> Self {
        Self {
            device: DeviceId::fresh(),
            lines: Vec::new(),
            left: [0; 2],
        }
    }

    /// Writes a line.
    pub fn write(&mut self, what: Foreign, at: u8, known: &Known<'_>) -> Done {
        let Some(hole) = pick(known.holes, at) else {
            return Ok(());
        };
        let answers = |kind: &str| {
            let of_kind = |entry: &&(EntryId, String, Uuid)| entry.1 == kind;
            let found: Vec<_> = known.entries.iter().filter(of_kind).collect();
            pick(&found, at).map(|(id, _, subject)| (*id, *subject))
        };
        let thread = THREADS[usize::from(at) % THREADS.len()];
        let plain = |kind: &'static str, body: Value| (kind, hole, body, Vec::new());
        let (kind, subject, body, over) = match what {
            Foreign::UnknownKind => {
                let over = answers("weather").map(|(id, _)| id);
                (
                    "weather",
                    hole,
                    json!({"sky": "grey"}),
                    over.into_iter().collect(),
                )
            }
            Foreign::MoreFields => plain(
                "reading",
                json!({"quantity": "depth", "value_mm": 31.0, "temperature_deg": 21.5}),
            ),
            Foreign::UnknownRemedy => {
                plain("remedy", json!({"remedy": "shrink-ring", "ring_mm": 3}))
            }
            Foreign::Older => plain("wanted", json!({"thread": thread})),
            Foreign::Answer => match answers("wanted") {
                Some((id, subject)) => (
                    "wanted",
                    subject,
                    json!({"thread": thread, "mood": "bright"}),
                    vec![id],
                ),
                None => plain("wanted", json!({"thread": thread, "mood": "bright"})),
            },
            Foreign::Strike => match answers("reading") {
                Some((id, subject)) => (
                    "strike",
                    subject,
                    json!({"entry": id, "reason": "misread", "sure": true}),
                    Vec::new(),
                ),
                None => plain("weather", json!({"sky": "red"})),
            },
        };
        let id = EntryId::after(over.iter().max().copied());
        let replaces = match what {
            // It came with a later version, and has a default.
            Foreign::Older => String::new(),
            _ => format!(r#""replaces":{}, "#, json!(over)),
        };
        let prev = json!(self.lines.last().map(Line::hash));
        // Keys in another order, a new field, and spaces: none of it is ours to tidy.
        let text = format!(
            r#"{{"seq": {}, "mood":"bright", "id":"{id}","device":"{}","at":"2031-01-02T03:04:05+00:00","by":"Cy","kind":"{kind}","subject":"{subject}","body":{body},{replaces}"prev":{prev}}}"#,
            self.lines.len() + 1,
            self.device,
        );
        self.lines
            .push(Line::read(text).map_err(told("a stranger's line"))?);
        Ok(())
    }

    /// Leaves on a folder what it has not left there yet.
    pub fn leave(&mut self, folder: &Path, which: usize) -> Done {
        let left = self.left[which];
        let Some(last) = self.lines.get(left..).and_then(|lines| lines.last()) else {
            return Ok(());
        };
        let end = Head {
            device: self.device,
            seq: last.entry().seq,
            hash: last.hash(),
        };
        let text: String = self.lines[left..]
            .iter()
            .flat_map(|line| [line.text(), "\n"])
            .collect();
        let (shelf, _) = FolderShelf::open(folder).map_err(told("a folder"))?;
        let stretch = Stretch::to(&end, left as u64 + 1);
        shelf
            .leave_lines(&stretch, text.as_bytes())
            .map_err(told("a stranger leaves lines"))?;
        self.left[which] = self.lines.len();
        Ok(())
    }

    /// Its lines that a notebook has not.
    pub fn lacking(&self, notebook: &Notebook) -> Done<Vec<Line>> {
        let here = after(notebook, self.device, 0)?.len();
        Ok(self.lines.get(here..).unwrap_or_default().to_vec())
    }
}
