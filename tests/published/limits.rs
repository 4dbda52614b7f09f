//! Limits of threads.

use crate::compare::Ours;
use crate::table::Row;
use holebook_core::drill::tap_drill;
use holebook_core::thread::unified::minor_tolerance_2b_in;
use holebook_core::thread::{ExternalClass, InternalClass, Thread};

pub const MM2_PER_IN2: f64 = 25.4 * 25.4;

/// Parses the thread in the column `size`.
pub fn thread(row: &Row<'_>) -> Thread {
    Thread::parse(row.input("size")).unwrap()
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
        // Before rounding to the three places of the standard.
        "D1min" => return (thread.basic().minor_mm / 25.4).into(),
        "D1max_3B" => close.minor_max,
        "D2min" => hole.pitch_diameter_min,
        "D2max_2B" => hole.pitch_diameter_max,
        "D2max_3B" => close.pitch_diameter_max,
        // Before rounding to the three places of the standard.
        "D1max_2B" => {
            let per_inch = 25.4 / thread.pitch_mm();
            let tolerance = minor_tolerance_2b_in(thread.nominal().inches(), per_inch);
            return (thread.basic().minor_mm / 25.4 + tolerance).into();
        }
        "As" => return (thread.stress_area_mm2() / MM2_PER_IN2).into(),
        _ => row.unknown_column(column),
    };
    length.inches().into()
}

/// The limits as they are printed, each by class.
pub fn unified_printed(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let (screw, hole) = (thread.usual_external(), thread.usual_internal());
    let loose = || thread.external(ExternalClass::Unified1A).unwrap();
    let length = match column {
        "D1min_3B" => thread.internal(InternalClass::Unified3B).unwrap().minor_min,
        "dmax_2A" => screw.major_max,
        "dmin_2A" => screw.major_min,
        "d2max_2A" => screw.pitch_diameter_max,
        "d2min_2A" => screw.pitch_diameter_min,
        "dmax_1A" => loose().major_max,
        "dmin_1A" => loose().major_min,
        "D1max_2B" => hole.minor_max,
        "D2min" => hole.pitch_diameter_min,
        "D2max_2B" => hole.pitch_diameter_max,
        _ => row.unknown_column(column),
    };
    length.inches().into()
}

/// The limits that strengths count with.
pub fn whitworth_medium(row: &Row<'_>, column: &str) -> Ours {
    let (screw, hole) = (
        thread(row).toleranced_external(),
        thread(row).toleranced_internal(),
    );
    let length = match column {
        "dmin" => screw.major_min,
        "d2min" => screw.pitch_diameter_min,
        "D1max" => hole.minor_max,
        "D2max" => hole.pitch_diameter_max,
        _ => row.unknown_column(column),
    };
    length.inches().into()
}

/// Below No. 6 the class 2B minor diameter has four places.
pub fn unified_small(row: &Row<'_>, column: &str) -> Ours {
    let hole = thread(row).usual_internal();
    match column {
        "D1max_2B" => hole.minor_max.inches().into(),
        "d3max" => thread(row)
            .usual_external()
            .rounded_root_max
            .inches()
            .into(),
        _ => unified(row, column),
    }
}

pub fn basic_inch(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let (screw, basic) = (thread.usual_external(), thread.basic());
    let ours = match column {
        "D2" => basic.pitch_diameter_mm / 25.4,
        "D1" => basic.minor_mm / 25.4,
        "depth" => thread.form().depth_mm(thread.pitch_mm()) / 25.4,
        "d3" => (screw.rounded_root_max + (thread.nominal() - screw.major_max)).inches(),
        "As" => thread.stress_area_mm2() / MM2_PER_IN2,
        _ => row.unknown_column(column),
    };
    ours.into()
}

/// Without its series only a standard thread is parsed, so this checks that it is listed.
pub fn unified_size(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "D" => thread(row).nominal().inches().into(),
        _ => row.unknown_column(column),
    }
}

pub fn unified_minor_2b(row: &Row<'_>, column: &str) -> Ours {
    let hole = thread(row).usual_internal();
    match column {
        "min" => hole.minor_min.inches().into(),
        "max" => hole.minor_max.inches().into(),
        _ => row.unknown_column(column),
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
        "D1min" => hole.minor_min,
        "D2min" => hole.pitch_diameter_min,
        "D2max" => hole.pitch_diameter_max,
        "tap_drill" => tap_drill(&thread).drill.diameter,
        _ => row.unknown_column(column),
    };
    length.mm().into()
}

/// In micrometres.
pub fn metric_tolerances(row: &Row<'_>, column: &str) -> Ours {
    let thread = thread(row);
    let screw = thread.usual_external();
    let hole = |class| thread.internal(class).unwrap();
    let (four, five, six) = (
        hole(InternalClass::Metric4H),
        hole(InternalClass::Metric5H),
        hole(InternalClass::Metric6H),
    );
    let length = match column {
        "g" => thread.nominal() - screw.major_max,
        "Td_6" => screw.major_max - screw.major_min,
        "Td2_6" => screw.pitch_diameter_max - screw.pitch_diameter_min,
        "TD1_5H" => five.minor_max - five.minor_min,
        "TD1_6H" => six.minor_max - six.minor_min,
        "TD2_4H" => four.pitch_diameter_max - four.pitch_diameter_min,
        "TD2_5H" => five.pitch_diameter_max - five.pitch_diameter_min,
        "TD2_6H" => six.pitch_diameter_max - six.pitch_diameter_min,
        _ => row.unknown_column(column),
    };
    (length.mm() * 1000.0).into()
}

pub fn stress_area_mm2(row: &Row<'_>, column: &str) -> Ours {
    match column {
        "As" => thread(row).stress_area_mm2().into(),
        _ => row.unknown_column(column),
    }
}
