//! Wire thread inserts and their STI tapped holes.
//!
//! Standards: ASME B18.29.1 (inch), B18.29.2M (metric), NASM33537, DIN 8140. The formulas follow
//! from the rhombic section of the wire, which moves the basic pitch diameter out by 0.75 H. The
//! least diameters of ASME B18.29.1, as transcribed, agree with them to .0001 in. That the metric
//! standards use them too is from memory.
//!
//! For Whitworth threads the same is derived here, without confirmation by a standard. The wire
//! fills the groove of the bolt on its inner side and that of the hole on its outer side, so at its
//! middle it is as wide as a pitch less the crest flat of the form: 7/8 P for 60 degrees (crests
//! truncated by H/8), 5/6 P for 55 degrees (H/6). Half a pitch of that is the groove at the pitch
//! line. The rest moves the hole's thread out on each side by (7/8 - 1/2) P / tan 30 = 0.649519 P,
//! or (5/6 - 1/2) P / tan 27.5 = 0.640327 P, which is the depth of the Whitworth thread itself. So
//! its tapped hole starts at the bolt's own diameter.

use super::sti::{self, LargestDiameters};
use super::wire_drill::WireDrill;
use super::{Coil, Confidence, Countersink, Family, Insert, OutsideThread, oversize_note};
use crate::drill::{Drawer, Drill, between};
use crate::length::Length;
use crate::thread::{Form, Hand, InternalClass, InternalLimits, SQRT_3, Thread};

const SOURCE: &str = "STI hole by formula from the wire's section, per ASME B18.29.1 and B18.29.2M from memory; lengths and depths by the \
                      rules of ASME B18.29 (secondary source)";

const PUBLISHED_SOURCE: &str = "STI hole by formula from the wire's section, largest diameters from ASME B18.29.1 as transcribed (secondary \
                                source); lengths and depths by the rules of ASME B18.29 (secondary source)";

const WHITWORTH_SOURCE: &str = "STI hole derived from the 55 degree form like that of 60 degrees, not confirmed by a standard; lengths and \
                                depths by the rules of ASME B18.29 (secondary source), carried over";

/// Part of the depth that the largest hole leaves of a Whitworth thread: 75 %, the least that the
/// drills of BS 1157 leave (judgment, since its tolerances are not included here).
const WHITWORTH_DEPTH_LEFT: f64 = 0.75;

/// The tapped hole for a wire thread insert.
struct StiHole {
    minor_min: Length,
    minor_max: Length,
    pitch_diameter: Length,
    pitch_diameter_max: Length,
    major: Length,
}

/// Returns wire thread inserts of 1, 1.5, 2, 2.5 and 3 diameters; none if no drill is within the
/// limits.
///
/// `charted` is the drill from a chart, `shop` the shop's file with it. Without a chart the drill
/// nearest the middle of the limits is used.
pub(super) fn inserts_for(
    thread: Thread,
    charted: Option<&WireDrill>,
    shop: Option<&str>,
) -> Vec<Insert> {
    // Coils are wound for right-hand threads.
    if thread.is_pipe() || thread.hand() != Hand::Right {
        return Vec::new();
    }
    let published = sti::largest_diameters(thread);
    let hole = sti_hole(thread).limited_to(published);
    let Some(drill) = charted.map_or_else(|| drill_in_limits(thread, &hole), |row| Some(row.drill))
    else {
        return Vec::new();
    };
    let drill_note = match (charted, shop) {
        (Some(row), Some(file)) => format!("Drill from {}, in the shop's file {file}.", row.source),
        (Some(row), None) => charted_note(row),
        (None, _) => UNCHARTED_NOTE.to_owned(),
    };
    let sixty = thread.form() == Form::Sixty;
    let notes = match sixty {
        true => notes(drill_note, drill, &hole, published.is_some()),
        false => whitworth_notes(drill_note, drill, &hole),
    };
    let source = match (sixty, published) {
        (false, _) => WHITWORTH_SOURCE,
        (true, Some(_)) => PUBLISHED_SOURCE,
        (true, None) => SOURCE,
    };
    [2, 3, 4, 5, 6]
        .into_iter()
        .map(|half_diameters| Insert {
            shop_file: shop.map(str::to_owned),
            notes: notes.clone(),
            source: source.to_owned(),
            confidence: if sixty {
                Confidence::Computed
            } else {
                Confidence::Inferred
            },
            ..insert(thread, &hole, drill, half_diameters)
        })
        .collect()
}

const UNCHARTED_NOTE: &str =
    "No drill chart for this size; this drill is nearest the middle of the minor diameter limits.";

fn charted_note(row: &WireDrill) -> String {
    match row.confidence {
        Confidence::Memory => format!(
            "Drill from {}; it is within the minor diameter limits.",
            row.source
        ),
        confidence => format!("Drill from {} ({confidence} source).", row.source),
    }
}

impl StiHole {
    fn limited_to(self, published: Option<LargestDiameters>) -> StiHole {
        match published {
            Some(largest) => StiHole {
                minor_max: largest.minor,
                pitch_diameter_max: largest.pitch_diameter,
                ..self
            },
            None => self,
        }
    }
}

/// Returns the least hole before tapping and the largest within the nominal thread's tolerance.
/// This is wider than a standard's own limit, so that a shop can enter its maker's data.
pub(super) fn hole_limits(thread: Thread) -> (Length, Length) {
    let hole = sti_hole(thread);
    (hole.minor_min, hole.minor_max)
}

fn sti_hole(thread: Thread) -> StiHole {
    match thread.form() {
        Form::Whitworth => whitworth_hole(thread),
        Form::Sixty | Form::AmericanPipe => sixty_hole(thread),
    }
}

fn whitworth_hole(thread: Thread) -> StiHole {
    let (minor, depth_mm) = (
        thread.nominal(),
        Form::Whitworth.depth_mm(thread.pitch_mm()),
    );
    let above = |share: f64| Length::from_computed_mm(minor.mm() + share * depth_mm);
    StiHole {
        minor_min: minor,
        minor_max: above(2.0 * (1.0 - WHITWORTH_DEPTH_LEFT)),
        pitch_diameter: above(1.0),
        pitch_diameter_max: above(1.0),
        major: above(2.0),
    }
}

fn sixty_hole(thread: Thread) -> StiHole {
    let close = InternalClass::Metric5H;
    let nominal = thread
        .internal(close)
        .unwrap_or_else(|_| thread.usual_internal());
    let (d, p) = (thread.nominal().mm(), thread.pitch_mm());
    let pitch_diameter = Length::from_computed_mm(d + 0.375 * SQRT_3 * p);
    let minor_min = Length::from_computed_mm(d + 0.125 * SQRT_3 * p);
    StiHole {
        minor_min,
        minor_max: minor_min + minor_tolerance(thread, &nominal),
        pitch_diameter,
        pitch_diameter_max: pitch_diameter
            + (nominal.pitch_diameter_max - nominal.pitch_diameter_min),
        major: Length::from_computed_mm(d + 0.75 * SQRT_3 * p),
    }
}

/// Returns the exact tolerance, not the difference of limits that were rounded to three places.
fn minor_tolerance(thread: Thread, nominal: &InternalLimits) -> Length {
    match thread.threads_per_inch() {
        Some(n) => {
            let inches = crate::thread::unified::minor_tolerance_2b_in(
                thread.nominal().inches(),
                f64::from(n),
            );
            Length::from_computed_mm(inches * 25.4)
        }
        None => nominal.minor_max - nominal.minor_min,
    }
}

fn drill_in_limits(thread: Thread, hole: &StiHole) -> Option<Drill> {
    let drawer = if thread.series().is_metric() {
        Drawer::METRIC
    } else {
        Drawer::INCH
    };
    let middle = (hole.minor_min + hole.minor_max) / 2;
    between(hole.minor_min, hole.minor_max, middle, &drawer)
        .or_else(|| between(hole.minor_min, hole.minor_max, middle, &Drawer::ALL))
}

fn insert(thread: Thread, hole: &StiHole, drill: Drill, half_diameters: i64) -> Insert {
    let pitch = Length::from_computed_mm(thread.pitch_mm());
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
            max: Length::from_computed_mm(hole.major.mm() + 0.3 * thread.pitch_mm()),
            angle_min_deg: 115.0,
            angle_max_deg: 125.0,
        }),
        length,
        set_below_min: pitch * 3 / 4,
        set_below_max: pitch * 3 / 2,
        // The one published inch example (1/4-20, 1.5 D: .430 in) is .005 in deeper.
        full_thread_min: length + pitch,
        keys: 0,
        tang: true,
        coil: Some(coil(length, pitch)),
        published_shear_area_mm2: None,
        source: SOURCE.to_owned(),
        confidence: Confidence::Computed,
        shop_file: None,
        notes: Vec::new(),
    }
}

fn coil(length: Length, pitch: Length) -> Coil {
    let (set_length_min, set_length_max) = (length - pitch * 3 / 4, length - pitch / 2);
    Coil {
        set_length_min,
        set_length_max,
        turns_min: set_length_min.mm() / pitch.mm(),
        turns_max: set_length_max.mm() / pitch.mm(),
        plain_below_min: pitch / 4,
        plain_below_max: pitch / 2,
    }
}

fn outside(thread: Thread, hole: &StiHole) -> OutsideThread {
    let size = thread.designation();
    // A size without its series means the 60 degree thread.
    let size = match thread.form() {
        Form::Whitworth => &size,
        _ => size.split(' ').next().unwrap_or(&size),
    };
    OutsideThread {
        designation: format!("{size} STI"),
        pitch_mm: thread.pitch_mm(),
        major_min: hole.major,
        major: hole.major,
        pitch_diameter: hole.pitch_diameter,
        tapped_pitch_diameter_max: hole.pitch_diameter_max,
        form: thread.form(),
        thread: None,
    }
}

fn whitworth_notes(drill_note: String, drill: Drill, hole: &StiHole) -> Vec<String> {
    let mut notes = vec![
        "The tapped hole is derived from the 55 degree form and not confirmed by a standard: measure tap and insert, and try both on \
         scrap."
            .to_owned(),
        drill_note,
        "Whitworth tolerances are not included here: the largest hole leaves 75% of the depth (judgment), and strength is based on basic \
         sizes."
            .to_owned(),
        "Countersink, depth below the face and installed length are carried over from 60 degree inserts (judgment).".to_owned(),
    ];
    notes.extend(oversize_note(drill, hole.minor_max));
    notes
}

fn notes(drill_note: String, drill: Drill, hole: &StiHole, published: bool) -> Vec<String> {
    let mut notes = vec![
        drill_note,
        "Countersink angle of 120 degrees from memory, not confirmed; DIN 8140 uses 90.".to_owned(),
        "Without a countersink install it 1/4 to 1/2 pitch below the face (secondary sources)."
            .to_owned(),
        "Installed, it is 1/2 to 3/4 pitch shorter than its nominal length.".to_owned(),
    ];
    if !published {
        notes.push(
            "The largest hole diameters are upper bounds; the standard's gauges are tighter."
                .to_owned(),
        );
    }
    notes.extend(oversize_note(drill, hole.minor_max));
    notes
}
