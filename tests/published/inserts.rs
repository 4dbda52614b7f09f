//! Inserts and their holes against tables.

use crate::table::{Row, Table};
use holebook_core::insert::{Family, Insert, inserts_for};
use holebook_core::thread::{InternalClass, Thread};

fn insert(size: &str, family: Family) -> Insert {
    let thread = Thread::parse(size).unwrap();
    let found = inserts_for(&thread)
        .into_iter()
        .find(|i| i.family == family);
    found.unwrap_or_else(|| panic!("no {family} for {size}"))
}

#[test]
fn sti_holes_inch() {
    let table = Table::read("sti_inch");
    for row in table.rows() {
        let size = row.text("size");
        let hole = insert(size, Family::WireThread);
        row.same("drill", &hole.drill.to_string());
        row.compare("minor_min", hole.hole_min.inches(), 0.0001);
        row.compare("minor_max", hole.hole_max.inches(), 0.0001);
        row.compare("pd_min", hole.outside.pitch_diameter.inches(), 0.0001);
        row.compare(
            "pd_max_2B",
            hole.outside.tapped_pitch_diameter_max.inches(),
            0.0001,
        );
        row.compare("major_min", hole.outside.major_min.inches(), 0.0001);
        assert_eq!(hole.outside.designation, format!("{size} STI"));
    }
    table.finish();
}

#[test]
fn sti_holes_metric() {
    let table = Table::read("sti_metric");
    for row in table.rows() {
        let size = row.text("size");
        let hole = insert(size, Family::WireThread);
        row.compare("drill", hole.drill.diameter.mm(), 0.0);
        row.compare("minor_min", hole.hole_min.mm(), 0.001);
        row.compare("minor_max", hole.hole_max.mm(), 0.001);
        row.compare("pd_min", hole.outside.pitch_diameter.mm(), 0.001);
        row.compare(
            "pd_max_5H",
            hole.outside.tapped_pitch_diameter_max.mm(),
            0.001,
        );
        row.compare("major_min", hole.outside.major_min.mm(), 0.001);
        let four = Thread::parse(size)
            .unwrap()
            .internal(InternalClass::Metric4H)
            .unwrap();
        let pd_max =
            hole.outside.pitch_diameter + (four.pitch_diameter_max - four.pitch_diameter_min);
        row.compare("pd_max_4H", pd_max.mm(), 0.001);
    }
    table.finish();
}

fn compare_key_locking(row: &Row, insert: &Insert) {
    let outside = insert.outside.thread.unwrap();
    assert_eq!(outside, Thread::parse(row.text("outside")).unwrap());
    row.compare("length", insert.length.inches(), 0.0);
    row.compare("hole_min", insert.hole_min.inches(), 0.0);
    row.compare("hole_max", insert.hole_max.inches(), 0.0);
    row.same("drill", &insert.drill.to_string());
    let countersink = insert.countersink.unwrap();
    row.compare("countersink", countersink.min.inches(), 0.0);
    row.compare("countersink", countersink.max.inches() - 0.010, 0.0);
    assert_eq!(
        (countersink.angle_min_deg, countersink.angle_max_deg),
        (82.0, 100.0)
    );
    row.compare("full_thread", insert.full_thread_min.inches(), 0.0);
    row.compare("keys", f64::from(insert.keys), 0.0);
}

#[test]
fn key_locking_thin_wall() {
    let table = Table::read("key_locking_thin");
    for row in table.rows() {
        for size in [row.text("internal_coarse"), row.text("internal_fine")] {
            let insert = insert(size, Family::KeyLockingThinWall);
            compare_key_locking(&row, &insert);
            row.compare(
                "percent_at_min",
                insert.outside.thread_percent(insert.hole_min),
                0.6,
            );
            row.compare(
                "percent_at_max",
                insert.outside.thread_percent(insert.hole_max),
                0.6,
            );
        }
    }
    table.finish();
}

#[test]
fn key_locking_heavy_duty() {
    let table = Table::read("key_locking_heavy");
    for row in table.rows() {
        for size in [row.text("internal_coarse"), row.text("internal_fine")] {
            compare_key_locking(&row, &insert(size, Family::KeyLockingHeavyDuty));
        }
    }
    table.finish();
}

#[test]
fn shear_areas() {
    let table = Table::read("insert_shear_areas");
    for row in table.rows() {
        for (column, family) in [
            ("thin_wall", Family::KeyLockingThinWall),
            ("heavy_duty", Family::KeyLockingHeavyDuty),
        ] {
            if row.text(column) != "-" {
                let area = insert(row.text("size"), family)
                    .published_shear_area_mm2
                    .unwrap();
                row.compare(column, area / (25.4 * 25.4), 1e-9);
            }
        }
    }
    table.finish();
}
