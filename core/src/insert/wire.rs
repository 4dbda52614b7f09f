//! Wire thread inserts and their STI tapped holes.
//!
//! Standards: ASME B18.29.1 (inch), B18.29.2M (metric), NASM33537, DIN 8140. The formulas follow
//! from the rhombic section of the wire, which moves the basic pitch diameter out by 0.75 H; that
//! the standards use them is from memory, and the remembered rows agree.

use super::{Countersink, Family, Insert, OutsideThread, oversize_note};
use crate::drill::{Drawer, Drill, between};
use crate::length::Length;
use crate::thread::{InternalClass, InternalLimits, SQRT_3, Thread};

const SOURCE: &str = "STI hole by formula from the wire's section, as ASME B18.29.1 and B18.29.2M are remembered; lengths and \
                      depths by the rules of ASME B18.29 (secondary source)";

/// Inch drills of shop charts, from memory; each lies inside its window.
const INCH_DRILLS: [(&str, &str); 16] = [
    ("10-24", "13/64"),
    ("10-32", "13/64"),
    ("1/4-20", "H"),
    ("1/4-28", "G"),
    ("5/16-18", "Q"),
    ("5/16-24", "21/64"),
    ("3/8-16", "X"),
    ("7/16-14", "29/64"),
    ("7/16-20", "29/64"),
    ("1/2-13", "17/32"),
    ("1/2-20", "33/64"),
    ("9/16-18", "37/64"),
    ("5/8-11", "21/32"),
    ("5/8-18", "41/64"),
    ("3/4-10", "25/32"),
    ("3/4-16", "49/64"),
];
/// Metric drills in hundredths of a millimetre: M5 to M10 from a published table for DIN 8140, the
/// others from memory.
const METRIC_DRILLS: [(&str, i64, &str); 8] = [
    ("M5", 530, DIN_8140),
    ("M6", 630, DIN_8140),
    ("M8", 840, DIN_8140),
    ("M10", 1050, DIN_8140),
    ("M12", 1250, FROM_MEMORY),
    ("M16", 1650, FROM_MEMORY),
    ("M18", 1875, FROM_MEMORY),
    ("M20", 2075, FROM_MEMORY),
];
const DIN_8140: &str = "Drill from a published table for DIN 8140 (secondary source).";
const FROM_MEMORY: &str =
    "Drill from memory of shop charts; it lies inside the window of the minor diameter.";
const BY_WINDOW: &str = "No chart at hand gives a drill for this size; this one lies nearest the middle of the window of the minor diameter.";

/// The tapped hole that a wire thread insert wants.
struct StiHole {
    minor_min: Length,
    minor_max: Length,
    pitch_diameter: Length,
    pitch_diameter_max: Length,
    major: Length,
}

pub(super) fn inserts_for(thread: Thread) -> Vec<Insert> {
    if !thread.series().is_common() {
        return Vec::new();
    }
    let hole = sti_hole(thread);
    let Some((drill, drill_note)) = drill(thread, &hole) else {
        return Vec::new();
    };
    [2, 3, 4, 5, 6]
        .into_iter()
        .map(|half_diameters| insert(thread, &hole, drill, drill_note, half_diameters))
        .collect()
}

fn sti_hole(thread: Thread) -> StiHole {
    let class = if thread.series().is_metric() {
        InternalClass::Metric5H
    } else {
        InternalClass::Unified2B
    };
    let nominal = thread
        .internal(class)
        .expect("a common thread has its classes; a test goes through them all");
    let (d, p) = (thread.nominal().mm(), thread.pitch_mm());
    let pitch_diameter = Length::computed_mm(d + 0.375 * SQRT_3 * p);
    let minor_min = Length::computed_mm(d + 0.125 * SQRT_3 * p);
    StiHole {
        minor_min,
        minor_max: minor_min + minor_tolerance(thread, &nominal),
        pitch_diameter,
        pitch_diameter_max: pitch_diameter
            + (nominal.pitch_diameter_max - nominal.pitch_diameter_min),
        major: Length::computed_mm(d + 0.75 * SQRT_3 * p),
    }
}

/// The tolerance itself, not the difference of two limits that were rounded to three places.
fn minor_tolerance(thread: Thread, nominal: &InternalLimits) -> Length {
    match thread.threads_per_inch() {
        Some(n) => {
            let inches = crate::thread::unified::minor_tolerance_2b_in(
                thread.nominal().inches(),
                f64::from(n),
            );
            Length::computed_mm(inches * 25.4)
        }
        None => nominal.minor_max - nominal.minor_min,
    }
}

fn drill(thread: Thread, hole: &StiHole) -> Option<(Drill, &'static str)> {
    let designation = thread.designation();
    let inch = INCH_DRILLS
        .iter()
        .find(|(size, _)| {
            designation
                .strip_prefix(size)
                .is_some_and(|rest| rest.starts_with(' '))
        })
        .and_then(|(_, name)| Drill::parse(name).ok())
        .map(|drill| (drill, FROM_MEMORY));
    let metric = METRIC_DRILLS
        .iter()
        .find(|(size, _, _)| {
            designation
                .strip_prefix(size)
                .is_some_and(|rest| rest.starts_with('x'))
        })
        .map(|&(_, hundredths, note)| (Drill::metric(hundredths), note));
    let drawer = if thread.series().is_metric() {
        Drawer::METRIC
    } else {
        Drawer::INCH
    };
    let middle = (hole.minor_min + hole.minor_max) / 2;
    inch.or(metric).or_else(|| {
        between(hole.minor_min, hole.minor_max, middle, &drawer)
            .or_else(|| between(hole.minor_min, hole.minor_max, middle, &Drawer::ALL))
            .map(|drill| (drill, BY_WINDOW))
    })
}

fn insert(
    thread: Thread,
    hole: &StiHole,
    drill: Drill,
    drill_note: &str,
    half_diameters: i64,
) -> Insert {
    let pitch = Length::computed_mm(thread.pitch_mm());
    let length = thread.nominal() * half_diameters / 2;
    let outside = outside(thread, hole);
    Insert {
        family: Family::WireThread,
        internal: thread,
        tap: format!("{} tap", outside.designation),
        outside,
        hole_min: hole.minor_min,
        hole_max: hole.minor_max,
        drill,
        countersink: Some(Countersink {
            min: hole.major,
            max: Length::computed_mm(hole.major.mm() + 0.3 * thread.pitch_mm()),
            angle_min_deg: 115.0,
            angle_max_deg: 125.0,
        }),
        length,
        set_below_min: pitch * 3 / 4,
        set_below_max: pitch * 3 / 2,
        // The one published inch example at hand (1/4-20, 1.5 D: 0.430 in) is 0.005 in deeper.
        full_thread_min: length + pitch,
        keys: 0,
        tang: true,
        published_shear_area_mm2: None,
        source: SOURCE,
        notes: notes(drill_note, drill, hole),
    }
}

fn outside(thread: Thread, hole: &StiHole) -> OutsideThread {
    let size = thread.designation();
    let size = size.split(' ').next().unwrap_or(&size);
    OutsideThread {
        designation: format!("{size} STI"),
        pitch_mm: thread.pitch_mm(),
        major_min: hole.major,
        major: hole.major,
        pitch_diameter: hole.pitch_diameter,
        tapped_pitch_diameter_max: hole.pitch_diameter_max,
        thread: None,
    }
}

fn notes(drill_note: &str, drill: Drill, hole: &StiHole) -> Vec<String> {
    let mut notes = vec![
        drill_note.to_owned(),
        "Countersink from memory and not confirmed: 120 degrees here, while DIN 8140 uses 90.".to_owned(),
        "Without a countersink set it a quarter to half a pitch below the face (secondary sources).".to_owned(),
        "The largest pitch diameter of the hole is an upper bound; the gauges of the standard are tighter.".to_owned(),
        "After setting it is half to three quarters of a pitch shorter than its nominal length.".to_owned(),
    ];
    notes.extend(oversize_note(drill, hole.minor_max));
    notes
}
