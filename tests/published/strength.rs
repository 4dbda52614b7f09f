//! Strength, length of engagement and bolt lengths.

use crate::compare::Ours;
use crate::limits::{MM2_PER_IN2, thread};
use crate::table::Row;
use holebook_core::length::{Length, Unit};
use holebook_core::strength::bolt::{length_tolerance, thread_length};
use holebook_core::strength::{
    FailureMode, Grade, Lubrication, Metal, areas, engagement, engagement_mm,
    external_shear_area_mm2_per_mm, strength_report, tapped_shear_area_mm2_per_mm,
};
use holebook_core::thread::Thread;

const MPA_PER_KSI: f64 = 6.894_757;

pub fn irons_and_bolts(row: &Row<'_>, column: &str) -> Ours {
    let per_unit = match row.input("unit") {
        "ksi" => MPA_PER_KSI,
        _ => 1.0,
    };
    if let Ok(metal) = row.input("name").parse::<Metal>() {
        return match column {
            "tensile" => (metal.tensile_min_mpa() / per_unit).into(),
            _ => row.unknown_column(column),
        };
    }
    let grade: Grade = row.input("name").parse().unwrap();
    let bolt = grade.strength(&thread(row)).unwrap();
    let mpa = match column {
        "proof" => bolt.proof_mpa,
        "yield" => bolt.yield_mpa,
        "tensile" => bolt.tensile_mpa,
        _ => row.unknown_column(column),
    };
    (mpa / per_unit).into()
}

pub fn engagement_in_iron(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let iron_side = tapped_shear_area_mm2_per_mm(&thread);
    let diameters = |bolt: f64, iron: f64| {
        engagement_mm(thread.stress_area_mm2(), iron_side, iron / bolt) / thread.nominal().mm()
    };
    let ours = match column {
        "As" => thread.stress_area_mm2() / MM2_PER_IN2,
        "ASn" => iron_side / 25.4,
        "ASs" => screw_side(&thread) / 25.4,
        "R1" => {
            let largest = areas::external_shear_area_max_mm2_per_mm(thread.basic().minor_mm);
            engagement::r1(largest, iron_side)
        }
        "screw74_iron20" => diameters(74.0, 20.0),
        "screw74_iron30" => diameters(74.0, 30.0),
        "screw120_iron20" => diameters(120.0, 20.0),
        "screw120_iron30" => diameters(120.0, 30.0),
        _ => row.unknown_column(column),
    };
    ours.into()
}

/// The engagement at which the bolt breaks first, and the part that fails first at the published one.
pub fn recommended_engagement(row: &Row<'_>, column: &str) -> Ours {
    let bolt = Thread::parse("M10").unwrap();
    let report = |diameters: f64| {
        let engaged = Length::from_mm(diameters * bolt.nominal().mm()).unwrap();
        let grade = Some(row.input("bolt").parse().unwrap());
        strength_report(bolt, grade, row.input("metal").parse().unwrap(), engaged).unwrap()
    };
    let first = |published: &str| {
        let report = report(row.published(published).parse().unwrap());
        match report.comparison.weakest.unwrap() {
            FailureMode::Bolt => "bolt".to_owned(),
            FailureMode::BoltThread => "bolt thread".to_owned(),
            FailureMode::ParentThread | FailureMode::ParentThreadPublished => "metal".to_owned(),
        }
    };
    match column {
        "plain" | "bracketed" => {
            let needed = report(1.0).comparison.engagement.unwrap().h28_mm;
            (needed / bolt.nominal().mm()).into()
        }
        "first_plain" => first("plain").into(),
        "first_bracketed" => first("bracketed").into(),
        _ => row.unknown_column(column),
    }
}

fn screw_side(thread: &Thread) -> f64 {
    external_shear_area_mm2_per_mm(
        thread.usual_internal().minor_max.mm(),
        thread.usual_external().pitch_diameter_min.mm(),
        thread.pitch_mm(),
        thread.form(),
    )
}

fn lubrication(row: &Row<'_>) -> Lubrication {
    match row.input("lubrication") {
        "dry" => Lubrication::Dry,
        "oiled" => Lubrication::Oiled,
        "zinc" => Lubrication::Zinc,
        other => panic!("unknown lubrication {other}"),
    }
}

pub fn nut_factors(row: &Row<'_>, column: &str) -> Ours {
    let [least, usual, largest] = lubrication(row).nut_factors();
    match column {
        "least" => least.into(),
        "usual" => usual.into(),
        "largest" => largest.into(),
        _ => row.unknown_column(column),
    }
}

pub fn preload_scatter(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "scatter" => (100.0 * lubrication(row).scatter()).into(),
        _ => row.unknown_column(column),
    }
}

/// The tolerance of a metric bolt is symmetric.
pub fn bolt_length_tolerances(row: &Row<'_>, column: &str) -> Ours {
    let length = Length::parse(row.input("length"), Some(Unit::Millimeter)).unwrap();
    let (short, long) = length_tolerance(&Thread::parse("M10").unwrap(), length);
    assert_eq!(short, long);
    match column {
        "tolerance" => short.mm().into(),
        _ => row.unknown_column(column),
    }
}

pub fn bolt_inch_lengths(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let inches = |inches: i64| Length::from_fraction(inches, 1);
    let length = match column {
        "thread_to_6" => thread_length(&thread, inches(6)),
        "thread_over_6" => thread_length(&thread, inches(7)),
        "short_at_1" => length_tolerance(&thread, inches(1)).0,
        "short_at_2" => length_tolerance(&thread, inches(2)).0,
        "short_at_4" => length_tolerance(&thread, inches(4)).0,
        "short_at_6" => length_tolerance(&thread, inches(6)).0,
        _ => row.unknown_column(column),
    };
    length.inches().into()
}
