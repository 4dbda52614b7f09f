//! Worked examples from standards and handbooks, step by step.

use crate::compare::Ours;
use crate::limits::MM2_PER_IN2;
use crate::table::Row;
use holebook_core::insert::{Catalog, TapChamfer};
use holebook_core::strength::{
    Grade, areas, engagement, internal_shear_area_mm2_per_mm, torque_nm_torque,
};
use holebook_core::thread::unified::{minor_tolerance_2b_in, pitch_diameter_tolerance_2a_in};
use holebook_core::thread::{Form, Thread};

const NEWTONS_PER_LB: f64 = 4.448_221_615;
const NM_PER_FT_LB: f64 = 1.355_817_948;

/// Shear areas from the example's own figures; sizes and stress area from the designation alone.
pub fn iron_engagement(row: &Row<'_>, column: &str) -> Ours {
    let hole =
        internal_shear_area_mm2_per_mm(1.1064 * 25.4, 1.0416 * 25.4, 25.4 / 7.0, Form::Sixty);
    let screw = areas::external_shear_area_max_mm2_per_mm(0.970 * 25.4);
    let area = 0.763 * MM2_PER_IN2;
    let r2 = engagement::r2(20_000.0, 60_000.0);
    let thread = Thread::parse("1-1/8-7").unwrap();
    let ours = match row.input("step") {
        "As" => thread.stress_area_mm2() / MM2_PER_IN2,
        "D1min" => thread.usual_internal().minor_min.inches(),
        "D2max" => thread.usual_internal().pitch_diameter_max.inches(),
        "dmin" => thread.usual_external().major_min.inches(),
        "ASn (2a)" => hole / 25.4,
        "R1 by (5) and (3)" => {
            areas::external_shear_area_simplified_mm2_per_mm(1.0)
                / areas::internal_shear_area_simplified_mm2_per_mm(1.0)
        }
        "R2" => r2,
        "R1" => engagement::r1(screw, hole),
        "LE (15)" => engagement::internal_stronger_mm(area, screw) / 25.4,
        "LE (16)" => engagement::engagement_mm(area, hole, r2) / 25.4,
        _ => row.unknown_column(column),
    };
    ours.into()
}

pub fn extra_fine(row: &Row<'_>, column: &str) -> Ours {
    let thread = Thread::parse("1/2-28 UNEF").unwrap();
    let (screw, hole) = (thread.usual_external(), thread.usual_internal());
    let length = match row.input("limit") {
        "Td" => screw.major_max - screw.major_min,
        "Td2" => return pitch_diameter_tolerance_2a_in(0.5, 9.0 / 28.0, 28.0).into(),
        "es" => thread.nominal() - screw.major_max,
        "TD2" => hole.pitch_diameter_max - hole.pitch_diameter_min,
        "dmax" => screw.major_max,
        "dmin" => screw.major_min,
        "d2max" => screw.pitch_diameter_max,
        "d2min" => screw.pitch_diameter_min,
        "d1max" => screw.minor_max,
        "d3max" => screw.rounded_root_max,
        "D1min" => hole.minor_min,
        "D1max" => hole.minor_max,
        "D2min" => hole.pitch_diameter_min,
        "D2max" => hole.pitch_diameter_max,
        _ => row.unknown_column(column),
    };
    length.inches().into()
}

/// The standard uses 1.25 times the tolerance at nine pitches, since 28 pitches are between 15 and
/// 30, and 0.3 times it for the allowance.
pub fn long_engagement(row: &Row<'_>, column: &str) -> Ours {
    let (d, n) = (2.5, 28.0);
    let at_nine = pitch_diameter_tolerance_2a_in(d, 9.0 / n, n);
    let (allowance, tolerance) = (0.3 * at_nine, 1.25 * at_nine);
    let (pitch, minor) = (d - 0.649_519_05 / n, d - 1.082_531_75 / n);
    let ours = match row.input("limit") {
        "Td2" => tolerance,
        "TD2" => 1.3 * tolerance,
        "dmax" => d - allowance,
        "dmin" => d - allowance - 0.060 * f64::powf(n, -2.0 / 3.0),
        "d2max" => pitch - allowance,
        "d2min" => pitch - allowance - tolerance,
        "D1min" => minor,
        "D1max" => minor + 0.75 * minor_tolerance_2b_in(d, n),
        "D2min" => pitch,
        "D2max" => pitch + 1.3 * tolerance,
        _ => row.unknown_column(column),
    };
    ours.into()
}

pub fn bolt_torque(row: &Row<'_>, column: &str) -> Ours {
    let thread = Thread::parse("3/8-16").unwrap();
    let proof_mpa = Grade::Sae5.strength(&thread).unwrap().proof_mpa;
    let preload_n = 0.75 * proof_mpa * thread.stress_area_mm2();
    let torque = |k: f64| torque_nm_torque(k, &thread, preload_n) / NM_PER_FT_LB;
    let ours = match row.input("result") {
        "preload, lb" => preload_n / NEWTONS_PER_LB,
        "torque at K 0.20, ft-lb" => torque(0.20),
        "torque at K 0.15, ft-lb" => torque(0.15),
        _ => row.unknown_column(column),
    };
    ours.into()
}

pub fn m10(row: &Row<'_>, column: &str) -> Ours {
    let thread = Thread::parse("M10").unwrap();
    let screw = thread.usual_external();
    let length = match row.input("limit") {
        "dmax" => screw.major_max,
        "dmin" => screw.major_min,
        "d2max" => screw.pitch_diameter_max,
        "d2min" => screw.pitch_diameter_min,
        // The example gives d3 of the basic form, without allowance.
        "d3" => screw.rounded_root_max + (thread.nominal() - screw.major_max),
        _ => row.unknown_column(column),
    };
    length.mm().into()
}

pub fn insert_depth(row: &Row<'_>, column: &str) -> Ours {
    let inserts = Catalog::standard().inserts_for(&Thread::parse("M8x1.25").unwrap());
    let insert = inserts
        .iter()
        .find(|i| i.length.nm() == 12_000_000)
        .unwrap();
    match row.input("depth") {
        "drilled, for a plug tap" => insert.drill_depth_min(TapChamfer::Plug).mm().into(),
        _ => row.unknown_column(column),
    }
}

pub fn insert_depth_inch(row: &Row<'_>, column: &str) -> Ours {
    let insert = &Catalog::standard().inserts_for(&Thread::parse("1/4-20").unwrap())[1];
    match row.input("depth") {
        "full thread" => insert.full_thread_min.inches().into(),
        _ => row.unknown_column(column),
    }
}
