//! Converts a row of an insert file into an insert.

use super::file::Row;
use super::{Family, Insert, OutsideThread, oversize_note};
use crate::length::{Length, Rounding};
use crate::thread::Thread;

/// Creates the insert of a row for one of its internal threads. `shop` is the name of the shop's
/// file.
pub(super) fn insert(row: &Row, internal: Thread, shop: Option<&str>) -> Insert {
    let outside = outside(row.outside);
    let pitch = Length::from_computed_mm(outside.pitch_mm);
    let (set_below_min, set_below_max) = row.set_below;
    let to_seat = row.length + set_below_max;
    let mut notes = notes(row, &outside);
    let given = row.full_thread.unwrap_or(to_seat + pitch);
    if row.full_thread.is_none() {
        notes.push(
            "Least full thread computed: insert length, depth below the face and one pitch."
                .to_owned(),
        );
    }
    if given < to_seat {
        notes.push(format!(
            "The source's least full thread, {}, is too short for the insert to go {} below the face: cut at least {}.",
            given.both(),
            set_below_max.both(),
            to_seat.both_rounded(Rounding::Up)
        ));
    }
    Insert {
        family: row.family,
        internal,
        tap: format!("{} tap", outside.designation),
        outside,
        hole_min: row.hole.0,
        hole_max: row.hole.1,
        drill: row.drill,
        countersink: row.countersink,
        length: row.length,
        set_below_min,
        set_below_max,
        full_thread_min: given,
        keys: row.keys,
        tang: false,
        coil: None,
        published_shear_area_mm2: row.shear_area_mm2,
        source: shop.map_or_else(
            || row.source.clone(),
            |file| format!("{}, from the shop's file {file}", row.source),
        ),
        confidence: row.confidence,
        shop_file: shop.map(str::to_owned),
        notes,
    }
}

/// Returns the outside thread of a solid insert: class 2A, in a hole tapped 2B or 3B (MS51835B).
pub(super) fn outside(thread: Thread) -> OutsideThread {
    OutsideThread {
        designation: thread.designation(),
        pitch_mm: thread.pitch_mm(),
        major_min: thread.usual_external().major_min,
        major: thread.nominal(),
        pitch_diameter: Length::from_computed_mm(thread.basic().pitch_diameter_mm),
        tapped_pitch_diameter_max: thread.usual_internal().pitch_diameter_max,
        form: thread.form(),
        thread: Some(thread),
    }
}

fn notes(row: &Row, outside: &OutsideThread) -> Vec<String> {
    let mut notes = Vec::with_capacity(6);
    if row.keys > 0 {
        notes.push(
            "Above 150 Brinell, as most gray iron is, the key slots may have to be broached before the keys are staked \
             (MS51835B)."
                .to_owned(),
        );
    }
    let percent = outside.thread_percent(row.drill.diameter);
    let drill = row.drill;
    if row.family != Family::Bushing {
        notes.push(format!(
            "Not the standard tap drill: the insert's hole is enlarged, and {drill} leaves {percent:.0}% thread."
        ));
        notes.push("Tap 2B or 3B, square to the face; spot-face if needed (MS51835B).".to_owned());
    }
    if row.drill_chosen {
        notes.push(format!(
            "The source gives no drill; {drill} is nearest the middle of the hole's limits."
        ));
    }
    notes.extend(oversize_note(drill, row.hole.1));
    notes.extend(row.notes.iter().cloned());
    notes
}
