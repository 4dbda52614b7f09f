//! Limits of threads against tables.

use crate::table::Table;
use holebook_core::length::Length;
use holebook_core::thread::{InternalClass, Thread};

const MM2_PER_IN2: f64 = 25.4 * 25.4;

#[test]
fn unified_limits() {
    let table = Table::read("unified_limits");
    for row in table.rows() {
        let thread = Thread::parse(row.text("size")).unwrap();
        let (screw, hole) = (thread.usual_external(), thread.usual_internal());
        let close = thread.internal(InternalClass::Unified3B).unwrap();
        let compare = |column: &str, ours: Length, tolerance: f64| {
            row.compare(column, ours.inches(), tolerance)
        };
        compare("es", thread.nominal() - screw.major_max, 0.00005);
        compare("dmax", screw.major_max, 0.00005);
        compare("dmin", screw.major_min, 0.00005);
        compare("d2max", screw.pitch_diameter_max, 0.00005);
        compare("d2min", screw.pitch_diameter_min, 0.00005);
        compare("D1min", hole.minor_min, 0.0005);
        compare("D1max_2B", hole.minor_max, 0.0006);
        compare("D1min", close.minor_min, 0.00005);
        compare("D1max_3B", close.minor_max, 0.00005);
        compare("D2min", hole.pitch_diameter_min, 0.00005);
        compare("D2max_2B", hole.pitch_diameter_max, 0.00005);
        compare("D2max_3B", close.pitch_diameter_max, 0.00005);
        row.compare("As", thread.stress_area_mm2() / MM2_PER_IN2, 0.00006);
    }
    table.finish();
}

#[test]
fn unified_minor_diameters_as_printed() {
    let table = Table::read("unified_minor_2b");
    for row in table.rows() {
        let hole = Thread::parse(row.text("size")).unwrap().usual_internal();
        row.compare("min", hole.minor_min.inches(), 0.0);
        row.compare("max", hole.minor_max.inches(), 0.0);
    }
    table.finish();
}

#[test]
fn metric_limits() {
    let table = Table::read("metric_6g6h");
    for row in table.rows() {
        let thread = Thread::parse(row.text("size")).unwrap();
        let (screw, hole, basic) = (
            thread.usual_external(),
            thread.usual_internal(),
            thread.basic(),
        );
        let allowance = thread.nominal() - screw.major_max;
        row.compare("pitch_diameter", basic.pitch_diameter_mm, 0.0005);
        row.compare("minor", basic.minor_mm, 0.0005);
        row.compare("d3", (screw.rounded_root_max + allowance).mm(), 0.0005);
        row.compare("As", thread.stress_area_mm2(), 0.006);
        row.compare("dmax", screw.major_max.mm(), 0.0);
        row.compare("dmin", screw.major_min.mm(), 0.0);
        row.compare("d2max", screw.pitch_diameter_max.mm(), 0.0);
        row.compare("d2min", screw.pitch_diameter_min.mm(), 0.0);
        row.compare("D1max", hole.minor_max.mm(), 0.0);
        row.compare("D2max", hole.pitch_diameter_max.mm(), 0.0);
        let drill = holebook_core::drill::tap_drill(&thread).drill;
        row.compare("tap_drill", drill.diameter.mm(), 0.0);
    }
    table.finish();
}
