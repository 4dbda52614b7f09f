//! Drills for tapping.

use super::{Drawer, Drill, nearest};
use crate::length::{Length, NM_PER_MM};
use crate::thread::{InternalLimits, SQRT_3, Thread};
use serde::Serialize;

/// The thread that a shop's inch tap drills are chosen for, in percent.
const AIM_PERCENT: f64 = 75.0;

/// Metric coarse: diameter in mm, tap drill in tenths of a mm, source.
///
/// ISO 2306 as transcribed in the hole tables of the public repository `FreeCAD/FreeCAD`; M7, M14,
/// M18 and M22 are the diameter less the pitch, as in the other lines of that table, and from
/// memory.
const METRIC: [(i64, i64, &str); 11] = [
    (5, 42, ISO_2306),
    (6, 50, ISO_2306),
    (7, 60, FROM_MEMORY),
    (8, 68, ISO_2306),
    (10, 85, ISO_2306),
    (12, 102, ISO_2306),
    (14, 120, FROM_MEMORY),
    (16, 140, ISO_2306),
    (18, 155, FROM_MEMORY),
    (20, 175, ISO_2306),
    (22, 195, FROM_MEMORY),
];
const ISO_2306: &str = "ISO 2306";
const FROM_MEMORY: &str = "ISO 2306, from memory";
const INCH_RULE: &str = "the drill nearest to 75 % thread (common practice, no source); percentage as FED-STD-H28/2B 20.2.3";

/// The usual drill for a tapped hole.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TapDrill {
    /// The drill.
    #[serde(flatten)]
    pub drill: Drill,
    /// How much of a full thread it leaves, in percent: see [`thread_percent`].
    pub thread_percent: f64,
    /// Where the choice comes from.
    pub source: &'static str,
}

/// The drill a shop takes for a thread: the inch drill nearest to 75 % thread, or the drill of ISO 2306.
pub fn tap_drill(thread: &Thread) -> TapDrill {
    let (drill, source) = if thread.series().is_metric() {
        metric(thread)
    } else {
        (
            nearest_for_percent(thread, AIM_PERCENT, &Drawer::INCH),
            INCH_RULE,
        )
    };
    TapDrill {
        drill,
        thread_percent: thread_percent(thread, drill.diameter),
        source,
    }
}

fn metric(thread: &Thread) -> (Drill, &'static str) {
    METRIC
        .iter()
        .find(|&&(mm, _, _)| thread.nominal() == Length::from_nm(mm * NM_PER_MM))
        .map(|&(_, tenths, source)| (Drill::metric(tenths * 10), source))
        .expect("every metric coarse thread kept here has its drill; a test goes through them all")
}

fn nearest_for_percent(thread: &Thread, percent: f64, drawer: &Drawer) -> Drill {
    let wanted =
        Length::computed_mm(thread.nominal().mm() - percent / 100.0 * full_depth_mm(thread));
    nearest(wanted, drawer).expect("a drawer of inch drills is not empty")
}

/// Percent of thread that a hole leaves: 100 (D - hole) n / 1.299038.
///
/// 100 % is three quarters of the sharp height on each side, the old American National depth, so
/// that a hole at the basic minor diameter of a Unified or metric thread is 83.3 %. FED-STD-H28/2B
/// (1991) 20.2.3. Above the nominal size the result is negative.
pub fn thread_percent(thread: &Thread, hole: Length) -> f64 {
    100.0 * (thread.nominal() - hole).mm() / full_depth_mm(thread)
}

/// 1.299038 P: twice three quarters of H.
fn full_depth_mm(thread: &Thread) -> f64 {
    0.75 * SQRT_3 * thread.pitch_mm()
}

/// Least and largest hole before tapping for a length of engagement: the longer the thread, the
/// more of its height can be given up. FED-STD-H28/2B (1991) paragraph 30.1.
///
/// Beyond 1.5 diameters the largest hole lies above the standard's minor diameter limit, which a
/// drawing must mark as modified. Beyond 3 diameters the paragraph gives nothing, and neither does
/// this.
pub fn hole_before_tapping(
    thread: &Thread,
    limits: &InternalLimits,
    engagement: Length,
) -> Option<(Length, Length)> {
    let diameters = engagement.mm() / thread.nominal().mm();
    let (least, largest) = match diameters {
        x if x <= 0.0 => return None,
        x if x <= 0.33 => (0, 2),
        x if x <= 0.67 => (1, 3),
        x if x <= 1.5 => (2, 4),
        x if x <= 3.0 => (3, 5),
        _ => return None,
    };
    let tolerance = limits.minor_max - limits.minor_min;
    let at = |quarters: i64| limits.minor_min + tolerance * quarters / 4;
    Some((at(least), at(largest)))
}
