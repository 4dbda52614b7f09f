//! Shop-made threaded bushings, bonded in: choice of the outside thread, wall and depths.

use super::from_row::outside;
use super::{Confidence, Countersink, Family, Insert, oversize_note};
use crate::drill::{Drill, DrillKinds, between, tap_drill};
use crate::length::Length;
use crate::thread::{Thread, standard_threads};

/// Least wall between the major diameter of the internal thread and the root of the outside thread:
/// 1.5 mm, for threads that are concentric within 0.1 mm (judgment).
const LEAST_WALL: Length = Length::from_nm(1_500_000);
/// Least wall as a fraction of the diameter: 1/8, so that a large bushing is not a thin sleeve
/// (judgment).
const WALL_PER_DIAMETER: i64 = 8;
/// Largest outside thread: few shops have taps above 1-1/2 in (judgment).
const LARGEST_TAP: Length = Length::from_fraction(3, 2);
/// Depth below the face, as for key-locking inserts: .010 to .030 in (TM 9-2520-215-34, secondary
/// source; carried over, judgment).
const SET_BELOW: (Length, Length) = (
    Length::from_fraction(10, 1000),
    Length::from_fraction(30, 1000),
);

const SOURCE: &str = "shop-made: outside thread, wall, length and depth are judgment; hole by the limits of the outside thread's standard";

/// Returns the least wall of a bushing: the larger of 1.5 mm and 1/8 of the diameter (judgment).
pub fn least_wall(internal: &Thread) -> Length {
    LEAST_WALL.max(internal.nominal() / WALL_PER_DIAMETER)
}

/// Returns the wall between the threads: from the major diameter of the internal thread to the
/// basic minor diameter of the outside one.
pub fn wall_thickness(internal: &Thread, outside: &Thread) -> Length {
    (Length::from_computed_mm(outside.basic().minor_mm) - internal.nominal()) / 2
}

/// Returns bushings of 1.5 and 2 diameters; none if the outside thread would need an uncommon tap.
pub(super) fn inserts_for(internal: Thread) -> Vec<Insert> {
    let Some(outside_thread) = outside_for(internal) else {
        return Vec::new();
    };
    let limits = outside_thread.usual_internal();
    let Some(drill) = drill(outside_thread, (limits.minor_min, limits.minor_max)) else {
        return Vec::new();
    };
    let lengths = [internal.nominal() * 3 / 2, internal.nominal() * 2];
    lengths
        .into_iter()
        .map(|length| insert(internal, outside_thread, drill, length))
        .collect()
}

/// Chooses the smallest common thread of the same system that leaves enough wall. Of two of one
/// size the finer is chosen, since it removes less metal.
fn outside_for(internal: Thread) -> Option<Thread> {
    if internal.is_pipe() {
        return None;
    }
    let metric = internal.series().is_metric();
    standard_threads()
        .filter(|thread| thread.series().is_common() && thread.series().is_metric() == metric)
        .filter(|thread| thread.nominal() <= LARGEST_TAP)
        .filter(|thread| wall_thickness(&internal, thread) >= least_wall(&internal))
        .min_by_key(|thread| {
            (
                thread.nominal(),
                Length::from_computed_mm(thread.pitch_mm()),
            )
        })
}

/// Returns the usual tap drill if it is within the limits of the minor diameter, otherwise the
/// drill nearest their middle.
fn drill(outside: Thread, (min, max): (Length, Length)) -> Option<Drill> {
    let usual = tap_drill(&outside).drill;
    if min <= usual.diameter && usual.diameter <= max {
        return Some(usual);
    }
    between(min, max, (min + max) / 2, &DrillKinds::ALL)
}

fn insert(internal: Thread, chosen: Thread, drill: Drill, length: Length) -> Insert {
    let limits = chosen.usual_internal();
    let outside = outside(chosen);
    let pitch = Length::from_computed_mm(outside.pitch_mm);
    Insert {
        family: Family::Bushing,
        internal,
        tap: format!("{} tap", outside.designation),
        hole_min: limits.minor_min,
        hole_max: limits.minor_max,
        drill,
        countersink: Some(Countersink {
            min: outside.major,
            max: outside.major + Length::from_fraction(10, 1000),
            angle_min_deg: 82.0,
            angle_max_deg: 100.0,
        }),
        length,
        set_below_min: SET_BELOW.0,
        set_below_max: SET_BELOW.1,
        full_thread_min: length + SET_BELOW.1 + pitch,
        keys: 0,
        tang: false,
        coil: None,
        published_shear_area_mm2: None,
        source: SOURCE.to_owned(),
        confidence: Confidence::Judgment,
        shop_file: None,
        notes: notes(&internal, &chosen, drill, limits.minor_max),
        outside,
    }
}

fn notes(internal: &Thread, outside: &Thread, drill: Drill, hole_max: Length) -> Vec<String> {
    let mut notes = vec![
        format!(
            "The thinnest wall between the threads is {}; the least allowed is {} (judgment).",
            wall_thickness(internal, outside).both(),
            least_wall(internal).both()
        ),
        "Turn it from steel, both threads in one chucking so that they are concentric; outside thread class 2A or 6g.".to_owned(),
        "Bond it with a retaining compound rated by its maker for the gap, temperature and fluids. Old iron sweats oil: clean hole and \
         bushing until a cloth comes out dry. Let it cure before loading it."
            .to_owned(),
        "The bolt pulls it toward the face, and only its thread holds it. A shoulder helps on the far side of a through hole, not at the \
         face."
            .to_owned(),
    ];
    notes.extend(oversize_note(drill, hole_max));
    notes
}
