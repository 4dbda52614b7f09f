//! Drills for tapping.

use super::wanted::{FullThread, HoleWanted, Purpose};
use super::{Drawer, Drill, metric_tapping, nearest};
use crate::length::Length;
use crate::thread::{InternalLimits, System, Thread};
use serde::Serialize;

/// The thread that a shop's inch tap drills are chosen for, in percent.
const AIM_PERCENT: f64 = 75.0;
const INCH_RULE: &str = "the drill nearest to 75 % thread (common practice, no source); percentage as FED-STD-H28/2B 20.2.3";
/// Part of the depth that the drills of BS 1157 leave, in the middle.
const WHITWORTH_PERCENT: f64 = 80.0;
const WHITWORTH_RULE: &str =
    "the drill nearest to 80 % of the depth (judgement; the drills of BS 1157 leave 75 to 87 %)";
const PIPE_PERCENT: f64 = 82.0;
const PIPE_RULE: &str =
    "the drill nearest to 82 % of the depth (judgement, after the drills of a published list)";
const TAPER_RULE: &str = "the drill nearest to the bore a third of a diameter down the taper (judgement); the tap's own chart comes first";

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

/// The diameter that the usual tap drill of a thread is chosen for, and where that comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
struct TapAim {
    diameter: Length,
    source: &'static str,
}

/// The drill a shop takes for a thread: the inch drill nearest to 75 % thread, or the drill of ISO 2306.
pub fn tap_drill(thread: &Thread) -> TapDrill {
    let TapAim { diameter, source } = aim(thread);
    let drill =
        nearest(diameter, &usual_drawer(thread)).expect("neither of these drawers is empty");
    TapDrill {
        drill,
        thread_percent: thread_percent(thread, drill.diameter),
        source,
    }
}

/// The kinds of drills that charts for this thread speak of: inch drills for Unified threads, metric ones for the others.
pub fn usual_drawer(thread: &Thread) -> Drawer {
    match thread.series().system() {
        System::Unified => Drawer::INCH,
        System::Metric | System::Whitworth | System::Pipe => Drawer::METRIC_FINE,
    }
}

fn aim(thread: &Thread) -> TapAim {
    match thread.series().system() {
        System::Metric => {
            let (diameter, source) = metric_tapping::hole(thread);
            TapAim { diameter, source }
        }
        System::Unified => at_percent(thread, AIM_PERCENT, INCH_RULE),
        System::Whitworth => at_percent(thread, WHITWORTH_PERCENT, WHITWORTH_RULE),
        System::Pipe if thread.series().is_taper() => TapAim {
            // One in sixteen over a third of the diameter.
            diameter: thread.usual_internal().minor_min - thread.nominal() / 48,
            source: TAPER_RULE,
        },
        System::Pipe => at_percent(thread, PIPE_PERCENT, PIPE_RULE),
    }
}

fn at_percent(thread: &Thread, percent: f64, source: &'static str) -> TapAim {
    let depth = percent / 100.0 * full_thread(thread).full_depth_mm;
    TapAim {
        diameter: Length::computed_mm(thread.nominal().mm() - depth),
        source,
    }
}

/// The hole to be tapped for a thread, its limits those of the minor diameter in the usual class. With a length of
/// engagement the limits are those of FED-STD-H28/2B paragraph 30.1 instead, where it gives them: see [`hole_before_tapping`].
pub fn tapped_hole(thread: &Thread, engagement: Option<Length>) -> HoleWanted {
    let limits = thread.usual_internal();
    let by_engagement = engagement
        .filter(|_| thread.series().system() == System::Unified)
        .and_then(|engagement| hole_before_tapping(thread, &limits, engagement));
    let (least, largest) = by_engagement.unwrap_or((limits.minor_min, thread.whole_bore_max()));
    let TapAim { diameter, source } = aim(thread);
    let limits_from = if by_engagement.is_some() {
        "limits by length of engagement, FED-STD-H28/2B 30.1"
    } else if limits.class.is_some() {
        "limits of the minor diameter in the usual class"
    } else {
        "limits from the basic minor diameter to 70 % of the depth (judgement)"
    };
    HoleWanted {
        purpose: Purpose::Tap,
        job: format!("tap {}", thread.designation()),
        aim: diameter.max(least).min(largest),
        least: Some(least),
        largest: Some(largest),
        depth: Some(full_thread(thread)),
        source: format!("{source}; {limits_from}"),
    }
}

/// Percent of thread that a hole leaves: 100 (D - hole) n / 1.299038.
///
/// 100 % is three quarters of the sharp height on each side, the old American National depth, so
/// that a hole at the basic minor diameter of a Unified or metric thread is 83.3 %. FED-STD-H28/2B
/// (1991) 20.2.3. For Whitworth and pipe threads 100 % is the whole basic depth. Above the nominal size the result is negative.
pub fn thread_percent(thread: &Thread, hole: Length) -> f64 {
    full_thread(thread).percent(hole)
}

/// Both sides together: 1.299038 P (twice three quarters of H) for the 60 degree form.
fn full_thread(thread: &Thread) -> FullThread {
    FullThread {
        major: thread.nominal(),
        full_depth_mm: 2.0 * thread.form().full_thread_mm(thread.pitch_mm()),
    }
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
