//! Devices with another version: they push lines that this version would not write.

use super::plan::OtherVersionLine;
use super::queries::{context, lines_after, pick};
use super::{CheckResult, THREADS};
use crate::notebook::{DeviceId, EntryId, Head, Line, Notebook};
use crate::sync::{FolderRemote, Remote, Segment};
use serde_json::{Value, json};
use std::path::Path;
use uuid::Uuid;

/// A device with another version.
pub struct OtherVersionDevice {
    device: DeviceId,
    pub lines: Vec<Line>,
    /// How many of its lines are in each of the two folders.
    pub pushed: [usize; 2],
}

/// What the device knows.
pub struct KnownEntries<'a> {
    pub holes: &'a [Uuid],
    /// Entries with their kind and subject.
    pub entries: &'a [(EntryId, String, Uuid)],
}

impl OtherVersionDevice {
    pub fn new() -> Self {
        Self {
            device: DeviceId::fresh(),
            lines: Vec::new(),
            pushed: [0; 2],
        }
    }

    /// Writes a line.
    pub fn write(
        &mut self,
        what: OtherVersionLine,
        at: u8,
        known: &KnownEntries<'_>,
    ) -> CheckResult {
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
        let (kind, subject, body, replaced) = match what {
            OtherVersionLine::UnknownKind => {
                let replaced = answers("weather").map(|(id, _)| id);
                (
                    "weather",
                    hole,
                    json!({"sky": "gray"}),
                    replaced.into_iter().collect(),
                )
            }
            OtherVersionLine::MoreFields => plain(
                "reading",
                json!({"quantity": "depth", "value_mm": 31.0, "temperature_deg": 21.5}),
            ),
            OtherVersionLine::UnknownRemedy => {
                plain("remedy", json!({"remedy": "shrink-ring", "ring_mm": 3}))
            }
            // The kind had another name then.
            OtherVersionLine::Older => plain("wanted", json!({"thread": thread})),
            OtherVersionLine::Answer => match answers("wanted-thread") {
                Some((id, subject)) => (
                    "wanted-thread",
                    subject,
                    json!({"thread": thread, "mood": "bright"}),
                    vec![id],
                ),
                None => plain("wanted-thread", json!({"thread": thread, "mood": "bright"})),
            },
            OtherVersionLine::Strike => match answers("reading") {
                Some((id, subject)) => (
                    "strike",
                    subject,
                    json!({"entry": id, "reason": "misread", "sure": true}),
                    Vec::new(),
                ),
                None => plain("weather", json!({"sky": "red"})),
            },
        };
        let id = EntryId::after(replaced.iter().max().copied());
        let replaces = match what {
            // The field was added in a later version and has a default.
            OtherVersionLine::Older => String::new(),
            _ => format!(r#""replaces":{}, "#, json!(replaced)),
        };
        let prev = json!(self.lines.last().map(Line::hash));
        // Keys in another order, a new field, and spaces: all of it must be kept.
        let text = format!(
            r#"{{"seq": {}, "mood":"bright", "id":"{id}","device":"{}","at":"2031-01-02T03:04:05+00:00","by":"Cy","kind":"{kind}","subject":"{subject}","body":{body},{replaces}"prev":{prev}}}"#,
            self.lines.len() + 1,
            self.device,
        );
        self.lines
            .push(Line::read(text).map_err(context("a line of another version"))?);
        Ok(())
    }

    /// Pushes to a folder what it has not pushed there yet.
    pub fn push(&mut self, folder: &Path, which: usize) -> CheckResult {
        let pushed = self.pushed[which];
        let Some(last) = self.lines.get(pushed..).and_then(|lines| lines.last()) else {
            return Ok(());
        };
        let end = Head {
            device: self.device,
            seq: last.entry().seq,
            hash: last.hash(),
        };
        let text: String = self.lines[pushed..]
            .iter()
            .flat_map(|line| [line.text(), "\n"])
            .collect();
        let (remote, _) = FolderRemote::open(folder).map_err(context("a folder"))?;
        let segment = Segment::ending_at(&end, pushed as u64 + 1);
        remote
            .push_lines(&segment, text.as_bytes())
            .map_err(context("pushing lines of another version"))?;
        self.pushed[which] = self.lines.len();
        Ok(())
    }

    /// Its lines that a notebook lacks.
    pub fn missing(&self, notebook: &Notebook) -> CheckResult<Vec<Line>> {
        let imported = lines_after(notebook, self.device, 0)?.len();
        Ok(self.lines.get(imported..).unwrap_or_default().to_vec())
    }
}
