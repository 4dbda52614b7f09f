//! Key-locking inserts: the rows of the standards.
//!
//! Thin wall: MS51830E (1992) and MS51835B (2014), read. Heavy duty: outside thread, hole,
//! countersink and depth from MS51835B Table II, read; internal thread and length from overhaul
//! manual Table 402 and TM 9-2520-215-34 (secondary), 9/16 to 3/4 from NASA TM-106943. Shear areas:
//! overhaul manual Tables 402 and 403 (secondary); of 1/2 in thin wall the smaller figure of NASA
//! TM-106943 Table IV.

use super::{Countersink, Family, Insert, OutsideThread, oversize_note};
use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;

/// One row of a standard; lengths in thousandths of an inch.
struct Row {
    internal: [&'static str; 2],
    outside: &'static str,
    length: i64,
    hole: [i64; 2],
    drill: &'static str,
    countersink: i64,
    full_thread: i64,
    keys: u8,
    /// Least shear area, locking type, in ten-thousandths of a square inch.
    shear_area: Option<i64>,
}

#[rustfmt::skip]
const THIN_WALL: [Row; 6] = [
    Row { internal: ["10-24", "10-32"], outside: "5/16-18", length: 312, hole: [271, 276], drill: "I", countersink: 323, full_thread: 370, keys: 2, shear_area: Some(945) },
    Row { internal: ["1/4-20", "1/4-28"], outside: "3/8-16", length: 375, hole: [331, 336], drill: "Q", countersink: 385, full_thread: 430, keys: 2, shear_area: Some(1726) },
    Row { internal: ["5/16-18", "5/16-24"], outside: "7/16-14", length: 437, hole: [396, 401], drill: "X", countersink: 447, full_thread: 500, keys: 4, shear_area: Some(2321) },
    Row { internal: ["3/8-16", "3/8-24"], outside: "1/2-13", length: 500, hole: [452, 457], drill: "29/64", countersink: 510, full_thread: 560, keys: 4, shear_area: Some(3366) },
    Row { internal: ["7/16-14", "7/16-20"], outside: "9/16-12", length: 562, hole: [515, 521], drill: "33/64", countersink: 572, full_thread: 620, keys: 4, shear_area: Some(4606) },
    Row { internal: ["1/2-13", "1/2-20"], outside: "5/8-11", length: 625, hole: [577, 583], drill: "37/64", countersink: 635, full_thread: 680, keys: 4, shear_area: Some(5831) },
];

#[rustfmt::skip]
const HEAVY_DUTY: [Row; 9] = [
    Row { internal: ["10-24", "10-32"], outside: "3/8-16", length: 310, hole: [331, 336], drill: "Q", countersink: 385, full_thread: 370, keys: 2, shear_area: Some(1156) },
    Row { internal: ["1/4-20", "1/4-28"], outside: "7/16-14", length: 370, hole: [396, 401], drill: "X", countersink: 447, full_thread: 430, keys: 2, shear_area: Some(1970) },
    Row { internal: ["5/16-18", "5/16-24"], outside: "1/2-13", length: 430, hole: [452, 457], drill: "29/64", countersink: 510, full_thread: 500, keys: 4, shear_area: Some(2608) },
    Row { internal: ["3/8-16", "3/8-24"], outside: "9/16-12", length: 500, hole: [515, 521], drill: "33/64", countersink: 572, full_thread: 560, keys: 4, shear_area: Some(3843) },
    Row { internal: ["7/16-14", "7/16-20"], outside: "5/8-11", length: 620, hole: [577, 583], drill: "37/64", countersink: 635, full_thread: 680, keys: 4, shear_area: Some(5831) },
    Row { internal: ["1/2-13", "1/2-20"], outside: "11/16-11", length: 680, hole: [640, 646], drill: "41/64", countersink: 700, full_thread: 750, keys: 4, shear_area: Some(7368) },
    Row { internal: ["9/16-12", "9/16-18"], outside: "13/16-16", length: 810, hole: [765, 771], drill: "49/64", countersink: 822, full_thread: 940, keys: 4, shear_area: Some(10247) },
    Row { internal: ["5/8-11", "5/8-18"], outside: "7/8-14", length: 870, hole: [827, 833], drill: "53/64", countersink: 885, full_thread: 1000, keys: 4, shear_area: Some(12415) },
    Row { internal: ["3/4-10", "3/4-16"], outside: "1-1/8-12", length: 1250, hole: [1061, 1067], drill: "1-1/16", countersink: 1145, full_thread: 1310, keys: 4, shear_area: Some(24478) },
];

const THIN_WALL_SOURCE: &str =
    "MS51830E and MS51835B; setting depth TM 9-2520-215-34 (secondary source)";
const HEAVY_DUTY_SOURCE: &str = "hole MS51835B Table II; internal thread and length from overhaul manuals and NASA TM-106943 \
                                 (MS51831 itself not read); setting depth TM 9-2520-215-34 (secondary source)";

pub(super) fn inserts_for(thread: Thread) -> Vec<Insert> {
    let thin = rows(&THIN_WALL, thread).map(|row| insert(thread, row, Family::KeyLockingThinWall));
    let heavy =
        rows(&HEAVY_DUTY, thread).map(|row| insert(thread, row, Family::KeyLockingHeavyDuty));
    thin.chain(heavy).collect()
}

fn rows(table: &'static [Row], thread: Thread) -> impl Iterator<Item = &'static Row> {
    table
        .iter()
        .filter(move |row| row.internal.iter().any(|&size| listed(size) == thread))
}

fn listed(size: &str) -> Thread {
    Thread::parse(size).expect("the rows name standard threads only; a test goes through them all")
}

fn insert(thread: Thread, row: &Row, family: Family) -> Insert {
    let outside = outside(listed(row.outside));
    let drill = Drill::parse(row.drill)
        .expect("the rows name drills that exist; a test goes through them all");
    Insert {
        family,
        internal: thread,
        tap: format!("{} tap", outside.designation),
        notes: notes(row, family, &outside, drill),
        outside,
        hole_min: thousandths(row.hole[0]),
        hole_max: thousandths(row.hole[1]),
        drill,
        countersink: Some(Countersink {
            min: thousandths(row.countersink),
            max: thousandths(row.countersink + 10),
            angle_min_deg: 82.0,
            angle_max_deg: 100.0,
        }),
        length: thousandths(row.length),
        set_below_min: thousandths(10),
        set_below_max: thousandths(30),
        full_thread_min: thousandths(row.full_thread),
        keys: row.keys,
        tang: false,
        published_shear_area_mm2: row
            .shear_area
            .map(|tenths| tenths as f64 * 1e-4 * 25.4 * 25.4),
        source: match family {
            Family::KeyLockingHeavyDuty => HEAVY_DUTY_SOURCE,
            _ => THIN_WALL_SOURCE,
        },
    }
}

/// The outside of the insert is class 2A at its pitch diameter; the hole is tapped 2B or 3B (MS51835B).
fn outside(thread: Thread) -> OutsideThread {
    OutsideThread {
        designation: thread.designation(),
        pitch_mm: thread.pitch_mm(),
        major_min: thread.usual_external().major_min,
        major: thread.nominal(),
        pitch_diameter: Length::computed_mm(thread.basic().pitch_diameter_mm),
        tapped_pitch_diameter_max: thread.usual_internal().pitch_diameter_max,
        thread: Some(thread),
    }
}

const fn thousandths(inches: i64) -> Length {
    Length::from_fraction(inches, 1000)
}

fn notes(row: &Row, family: Family, outside: &OutsideThread, drill: Drill) -> Vec<String> {
    let mut notes = vec![
        "In metal harder than 150 Brinell, as most gray iron is, the key slots may have to be broached before the keys are \
         driven (MS51835B)."
            .to_owned(),
        format!(
            "Not the ordinary tap drill: the minor diameter of the insert is enlarged, and {drill} leaves {:.0} % thread.",
            outside.thread_percent(drill.diameter)
        ),
        "Tap 2B or 3B, the hole square to the face, which may be spot-faced for it (MS51835B).".to_owned(),
    ];
    notes.extend(oversize_note(drill, thousandths(row.hole[1])));
    if family == Family::KeyLockingHeavyDuty {
        notes.push(
            "Number of keys carried over from MS51830E; that MS51831 says the same is from memory."
                .to_owned(),
        );
    }
    if family == Family::KeyLockingHeavyDuty && row.internal[0] == "3/4-10" {
        notes.push(
            "Length confirmed only indirectly (NASA TM-106943: 1.235 + .015 in); measure the insert in hand."
                .to_owned(),
        );
    }
    if family == Family::KeyLockingThinWall && row.internal[0] == "5/16-18" {
        let practice = Drill::fraction(25);
        notes.push(format!(
            "Common practice, no source: many start this one with {practice} ({:.0} % thread), which is below the {} that \
             MS51835B asks for at the least. The card that came with the insert decides.",
            outside.thread_percent(practice.diameter),
            thousandths(row.hole[0]).show(crate::length::Unit::Inch),
        ));
    }
    notes
}
