//! Inserts and their holes.

use crate::compare::Ours;
use crate::limits::{MM2_PER_IN2, thread};
use crate::table::Row;
use holebook_core::insert::{Family, Insert, inserts_for};
use holebook_core::length::Length;
use holebook_core::thread::{InternalClass, Thread};

fn insert(thread: &Thread, family: Family) -> Option<Insert> {
    inserts_for(thread).into_iter().find(|i| i.family == family)
}

pub fn sti_inch(row: &Row<'_>, column: &str) -> Ours {
    sti(row, column, InternalClass::Unified3B, Length::inches)
}

pub fn sti_metric(row: &Row<'_>, column: &str) -> Ours {
    sti(row, column, InternalClass::Metric4H, Length::mm)
}

/// `close` is the class of the narrower pitch diameter in the table.
fn sti(row: &Row<'_>, column: &str, close: InternalClass, unit: fn(Length) -> f64) -> Ours {
    let thread = thread(row);
    let Some(hole) = insert(&thread, Family::WireThread) else {
        return Ours::NotKept;
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
        _ => row.unknown(column),
    };
    unit(length).into()
}

pub fn thin_wall(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingThinWall)
}

pub fn heavy_duty(row: &Row<'_>, column: &str) -> Ours {
    key_locking(row, column, Family::KeyLockingHeavyDuty)
}

/// The coarse and the fine internal thread of a row have the same insert outside.
fn key_locking(row: &Row<'_>, column: &str, family: Family) -> Ours {
    let [coarse, fine] = ["internal_coarse", "internal_fine"].map(|internal| {
        let thread = Thread::parse(row.asked(internal)).unwrap();
        insert(&thread, family).map(|insert| key_locking_cell(row, column, &insert))
    });
    assert_eq!(coarse, fine, "{} {column}", row.key());
    coarse.unwrap_or(Ours::NotKept)
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
        _ => row.unknown(column),
    };
    length.inches().into()
}

pub fn shear_areas(row: &Row<'_>, column: &str) -> Ours {
    let family = match column {
        "thin_wall" => Family::KeyLockingThinWall,
        "heavy_duty" => Family::KeyLockingHeavyDuty,
        _ => row.unknown(column),
    };
    insert(&thread(row), family)
        .and_then(|insert| insert.published_shear_area_mm2)
        .map(|area| area / MM2_PER_IN2)
        .into()
}
