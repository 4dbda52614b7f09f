//! Threaded bushings of the shop's own making, bonded in: the outside thread that leaves a wall and is tapped with what shops have.

use super::from_row::outside;
use super::{Confidence, Countersink, Family, Insert, oversize_note};
use crate::drill::{Drawer, Drill, between, tap_drill};
use crate::length::Length;
use crate::thread::{Thread, standard_threads};

/// Least wall between the wanted thread's major diameter and the root of the outside thread: 1.5 mm. Two threads cut on a lathe run
/// true to each other within a tenth, and the tool still finds metal to stand on (judgement).
const LEAST_WALL: Length = Length::from_nm(1_500_000);
/// The same as a share of the wanted thread's diameter: an eighth, so that a large bushing is not a thin sleeve (judgement).
const WALL_PER_DIAMETER: i64 = 8;
/// Taps beyond 1-1/2 in are seldom in a shop (judgement).
const LARGEST_TAP: Length = Length::from_fraction(3, 2);
/// How far below the face it sits, as key-locking inserts do: 0.010 to 0.030 in (TM 9-2520-215-34, secondary source; carried over,
/// judgement).
const BELOW: (Length, Length) = (
    Length::from_fraction(10, 1000),
    Length::from_fraction(30, 1000),
);

const SOURCE: &str = "made in the shop: outside thread, wall, length and depth chosen here (judgement); hole by the limits of the outside \
                      thread's own standard";

/// The least wall of a bushing for a thread: the larger of 1.5 mm and an eighth of its diameter (judgement).
pub fn least_wall(internal: &Thread) -> Length {
    LEAST_WALL.max(internal.nominal() / WALL_PER_DIAMETER)
}

/// What is left of a bushing between its two threads: from the internal thread's major diameter to the outside thread's basic minor
/// diameter.
pub fn wall(internal: &Thread, outside: &Thread) -> Length {
    (Length::computed_mm(outside.basic().minor_mm) - internal.nominal()) / 2
}

/// Bushings of 1.5 and 2 diameters. None where the outside thread would take a tap that shops seldom have.
pub(super) fn inserts_for(internal: Thread) -> Vec<Insert> {
    let Some(chosen) = outside_for(internal) else {
        return Vec::new();
    };
    let limits = chosen.usual_internal();
    let Some(drill) = drill(chosen, (limits.minor_min, limits.minor_max)) else {
        return Vec::new();
    };
    let lengths = [internal.nominal() * 3 / 2, internal.nominal() * 2];
    lengths
        .into_iter()
        .map(|length| insert(internal, chosen, drill, length))
        .collect()
}

/// The smallest thread of the same measuring system that shops have taps for and that leaves the wall; of two as large, the finer,
/// since it takes less from the iron.
fn outside_for(internal: Thread) -> Option<Thread> {
    if internal.is_pipe() {
        return None;
    }
    let metric = internal.series().is_metric();
    standard_threads()
        .filter(|thread| thread.series().is_common() && thread.series().is_metric() == metric)
        .filter(|thread| thread.nominal() <= LARGEST_TAP)
        .filter(|thread| wall(&internal, thread) >= least_wall(&internal))
        .min_by_key(|thread| (thread.nominal(), Length::computed_mm(thread.pitch_mm())))
}

/// The usual tap drill, where it lies in the limits of the minor diameter; else the one nearest their middle.
fn drill(outside: Thread, (min, max): (Length, Length)) -> Option<Drill> {
    let usual = tap_drill(&outside).drill;
    if min <= usual.diameter && usual.diameter <= max {
        return Some(usual);
    }
    between(min, max, (min + max) / 2, &Drawer::ALL)
}

fn insert(internal: Thread, chosen: Thread, drill: Drill, length: Length) -> Insert {
    let limits = chosen.usual_internal();
    let outside = outside(chosen);
    let pitch = Length::computed_mm(outside.pitch_mm);
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
        set_below_min: BELOW.0,
        set_below_max: BELOW.1,
        full_thread_min: length + BELOW.1 + pitch,
        keys: 0,
        tang: false,
        coil: None,
        published_shear_area_mm2: None,
        source: SOURCE.to_owned(),
        confidence: Confidence::Judgement,
        shop_file: None,
        notes: notes(&internal, &chosen, drill, limits.minor_max),
        outside,
    }
}

fn notes(internal: &Thread, outside: &Thread, drill: Drill, hole_max: Length) -> Vec<String> {
    let mut notes = vec![
        format!(
            "Its wall is {} between the two threads at the thinnest; {} is the least that is planned here (judgement).",
            wall(internal, outside).both(),
            least_wall(internal).both()
        ),
        "Turn it from steel and cut both threads in one chucking, so that they run true to each other; outside class 2A or 6g."
            .to_owned(),
        "Bond it with a retaining compound whose maker's sheet covers the gap, the heat and the fluids there. Old iron sweats oil: clean \
         hole and bushing until a cloth comes out dry, and let it cure before it is loaded."
            .to_owned(),
        "The bolt pulls it towards the face, and only its thread holds it: a shoulder helps at the far side of an open hole, and not at the \
         face."
            .to_owned(),
    ];
    notes.extend(oversize_note(drill, hole_max));
    notes
}
