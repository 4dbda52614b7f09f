//! Journals of an invented shop: a phone in the barn, a computer at the bench, a second phone.
//!
//! The work goes face by face: photos and marks of all holes, measurements and damage, wanted
//! threads and remedies, then cutting, installing and final checks. Some entries are replaced, some
//! are struck out.

use chrono::SubsecRound;
use holebook_core::notebook::{
    CastingId, DeviceId, Entry, EntryId, EntryKind, FaceId, HoleId, Line, LineHash, Notebook,
    PhotoId,
};
use holebook_core::photo::PhotoHash;
use serde_json::{Value, json};
use uuid::Uuid;

const HOLES_PER_FACE: u32 = 24;
const PHOTOS_PER_FACE: u32 = 4;
const MARKS_PER_HOLE: u32 = 2;
const FACES_PER_CASTING: usize = 3;
const MEASURED: [&str; 5] = ["depth", "floor", "nearest-edge", "nearest-hole", "bore"];
const STEPS: [(&str, f64); 3] = [("drill", 24.0), ("countersink", 1.0), ("tap", 20.5)];

/// Who records an entry.
#[derive(Debug, Clone, Copy)]
enum Writer {
    Phone,
    Bench,
    SecondPhone,
}

/// Returns the lines of three devices, with that many entries together. The photos that they name
/// do not exist.
///
/// # Panics
/// If an entry cannot be written as a line, which would be a defect of the bodies below.
#[must_use]
pub fn journals(entries: usize) -> [Vec<Line>; 3] {
    let mut shop = Shop::new(entries);
    let mut casting = CastingId::fresh();
    let mut face = 0;
    while shop.left > 0 {
        if face % FACES_PER_CASTING == 0 {
            casting = CastingId::fresh();
            let name = format!("pump end {}", face / FACES_PER_CASTING + 1);
            shop.write(
                Writer::Phone,
                EntryKind::Casting,
                casting,
                json!({"name": name}),
            );
        }
        face += 1;
        shop.work_on_face(casting, face);
    }
    shop.devices.map(|device| device.lines)
}

/// Adds that many photos of that many bytes to a notebook, as if they came from another device. They
/// are random bytes, not pictures.
///
/// # Panics
/// If the notebook cannot be written.
pub fn add_photos(notebook: &Notebook, photos: usize, bytes: usize) {
    let mut shop = Shop::new(usize::MAX);
    let face = FaceId::fresh();
    let mut content = vec![0_u8; bytes];
    let mut state = u64::from(std::process::id()) | 1;
    for at in (1..).take(photos) {
        for word in content.chunks_mut(8) {
            // Marsaglia's xorshift, which does not compress.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            word.copy_from_slice(&state.to_le_bytes()[..word.len()]);
        }
        let hash = PhotoHash::of(&content);
        let stored = notebook.photos().receive_from(&hash, &mut &content[..]);
        stored.unwrap();
        shop.photo(face, at, &hash.to_string());
    }
    let chunks = shop.devices.map(|device| device.lines);
    let imported = notebook.import_chunks(chunks, |chunk| assert!(chunk.is_ok(), "{chunk:?}"));
    imported.unwrap();
}

struct Shop {
    devices: [Device; 3],
    left: usize,
}

struct Device {
    id: DeviceId,
    by: &'static str,
    lines: Vec<Line>,
}

impl Shop {
    fn new(left: usize) -> Self {
        let device = |by| Device {
            id: DeviceId::fresh(),
            by,
            lines: Vec::new(),
        };
        Self {
            devices: ["Ada", "Ben", "Ada"].map(device),
            left,
        }
    }

    fn work_on_face(&mut self, casting: CastingId, number: usize) {
        let face = FaceId::fresh();
        let body = json!({"casting": casting, "name": format!("face {number}")});
        self.write(Writer::Phone, EntryKind::Face, face, body);
        let cut = json!({"planned_mm": 0.4});
        self.write(Writer::Bench, EntryKind::FaceCut, face, cut);
        let photos: Vec<PhotoId> = (1..=PHOTOS_PER_FACE)
            .map(|at| self.add_photo(face, at))
            .collect();
        let holes: Vec<HoleId> = (1..=HOLES_PER_FACE)
            .map(|at| self.add_hole(face, &photos, at))
            .collect();
        for (at, hole) in (1..).zip(&holes) {
            self.measure(*hole, at);
        }
        for (at, hole) in (1..).zip(&holes) {
            self.plan(*hole, at);
        }
        for (at, hole) in (1..).zip(&holes) {
            self.repair(*hole, at);
        }
    }

    fn add_photo(&mut self, face: FaceId, at: u32) -> PhotoId {
        let missing = LineHash::of(&PhotoId::fresh().to_string());
        self.photo(face, at, &missing.to_string())
    }

    fn photo(&mut self, face: FaceId, at: u32, hash: &str) -> PhotoId {
        let photo = PhotoId::fresh();
        let body = json!({
            "face": face, "hash": hash, "width_px": 4000, "height_px": 3000,
            "taken_at": "2026-11-25T07:15:31+01:00", "metadata_removed": true, "name": format!("cover {at}.jpg"),
        });
        self.write(Writer::Phone, EntryKind::Photo, photo, body);
        photo
    }

    fn add_hole(&mut self, face: FaceId, photos: &[PhotoId], at: u32) -> HoleId {
        let hole = HoleId::fresh();
        let (x, y) = (f64::from(at) * 31.75, f64::from(at % 5) * 25.4);
        let body = json!({"face": face, "number": at, "x_mm": x, "y_mm": y});
        self.write(Writer::Phone, EntryKind::Hole, hole, body);
        for mark in 0..MARKS_PER_HOLE {
            let photo = photos[((at + mark) % PHOTOS_PER_FACE) as usize];
            let body = json!({"photo": photo, "x_px": 150.5 + x, "y_px": 310.25 + y});
            self.write(Writer::Phone, EntryKind::Mark, hole, body);
        }
        hole
    }

    fn measure(&mut self, hole: HoleId, at: u32) {
        for (step, quantity) in (0..).zip(MEASURED) {
            let value = 18.0 + f64::from(at + step) * 0.125;
            let body = json!({"quantity": quantity, "value_mm": value, "instrument": "depth rod"});
            let again = body.clone();
            let reading = self.write(Writer::Phone, EntryKind::Reading, hole, body);
            if (at + step).is_multiple_of(29) {
                let body = json!({"entry": reading, "reason": "the rod was on a chip"});
                self.write(Writer::Phone, EntryKind::StrikeOut, hole, body);
                self.write(Writer::Phone, EntryKind::Reading, hole, again);
            }
        }
        let crater = json!({"stations": [
            {"from_mm": 0, "to_mm": 4.5, "diameter_mm": 12.7, "offset_mm": 0.8, "direction_deg": 35.0},
            {"from_mm": 4.5, "to_mm": 18, "diameter_mm": 10.2, "offset_mm": 0.3},
        ]});
        let damage = self.write(Writer::Phone, EntryKind::Damage, hole, crater.clone());
        if at.is_multiple_of(6) {
            let mut deeper = crater;
            deeper["stations"][1]["to_mm"] = json!(21);
            self.replace(Writer::SecondPhone, EntryKind::Damage, hole, deeper, damage);
        }
        if at.is_multiple_of(3) {
            let text = "cast skin is hard here; the drill wanders unless it is held short";
            self.write(
                Writer::SecondPhone,
                EntryKind::Note,
                hole,
                json!({"text": text}),
            );
        }
    }

    fn plan(&mut self, hole: HoleId, at: u32) {
        let wanted = |thread| json!({"thread": thread, "bolt": null, "through": false});
        let first = self.write(
            Writer::Phone,
            EntryKind::WantedThread,
            hole,
            wanted("3/8-16 UNC"),
        );
        if at.is_multiple_of(8) {
            let other = wanted("7/16-14 UNC");
            self.replace(Writer::Bench, EntryKind::WantedThread, hole, other, first);
        }
        self.write(Writer::Bench, EntryKind::Remedy, hole, remedy());
    }

    fn repair(&mut self, hole: HoleId, at: u32) {
        for (step, depth) in STEPS {
            let body = json!({"for": remedy(), "step": step, "depth_mm": depth, "tool": "held in the short collet"});
            self.write(Writer::Bench, EntryKind::Cut, hole, body);
        }
        let fit = json!({"for": remedy(), "fits": true, "below_face_mm": 0.6});
        self.write(Writer::Bench, EntryKind::TrialFit, hole, fit);
        let install = json!({"for": remedy(), "below_face_mm": 0.6, "after_face_cut": false});
        self.write(Writer::Bench, EntryKind::Install, hole, install);
        for check in ["stake-check", "runs-in-by-hand", "square"] {
            let body =
                json!({"check": check, "passes": !at.is_multiple_of(11), "instrument": "new bolt"});
            self.write(Writer::Bench, EntryKind::Check, hole, body);
        }
        if !at.is_multiple_of(11) {
            let body =
                json!({"for": remedy(), "passes": true, "how": "new bolt", "torque_nm": 40.0});
            self.write(Writer::SecondPhone, EntryKind::FinalCheck, hole, body);
        }
    }

    fn write(
        &mut self,
        writer: Writer,
        kind: EntryKind,
        subject: impl Into<Uuid>,
        body: Value,
    ) -> EntryId {
        self.record(writer, kind, subject.into(), body, Vec::new())
    }

    fn replace(
        &mut self,
        writer: Writer,
        kind: EntryKind,
        hole: HoleId,
        body: Value,
        replaced: EntryId,
    ) {
        self.record(writer, kind, hole.into(), body, vec![replaced]);
    }

    fn record(
        &mut self,
        writer: Writer,
        kind: EntryKind,
        subject: Uuid,
        body: Value,
        replaces: Vec<EntryId>,
    ) -> EntryId {
        let id = EntryId::fresh();
        if self.left == 0 {
            return id;
        }
        self.left -= 1;
        let device = &mut self.devices[writer as usize];
        let last = device.lines.last();
        let entry = Entry {
            id,
            device: device.id,
            seq: last.map_or(1, |last| last.entry().seq + 1),
            at: chrono::Local::now().fixed_offset().trunc_subsecs(3),
            by: device.by.to_owned(),
            kind: kind.name().to_owned(),
            subject,
            body,
            replaces,
            prev: last.map(Line::hash),
            seen: Vec::new(),
            corrects: None,
        };
        device.lines.push(Line::write(&entry).unwrap());
        id
    }
}

fn remedy() -> Value {
    json!({"remedy": "wire-insert", "family": "wire thread insert", "length_mm": 14.2875})
}
