//! The journals of an invented shop: a phone in the barn, a computer at the bench, a second phone. All of it is made up.
//!
//! The work goes face by face, as people do it: photographs and marks of all holes, readings and damage, then what shall
//! be done, then the cutting, the setting and the proof. Some answers are given anew, some entries are struck.

use chrono::SubsecRound;
use holebook_core::notebook::{
    CastingId, DeviceId, Entry, EntryId, FaceId, HoleId, Kind, Line, LineHash, Notebook, PhotoId,
};
use holebook_core::photo::PhotoHash;
use serde_json::{Value, json};
use uuid::Uuid;

const HOLES_PER_FACE: u32 = 24;
const PHOTOS_PER_FACE: u32 = 4;
const MARKS_PER_HOLE: u32 = 2;
const FACES_PER_CASTING: usize = 3;
const READ: [&str; 5] = ["depth", "floor", "nearest-edge", "nearest-hole", "bore"];
const STEPS: [(&str, f64); 3] = [("drill", 24.0), ("countersink", 1.0), ("tap", 20.5)];

/// Who writes.
#[derive(Debug, Clone, Copy)]
enum Writer {
    Phone,
    Bench,
    SecondPhone,
}

/// Writes so many entries by three devices, and gives each device's lines in its own order. The photos that they name are
/// nowhere.
///
/// # Panics
/// Where an entry cannot be written as a line, which would be a fault of the bodies below.
#[must_use]
pub fn journals(entries: usize) -> [Vec<Line>; 3] {
    let mut shop = Shop::new(entries);
    let mut casting = CastingId::fresh();
    let mut face = 0;
    while shop.left > 0 {
        if face % FACES_PER_CASTING == 0 {
            casting = CastingId::fresh();
            let name = format!("pump end {}", face / FACES_PER_CASTING + 1);
            shop.write(Writer::Phone, Kind::Casting, casting, json!({"name": name}));
        }
        face += 1;
        shop.work_on_face(casting, face);
    }
    shop.devices.map(|device| device.lines)
}

/// Puts so many photographs of so many bytes into a notebook, as if another device had left them. They are no pictures, and
/// each is another.
///
/// # Panics
/// Where the notebook cannot be written.
pub fn photograph(notebook: &Notebook, photographs: usize, bytes: usize) {
    let mut shop = Shop::new(usize::MAX);
    let face = FaceId::fresh();
    let mut content = vec![0_u8; bytes];
    let mut state = u64::from(std::process::id()) | 1;
    for at in (1..).take(photographs) {
        for piece in content.chunks_mut(8) {
            // Marsaglia's xorshift: nothing makes it smaller on its way.
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            piece.copy_from_slice(&state.to_le_bytes()[..piece.len()]);
        }
        let hash = PhotoHash::of(&content);
        let kept = notebook.photos().adopt_from(&hash, &mut &content[..]);
        kept.expect("the photograph can be stored");
        shop.photo(face, at, &hash.to_string());
    }
    let pieces = shop.devices.map(|device| device.lines);
    let taken = notebook.take_pieces(pieces, |taken| assert!(taken.is_ok(), "{taken:?}"));
    taken.expect("the notebook can be written");
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
        self.write(Writer::Phone, Kind::Face, face, body);
        let cut = json!({"planned_mm": 0.4});
        self.write(Writer::Bench, Kind::FaceCut, face, cut);
        let photos: Vec<PhotoId> = (1..=PHOTOS_PER_FACE)
            .map(|at| self.photograph(face, at))
            .collect();
        let holes: Vec<HoleId> = (1..=HOLES_PER_FACE)
            .map(|at| self.find_hole(face, &photos, at))
            .collect();
        for (at, hole) in (1..).zip(&holes) {
            self.read(*hole, at);
        }
        for (at, hole) in (1..).zip(&holes) {
            self.decide(*hole, at);
        }
        for (at, hole) in (1..).zip(&holes) {
            self.mend(*hole, at);
        }
    }

    fn photograph(&mut self, face: FaceId, at: u32) -> PhotoId {
        let nowhere = LineHash::of(&PhotoId::fresh().to_string());
        self.photo(face, at, &nowhere.to_string())
    }

    fn photo(&mut self, face: FaceId, at: u32, hash: &str) -> PhotoId {
        let photo = PhotoId::fresh();
        let body = json!({
            "face": face, "hash": hash, "width_px": 4000, "height_px": 3000,
            "taken_at": "2026-11-25T07:15:31+01:00", "location_removed": true, "name": format!("cover {at}.jpg"),
        });
        self.write(Writer::Phone, Kind::Photo, photo, body);
        photo
    }

    fn find_hole(&mut self, face: FaceId, photos: &[PhotoId], at: u32) -> HoleId {
        let hole = HoleId::fresh();
        let (x, y) = (f64::from(at) * 31.75, f64::from(at % 5) * 25.4);
        let body = json!({"face": face, "number": at, "x_mm": x, "y_mm": y});
        self.write(Writer::Phone, Kind::Hole, hole, body);
        for mark in 0..MARKS_PER_HOLE {
            let photo = photos[((at + mark) % PHOTOS_PER_FACE) as usize];
            let body = json!({"photo": photo, "x_px": 150.5 + x, "y_px": 310.25 + y});
            self.write(Writer::Phone, Kind::Mark, hole, body);
        }
        hole
    }

    fn read(&mut self, hole: HoleId, at: u32) {
        for (step, quantity) in (0..).zip(READ) {
            let value = 18.0 + f64::from(at + step) * 0.125;
            let body = json!({"quantity": quantity, "value_mm": value, "instrument": "depth rod"});
            let taken_again = body.clone();
            let reading = self.write(Writer::Phone, Kind::Reading, hole, body);
            if (at + step).is_multiple_of(29) {
                let body = json!({"entry": reading, "reason": "the rod stood on a chip"});
                self.write(Writer::Phone, Kind::Strike, hole, body);
                self.write(Writer::Phone, Kind::Reading, hole, taken_again);
            }
        }
        let crater = json!({"stations": [
            {"from_mm": 0, "to_mm": 4.5, "diameter_mm": 12.7, "offset_mm": 0.8, "direction_deg": 35.0},
            {"from_mm": 4.5, "to_mm": 18, "diameter_mm": 10.2, "offset_mm": 0.3},
        ]});
        let damage = self.write(Writer::Phone, Kind::Damage, hole, crater.clone());
        if at.is_multiple_of(6) {
            let mut deeper = crater;
            deeper["stations"][1]["to_mm"] = json!(21);
            self.answer_anew(Writer::SecondPhone, Kind::Damage, hole, deeper, damage);
        }
        if at.is_multiple_of(3) {
            let text = "cast skin is hard here; the drill wanders unless it is held short";
            self.write(Writer::SecondPhone, Kind::Note, hole, json!({"text": text}));
        }
    }

    fn decide(&mut self, hole: HoleId, at: u32) {
        let wanted = |thread| json!({"thread": thread, "bolt": null, "through": false});
        let first = self.write(Writer::Phone, Kind::Wanted, hole, wanted("3/8-16 UNC"));
        if at.is_multiple_of(8) {
            let other = wanted("7/16-14 UNC");
            self.answer_anew(Writer::Bench, Kind::Wanted, hole, other, first);
        }
        self.write(Writer::Bench, Kind::Remedy, hole, work());
    }

    fn mend(&mut self, hole: HoleId, at: u32) {
        for (step, depth) in STEPS {
            let body = json!({"for": work(), "step": step, "depth_mm": depth, "tool": "held in the short collet"});
            self.write(Writer::Bench, Kind::Cut, hole, body);
        }
        let fit = json!({"for": work(), "fits": true, "below_face_mm": 0.6});
        self.write(Writer::Bench, Kind::DryFit, hole, fit);
        let set = json!({"for": work(), "below_face_mm": 0.6, "after_face_cut": false});
        self.write(Writer::Bench, Kind::Set, hole, set);
        for check in ["rule-across", "runs-in", "square"] {
            let body =
                json!({"check": check, "passes": !at.is_multiple_of(11), "instrument": "new bolt"});
            self.write(Writer::Bench, Kind::Check, hole, body);
        }
        if !at.is_multiple_of(11) {
            let body = json!({"for": work(), "passes": true, "how": "new bolt", "torque_nm": 40.0});
            self.write(Writer::SecondPhone, Kind::Prove, hole, body);
        }
    }

    fn write(
        &mut self,
        writer: Writer,
        kind: Kind,
        subject: impl Into<Uuid>,
        body: Value,
    ) -> EntryId {
        self.put(writer, kind, subject.into(), body, Vec::new())
    }

    fn answer_anew(
        &mut self,
        writer: Writer,
        kind: Kind,
        hole: HoleId,
        body: Value,
        over: EntryId,
    ) {
        self.put(writer, kind, hole.into(), body, vec![over]);
    }

    fn put(
        &mut self,
        writer: Writer,
        kind: Kind,
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
            kind: kind.word().to_owned(),
            subject,
            body,
            replaces,
            prev: last.map(Line::hash),
        };
        device
            .lines
            .push(Line::write(&entry).expect("an entry of the shop is sound"));
        id
    }
}

fn work() -> Value {
    json!({"remedy": "wire-insert", "family": "wire thread insert", "length_mm": 14.2875})
}
