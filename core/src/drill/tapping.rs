//! Tap drills and thread percentage.

use super::hole_spec::{FullThread, HolePurpose, HoleSpec};
use super::{Drill, DrillKinds, metric_tapping, nearest};
use crate::length::Length;
use crate::thread::{InternalLimits, PerThread, System, Thread};
use serde::Serialize;
use std::sync::LazyLock;

/// Percent of thread that inch tap drills are chosen for.
const INCH_PERCENT: f64 = 75.0;
const INCH_RULE: &str = "the drill nearest to 75% thread (common practice, no source); percentage as FED-STD-H28/2B 20.2.3";
/// Percent of the depth that the drills of BS 1157 leave on average.
const WHITWORTH_PERCENT: f64 = 80.0;
const WHITWORTH_RULE: &str =
    "the drill nearest to 80% of the depth (judgment; the drills of BS 1157 leave 75 to 87%)";
const PIPE_PERCENT: f64 = 82.0;
const PIPE_RULE: &str =
    "the drill nearest to 82% of the depth (judgment, after the drills of a published list)";
const STI_RULE: &str = "the drill nearest to the middle of the limits (judgment)";
const TAPER_RULE: &str = "the drill nearest to the bore a third of a diameter down the taper (judgment); the tap maker's chart overrides it";

/// The usual drill for a tapped hole.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TapDrill {
    /// The drill.
    #[serde(flatten)]
    pub drill: Drill,
    /// Percent of full thread that it leaves: see [`thread_percent`].
    pub thread_percent: f64,
    /// Source of the choice.
    pub source: &'static str,
}

/// The diameter that the tap drill should have, and its source.
#[derive(Clone, Copy, Debug, PartialEq)]
struct TapTarget {
    diameter: Length,
    source: &'static str,
}

/// Returns the usual tap drill: the inch drill nearest to 75% thread, or the drill of ISO 2306.
pub fn tap_drill(thread: &Thread) -> TapDrill {
    static DRILLS: LazyLock<PerThread<TapDrill>> = LazyLock::new(|| PerThread::new(find_tap_drill));
    DRILLS.of(thread)
}

fn find_tap_drill(thread: &Thread) -> TapDrill {
    let TapTarget { diameter, source } = tap_target(thread);
    let drill = nearest(diameter, &usual_drills(thread)).expect("the usual kinds have drills");
    TapDrill {
        drill,
        thread_percent: thread_percent(thread, drill.diameter),
        source,
    }
}

/// Returns the kinds of drills that charts list for a thread: inch drills for Unified threads,
/// metric drills for all others.
pub fn usual_drills(thread: &Thread) -> DrillKinds {
    match thread.series().system() {
        System::Unified => DrillKinds::INCH,
        System::Metric | System::Whitworth | System::Pipe => DrillKinds::METRIC_FINE,
    }
}

fn tap_target(thread: &Thread) -> TapTarget {
    if thread.is_sti() {
        let limits = thread.usual_internal();
        return TapTarget {
            diameter: (limits.minor_min + limits.minor_max) / 2,
            source: STI_RULE,
        };
    }
    match thread.series().system() {
        System::Metric => {
            let (diameter, source) = metric_tapping::hole(thread);
            TapTarget { diameter, source }
        }
        System::Unified => at_percent(thread, INCH_PERCENT, INCH_RULE),
        System::Whitworth => at_percent(thread, WHITWORTH_PERCENT, WHITWORTH_RULE),
        System::Pipe if thread.series().is_taper() => TapTarget {
            // 1 in 16 over a third of the diameter.
            diameter: thread.usual_internal().minor_min - thread.nominal() / 48,
            source: TAPER_RULE,
        },
        System::Pipe => at_percent(thread, PIPE_PERCENT, PIPE_RULE),
    }
}

fn at_percent(thread: &Thread, percent: f64, source: &'static str) -> TapTarget {
    let depth = percent / 100.0 * full_thread(thread).full_depth_mm;
    TapTarget {
        diameter: Length::from_computed_mm(thread.nominal().mm() - depth),
        source,
    }
}

/// Returns the hole to be tapped for a thread, with the limits of the minor diameter in the usual
/// class.
///
/// With a length of engagement the limits are those of FED-STD-H28/2B paragraph 30.1 where it gives
/// them: see [`hole_before_tapping`].
pub fn tapped_hole(thread: &Thread, engagement: Option<Length>) -> HoleSpec {
    let limits = thread.usual_internal();
    let by_engagement = engagement
        .filter(|_| thread.series().system() == System::Unified)
        .and_then(|engagement| hole_before_tapping(thread, &limits, engagement));
    let (least, largest) = by_engagement.unwrap_or((limits.minor_min, thread.intact_bore_max()));
    let TapTarget { diameter, source } = tap_target(thread);
    let limits_from = if by_engagement.is_some() {
        "limits by length of engagement, FED-STD-H28/2B 30.1"
    } else if limits.class.is_some() {
        "limits of the minor diameter in the usual class"
    } else {
        "limits from the basic minor diameter to 70% of the depth (judgment)"
    };
    HoleSpec {
        purpose: HolePurpose::Tap,
        job: format!("tap {}", thread.designation()),
        aim: diameter.max(least).min(largest),
        least: Some(least),
        largest: Some(largest),
        depth: Some(full_thread(thread)),
        source: format!("{source}; {limits_from}"),
    }
}

/// Returns the percent of thread that a hole leaves: 100 (D - hole) n / 1.299038.
///
/// 100 % is 3/4 of the sharp height on each side, the old American National depth, so a hole at the
/// basic minor diameter of a Unified or metric thread is 83.3 % (FED-STD-H28/2B (1991) 20.2.3). For
/// Whitworth and pipe threads 100 % is the whole basic depth. Negative above the nominal size.
pub fn thread_percent(thread: &Thread, hole: Length) -> f64 {
    full_thread(thread).percent(hole)
}

/// Returns 100% thread on both sides together: 1.299038 P (twice 3/4 H) for the 60 degree form.
fn full_thread(thread: &Thread) -> FullThread {
    FullThread {
        major: match thread.is_sti() {
            true => thread.usual_internal().major_min,
            false => thread.nominal(),
        },
        full_depth_mm: 2.0 * thread.form().full_thread_mm(thread.pitch_mm()),
    }
}

/// Returns the least and largest hole before tapping for a length of engagement: a longer thread
/// needs less thread height (FED-STD-H28/2B (1991) paragraph 30.1).
///
/// Beyond 1.5 diameters the largest hole exceeds the standard's minor diameter limit, which a
/// drawing must mark as modified. `None` beyond 3 diameters, where the paragraph gives nothing.
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
