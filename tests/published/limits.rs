//! Limits of threads.

use crate::compare::Ours;
use crate::table::Row;
use holebook_core::drill::tap_drill;
use holebook_core::thread::unified::minor_tolerance_2b_in;
use holebook_core::thread::{InternalClass, Thread};

pub const MM2_PER_IN2: f64 = 25.4 * 25.4;

/// The thread in the column `size`.
pub fn thread(row: &Row<'_>) -> Thread {
    Thread::parse(row.asked("size")).unwrap()
}

pub fn unified(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let (screw, hole) = (thread.usual_external(), thread.usual_internal());
    let close = thread.internal(InternalClass::Unified3B).unwrap();
    let length = match column {
        "es" => thread.nominal() - screw.major_max,
        "dmax" => screw.major_max,
        "dmin" => screw.major_min,
        "d2max" => screw.pitch_diameter_max,
        "d2min" => screw.pitch_diameter_min,
        "D1min" => close.minor_min,
        "D1max_3B" => close.minor_max,
        "D2min" => hole.pitch_diameter_min,
        "D2max_2B" => hole.pitch_diameter_max,
        "D2max_3B" => close.pitch_diameter_max,
        // Before it is rounded to the three places of the standard.
        "D1max_2B" => {
            let per_inch = 25.4 / thread.pitch_mm();
            let tolerance = minor_tolerance_2b_in(thread.nominal().inches(), per_inch);
            return (thread.basic().minor_mm / 25.4 + tolerance).into();
        }
        "As" => return (thread.stress_area_mm2() / MM2_PER_IN2).into(),
        _ => row.unknown(column),
    };
    length.inches().into()
}

pub fn unified_minor_2b(row: &Row<'_>, column: &str) -> Ours {
    let hole = thread(row).usual_internal();
    match column {
        "min" => hole.minor_min.inches().into(),
        "max" => hole.minor_max.inches().into(),
        _ => row.unknown(column),
    }
}

pub fn metric(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let (screw, hole, basic) = (
        thread.usual_external(),
        thread.usual_internal(),
        thread.basic(),
    );
    let length = match column {
        "pitch_diameter" => return basic.pitch_diameter_mm.into(),
        "minor" => return basic.minor_mm.into(),
        "As" => return thread.stress_area_mm2().into(),
        "d3" => screw.rounded_root_max + (thread.nominal() - screw.major_max),
        "dmax" => screw.major_max,
        "dmin" => screw.major_min,
        "d2max" => screw.pitch_diameter_max,
        "d2min" => screw.pitch_diameter_min,
        "D1max" => hole.minor_max,
        "D2max" => hole.pitch_diameter_max,
        "tap_drill" => tap_drill(&thread).drill.diameter,
        _ => row.unknown(column),
    };
    length.mm().into()
}

pub fn stress_area_mm2(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "As" => thread(row).stress_area_mm2().into(),
        _ => row.unknown(column),
    }
}
