//! Bodies of every kind of entry: valid ones, and mutated ones.

use super::fixed_ids;
use arbitrary::{Result, Unstructured};
use holebook_core::notebook::EntryKind;
use holebook_core::photo::PhotoHash;
use serde_json::{Map, Value, json};
use uuid::Uuid;

/// The casting of the sample.
pub const CASTING: u64 = 1;
/// Its face.
pub const FACE: u64 = 2;
/// A photo of the face.
pub const PHOTO: u64 = 3;
/// The first hole; others follow.
pub const HOLE: u64 = 4;
/// Number of holes.
pub const HOLES: u64 = 3;

/// The subject of the shop's own inserts, and of what is on hand.
const DRAWER: Uuid = Uuid::from_u128(0x8d1a_57c0_4f0e_8b6a_9c31_d0a3_66b5_2e17);

/// The subject of the mill.
const MILL: Uuid = Uuid::from_u128(0x8e14_77d2_5b0c_4f61_a3c9_0d62_9f1e_b758);

/// A file of inserts with one row.
const INSERTS: &str = "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\nsource = \"card in the box\"\n\
    internal = [\"3/8-16\"]\noutside = \"9/16-12\"\nlength = 0.5\nhole = [0.500, 0.510]\nset_below = [0.010, 0.030]\n\
    keys = 2\nconfidence = \"card\"\n";

/// A body of each kind with all its fields, in an order in which a person could have recorded them.
pub fn sample() -> Vec<(EntryKind, Uuid, Value)> {
    let [casting, face, photo, hole] = [CASTING, FACE, PHOTO, HOLE].map(fixed_ids::thing);
    let hash = PhotoHash::of(b"a photo").to_string();
    let size = json!({"width_px": 4000, "height_px": 3000, "taken_at": "2026-11-01T10:00:00"});
    let mut entries = vec![
        (
            EntryKind::Device,
            fixed_ids::device(1).0,
            json!({"name": "barn phone"}),
        ),
        (
            EntryKind::Casting,
            casting,
            json!({"name": "pump cover", "note": "invented", "metal": "ASTM A48 class 25"}),
        ),
        (
            EntryKind::Face,
            face,
            json!({"casting": casting, "name": "joint", "note": "milled last"}),
        ),
        (
            EntryKind::Photo,
            photo,
            merged(
                &json!({"face": face, "hash": hash, "metadata_removed": true, "name": "a.jpg"}),
                &size,
            ),
        ),
        (
            EntryKind::WantedPattern,
            face,
            json!({"holes": [{"hole": 1, "x_mm": 0, "y_mm": 0}, {"hole": 2, "x_mm": 50, "y_mm": 1}], "source": "distances",
                "tolerance_mm": 0.1, "from_back": true, "jaw_diameter_mm": 9, "note": "gasket",
                "distances": [{"from": 1, "to": 2, "reading_mm": 59, "across": "far-sides"}]}),
        ),
        (
            EntryKind::FaceHeights,
            face,
            json!({"points": [{"x_mm": 1, "y_mm": 2, "reading_mm": -0.1}], "tool": "indicator", "instrument": "dial", "tolerance_mm": 0.01}),
        ),
        (
            EntryKind::KnownPlace,
            photo,
            json!({"x_px": 3, "y_px": 4, "x_mm": 0, "y_mm": 10, "tolerance_mm": 0.1}),
        ),
        (
            EntryKind::MillSetup,
            MILL,
            json!({"name": "knee mill", "readout": true,
                "x": {"lead_mm": 5.08, "divisions": 200, "approach": "falling", "backlash_mm": 0.2}}),
        ),
        (EntryKind::FaceCut, face, json!({"planned_mm": 0.5})),
        (
            EntryKind::FaceMilled,
            face,
            json!({"removed_mm": 0.2, "instrument": "depth gauge"}),
        ),
        (
            EntryKind::Inserts,
            DRAWER,
            json!({"name": "thin walls", "text": INSERTS}),
        ),
        (
            EntryKind::DrawerItem,
            DRAWER,
            json!({"item": {"kind": "tap", "thread": "1/2-13 UNC", "chamfer": "plug"}, "count": 2, "worn": 1, "checked": "2026-10-01"}),
        ),
    ];
    entries.extend(hole_entries(hole, face, photo));
    entries.push((
        EntryKind::StrikeOut,
        hole,
        json!({"entry": fixed_ids::entry(9), "reason": "misread"}),
    ));
    entries
}

/// A hole from its number to its final check.
fn hole_entries(hole: Uuid, face: Uuid, photo: Uuid) -> Vec<(EntryKind, Uuid, Value)> {
    let work = json!({"remedy": "key-locking-insert", "family": "key-locking insert, thin wall", "length_mm": 12.7, "outside_thread": "9/16-12 UNC"});
    let damage = json!({
        "stations": [{"from_mm": 0, "to_mm": 9, "diameter_mm": 10.2, "offset_mm": 0.3, "direction_deg": 30.0, "to_diameter_mm": 9.8,
            "to_offset_mm": 0.1, "to_direction_deg": 60.0, "diameter_tolerance_mm": 0.1, "offset_tolerance_mm": 0.1}],
        "hard": [{"from_mm": 2, "to_mm": 4, "tolerance_mm": 0.5}],
        "lean": {"by_mm": 1, "over_mm": 25, "direction_deg": 90.0, "offset_mm": 0.2, "offset_direction_deg": 10.0, "diameter_mm": 9.5},
        "broken_tool": {"what": "tap", "length_mm": 12, "top_mm": 3},
        "crack": false});
    let entries = [
        (
            EntryKind::Hole,
            json!({"face": face, "number": 1, "x_mm": 25.4, "y_mm": 12.7}),
        ),
        (
            EntryKind::Mark,
            json!({"photo": photo, "x_px": 1201.5, "y_px": 800.0}),
        ),
        (
            EntryKind::WantedThread,
            json!({"thread": "3/8-16 UNC", "bolt": "SAE J429 grade 5", "through": false}),
        ),
        (EntryKind::Condition, json!({"condition": "off-center"})),
        (EntryKind::Damage, damage),
        (
            EntryKind::Reading,
            json!({"quantity": "depth", "value_mm": 30, "tolerance_mm": 0.2, "instrument": "depth rod"}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "floor", "value_mm": 12}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "nearest-edge", "value_mm": 20}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "nearest-hole", "value_mm": 40}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "bore", "value_mm": 9}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "mating-hole", "value_mm": 10.3}),
        ),
        (
            EntryKind::Reading,
            json!({"quantity": "grip", "value_mm": 15}),
        ),
        (
            EntryKind::Remedy,
            merged(&work, &json!({"reason": "what is in the drawer"})),
        ),
        (
            EntryKind::Cut,
            json!({"for": work, "step": "drill", "depth_mm": 24, "tool": "drill 33/64", "reason": "as it came"}),
        ),
        (
            EntryKind::Cut,
            json!({"for": work, "step": "tap", "depth_mm": 20, "tool": "9/16-12 plug tap"}),
        ),
        (
            EntryKind::TrialFit,
            json!({"for": work, "fits": true, "below_face_mm": 1.0, "note": "snug"}),
        ),
        (
            EntryKind::Install,
            json!({"for": work, "below_face_mm": 0.8, "after_face_cut": false, "reason": "asked for"}),
        ),
        (
            EntryKind::StakeKeys,
            json!({"for": work, "driven": 2, "reason": "late"}),
        ),
        (
            EntryKind::Check,
            json!({"check": "stake-check", "passes": true, "reading_mm": 0.1, "instrument": "straightedge"}),
        ),
        (
            EntryKind::FinalCheck,
            json!({"for": work, "passes": true, "how": "new bolt", "torque_nm": 40.5, "engaged_mm": 12}),
        ),
        (EntryKind::Note, json!({"text": "cast skin is hard here"})),
    ];
    entries.map(|(kind, body)| (kind, hole, body)).into()
}

fn merged(one: &Value, other: &Value) -> Value {
    let mut both = Map::new();
    for part in [one, other].into_iter().filter_map(Value::as_object) {
        both.extend(part.clone());
    }
    both.into()
}

/// Mutates a body: fields are removed, duplicated, and changed within their type or to another one.
///
/// # Errors
/// Only when the input bytes run out; the body is then partly mutated.
pub fn mutate(u: &mut Unstructured<'_>, body: &mut Value) -> Result<()> {
    for _ in 0..u.int_in_range(0..=4)? {
        let mut leaves = Vec::new();
        collect(body, String::new(), &mut leaves);
        if leaves.is_empty() {
            return Ok(());
        }
        let at = u.choose(&leaves)?.clone();
        change(u, body, &at)?;
    }
    Ok(())
}

/// The JSON pointers of all values below this one.
fn collect(value: &Value, at: String, into: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                collect(value, format!("{at}/{name}"), into);
            }
        }
        Value::Array(items) => {
            for (number, value) in items.iter().enumerate() {
                collect(value, format!("{at}/{number}"), into);
            }
        }
        _ => {}
    }
    if !at.is_empty() {
        into.push(at);
    }
}

fn change(u: &mut Unstructured<'_>, body: &mut Value, at: &str) -> Result<()> {
    let Some((above, name)) = at.rsplit_once('/') else {
        return Ok(());
    };
    if u.ratio(1, 6)? {
        match body.pointer_mut(above) {
            Some(Value::Object(fields)) => {
                fields.remove(name);
            }
            Some(Value::Array(items)) => items.extend(items.first().cloned()),
            _ => {}
        }
        return Ok(());
    }
    if let Some(value) = body.pointer_mut(at) {
        *value = other_value(u, value)?;
    }
    Ok(())
}

fn other_value(u: &mut Unstructured<'_>, now: &Value) -> Result<Value> {
    if u.ratio(1, 8)? {
        return Ok(u
            .choose(&[
                json!(null),
                json!([]),
                json!({}),
                json!("x"),
                json!(-1),
                json!(true),
            ])?
            .clone());
    }
    Ok(match now {
        Value::Number(_) => number(u)?,
        Value::Bool(now) => json!(!now),
        Value::String(_) => json!(text(u)?),
        Value::Array(items) => {
            let times = u.int_in_range(0..=60)?;
            items.iter().cycle().take(times).cloned().collect()
        }
        other => other.clone(),
    })
}

fn number(u: &mut Unstructured<'_>) -> Result<Value> {
    const WORTH_A_TRY: &[f64] = &[
        0.0,
        -0.0,
        1e-9,
        0.000_000_5,
        0.1,
        1.0,
        -1.0,
        9.921_875,
        25.4,
        360.0,
        89.999,
        90.0,
        500.0,
        2000.0,
        99_999.999_999,
        100_000.0,
        -100_000.0,
        1e18,
        1e300,
        f64::MIN_POSITIVE,
        f64::MAX,
    ];
    Ok(match u.int_in_range(0..=3)? {
        0 => json!(u.choose(WORTH_A_TRY)?),
        1 => json!(f64::from(u.arbitrary::<i16>()?) / 100.0),
        2 => json!(u.arbitrary::<i64>()?),
        _ => json!(u.arbitrary::<f64>()?),
    })
}

/// A word that some field accepts, or any text.
///
/// # Errors
/// Only when the input bytes run out.
pub fn text(u: &mut Unstructured<'_>) -> Result<String> {
    const WORDS: &[&str] = &[
        "",
        "leave",
        "chase",
        "wire-insert",
        "key-locking-insert",
        "bushing",
        "stepped-stud",
        "larger-bolt",
        "threaded-plug",
        "specialist",
        "wire thread insert",
        "key-locking insert, thin wall",
        "key-locking insert, heavy duty",
        "threaded bushing",
        "clear-broken",
        "relieve-hard",
        "center",
        "drill",
        "countersink",
        "tap",
        "plug",
        "drill-plug",
        "tap-plug",
        "stake-check",
        "runs-in-by-hand",
        "square",
        "depth",
        "floor",
        "nearest-edge",
        "nearest-hole",
        "bore",
        "mating-hole",
        "grip",
        "3/8-16 UNC",
        "3/8-24 UNF",
        "M10x1.5",
        "M4x0.7",
        "#4-40",
        "G 1/2",
        "1/2-14 NPT",
        "1/2 BSW",
        "2-4.5 UNC",
        "3/8-16 UNC LH",
        "9/16-12 UNC",
        "M300x6",
        "unknown",
        "ASTM A48 class 40",
        "steel of 60000 psi",
        "aluminum 356.0-T6, sand cast",
        "gray iron 20 MPa",
        "SAE J429 grade 8",
        "ISO 898-1 class 12.9",
        "2026-11-01T10:00:00",
        "<fz\"fz='fz&",
        "\u{202e}\u{0}\u{7f}\n",
        "10.2",
        "25/64",
        "-1",
        "0",
        "9.9 mm",
        ".390",
        "#7",
        "U",
        "on",
    ];
    Ok(match u.int_in_range(0..=7)? {
        0 => u.arbitrary::<&str>()?.to_owned(),
        1 => fixed_ids::thing(u.int_in_range(0..=8)?).to_string(),
        2 => fixed_ids::entry(u.int_in_range(0..=40)?).to_string(),
        _ => (*u.choose(WORDS)?).to_owned(),
    })
}
