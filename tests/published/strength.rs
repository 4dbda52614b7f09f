//! Strengths and length of engagement against tables.

use crate::table::Table;
use holebook_core::strength::{
    Grade, Iron, areas, engagement, engagement_mm, external_shear_area_mm2_per_mm,
    tapped_shear_area_mm2_per_mm,
};
use holebook_core::thread::Thread;

const MPA_PER_KSI: f64 = 6.894_757;

#[test]
fn irons_and_bolts() {
    let table = Table::read("irons_and_bolts");
    for row in table.rows() {
        let per_unit = if row.text("unit") == "ksi" {
            MPA_PER_KSI
        } else {
            1.0
        };
        if let Ok(iron) = row.text("name").parse::<Iron>() {
            row.compare("tensile", iron.tensile_min_mpa() / per_unit, 0.5);
            continue;
        }
        let grade: Grade = row.text("name").parse().unwrap();
        let bolt = grade
            .strength(&Thread::parse(row.text("size")).unwrap())
            .unwrap();
        row.compare("proof", bolt.proof_mpa / per_unit, 0.5);
        row.compare("yield", bolt.yield_mpa / per_unit, 0.5);
        row.compare("tensile", bolt.tensile_mpa / per_unit, 0.5);
    }
    table.finish();
}

#[test]
fn engagement_in_gray_iron() {
    let table = Table::read("engagement");
    for row in table.rows() {
        let thread = Thread::parse(row.text("size")).unwrap();
        let (screw, hole) = (thread.usual_external(), thread.usual_internal());
        let area = thread.stress_area_mm2();
        let iron_side = tapped_shear_area_mm2_per_mm(&thread);
        let screw_side = external_shear_area_mm2_per_mm(
            hole.minor_max.mm(),
            screw.pitch_diameter_min.mm(),
            thread.pitch_mm(),
        );
        row.compare("As", area / (25.4 * 25.4), 0.00006);
        row.compare("ASn", iron_side / 25.4, 0.00011);
        row.compare("ASs", screw_side / 25.4, 0.00011);
        let largest = areas::external_shear_area_max_mm2_per_mm(hole.minor_min.mm());
        row.compare("R1", engagement::r1(largest, iron_side), 0.0015);
        for (column, bolt, iron) in [
            ("screw74_iron20", 74.0, 20.0),
            ("screw74_iron30", 74.0, 30.0),
            ("screw120_iron20", 120.0, 20.0),
            ("screw120_iron30", 120.0, 30.0),
        ] {
            let diameters = engagement_mm(area, iron_side, iron / bolt) / thread.nominal().mm();
            row.compare(column, diameters, 0.006);
        }
    }
    table.finish();
}
