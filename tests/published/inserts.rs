//! Inserts and their holes.

use crate::compare::Ours;
use crate::limits::{MM2_PER_IN2, thread};
use crate::table::Row;
use holebook_core::insert::{Catalog, Family, Insert, TapChamfer};
use holebook_core::length::Length;
use holebook_core::thread::{InternalClass, Thread};
use std::sync::Arc;

fn insert(thread: &Thread, family: Family) -> Option<Arc<Insert>> {
    let inserts = Catalog::standard().inserts_for(thread);
    inserts.into_iter().find(|i| i.family == family)
}

pub fn sti_inch(row: &Row<'_>, column: &str) -> Ours {
    sti(row, column, InternalClass::Unified3B, Length::inches)
}

pub fn sti_metric(row: &Row<'_>, column: &str) -> Ours {
    sti(row, column, InternalClass::Metric4H, Length::mm)
}

/// `close` is the tighter class of pitch diameter in the table.
fn sti(row: &Row<'_>, column: &str, close: InternalClass, unit: fn(Length) -> f64) -> Ours {
    let thread = thread(row);
    let Some(hole) = insert(&thread, Family::WireThread) else {
        return Ours::NotIncluded;
    };
    let length = match column {
        "drill_name" => return hole.drill.to_string().into(),
        "drill" => hole.drill.diameter,
        "minor_min" => hole.hole_min,
        "minor_max" => hole.hole_max,
        "pd_min" => hole.outside.pitch_diameter,
        "pd_max_2B" | "pd_max_5H" => hole.outside.tapped_pitch_diameter_max,
        "pd_max_3B" | "pd_max_4H" => {
            let limits = thread.internal(close).unwrap();
            hole.outside.pitch_diameter + (limits.pitch_diameter_max - limits.pitch_diameter_min)
        }
        "major_min" => hole.outside.major_min,
        _ => row.unknown_column(column),
    };
    unit(length).into()
}

fn wire_inserts(size: &str) -> Vec<Arc<Insert>> {
    let inserts = Catalog::standard().inserts_for(&Thread::parse(size).unwrap());
    let inserts = inserts.into_iter();
    inserts.filter(|i| i.family == Family::WireThread).collect()
}

pub fn wire_lengths(row: &Row<'_>, column: &str) -> Ours {
    let position: usize = row.input("position").parse().unwrap();
    let insert = wire_inserts("3/8-16").into_iter().nth(position - 1);
    match column {
        "diameters" => insert
            .map(|i| i.length.mm() / i.internal.nominal().mm())
            .into(),
        _ => row.unknown_column(column),
    }
}

pub fn wire_rules(row: &Row<'_>, column: &str) -> Ours {
    let (m10, m6) = (
        wire_inserts("M10").swap_remove(1),
        wire_inserts("M6").swap_remove(1),
    );
    let pitches = |length: Length| length.mm() / m10.internal.pitch_mm();
    let ours = match (row.input("rule"), column) {
        ("set below the face, least", "value") => pitches(m10.set_below_min),
        ("set below the face, largest", "value") => pitches(m10.set_below_max),
        ("full thread beyond the length", "value") => pitches(m10.full_thread_min - m10.length),
        ("drilled beyond the length, plug tap", "value") => {
            pitches(m10.drill_depth_min(TapChamfer::Plug) - m10.length)
        }
        ("drilled beyond the length, bottoming tap", "value") => {
            pitches(m10.drill_depth_min(TapChamfer::Bottoming) - m10.length)
        }
        ("male center, plug tap", "value") => {
            let rest = m6.drill_depth_min(TapChamfer::Plug) - m6.length;
            (rest.mm() - 6.0 * m6.internal.pitch_mm()) / m6.internal.nominal().mm()
        }
        _ => row.unknown_column(column),
    };
    ours.into()
}

pub fn thin_wall(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingThinWall)
}

pub fn heavy_duty(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingHeavyDuty)
}

pub fn miniature(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingMiniature)
}

pub fn extra_heavy_duty(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingExtraHeavyDuty)
}

/// The coarse and fine internal threads of a row share one outside thread.
fn key_locking(row: &Row<'_>, column: &str, family: Family) -> Ours {
    let [coarse, fine] = ["internal_coarse", "internal_fine"].map(|internal| {
        let thread = Thread::parse(row.input(internal)).unwrap();
        insert(&thread, family).map(|insert| key_locking_cell(row, column, &insert))
    });
    assert_eq!(coarse, fine, "{} {column}", row.key());
    coarse.unwrap_or(Ours::NotIncluded)
}

fn key_locking_cell(row: &Row<'_>, column: &str, insert: &Insert) -> Ours {
    let countersink = insert.countersink.unwrap();
    let length = match column {
        "outside" => return insert.outside.designation.clone().into(),
        "drill" => return insert.drill.to_string().into(),
        "keys" => return f64::from(insert.keys).into(),
        "percent_at_min" => return insert.outside.thread_percent(insert.hole_min).into(),
        "percent_at_max" => return insert.outside.thread_percent(insert.hole_max).into(),
        "angle_min" => return countersink.angle_min_deg.into(),
        "angle_max" => return countersink.angle_max_deg.into(),
        "length" => insert.length,
        "hole_min" => insert.hole_min,
        "hole_max" => insert.hole_max,
        "countersink" => countersink.min,
        "countersink_max" => countersink.max,
        "full_thread" => insert.full_thread_min,
        _ => row.unknown_column(column),
    };
    length.inches().into()
}

pub fn shear_areas(row: &Row<'_>, column: &str) -> Ours {
    let family = match column {
        "thin_wall" => Family::KeyLockingThinWall,
        "heavy_duty" => Family::KeyLockingHeavyDuty,
        _ => row.unknown_column(column),
    };
    insert(&thread(row), family)
        .and_then(|insert| insert.published_shear_area_mm2)
        .map(|area| area / MM2_PER_IN2)
        .into()
}
