//! Wire thread inserts; their tapped holes are in [`crate::thread::sti`].

use super::wire_drill::WireDrill;
use super::{Coil, Confidence, Countersink, Family, Insert, OutsideThread, oversize_note};
use crate::drill::{Drill, DrillKinds, between};
use crate::length::Length;
use crate::thread::sti::{StiHole, sti_hole, sti_hole_by_formula};
use crate::thread::{Form, Hand, Thread};

const SOURCE: &str = "STI hole by formula from the wire's section, per ASME B18.29.1 and B18.29.2M from memory; lengths and depths by the \
                      rules of ASME B18.29 (secondary source)";

const PUBLISHED_SOURCE: &str = "STI hole by formula from the wire's section, largest diameters from ASME B18.29.1 as transcribed (secondary \
                                source); lengths and depths by the rules of ASME B18.29 (secondary source)";

const WHITWORTH_SOURCE: &str = "STI hole derived from the 55 degree form like that of 60 degrees, not confirmed by a standard; lengths and \
                                depths by the rules of ASME B18.29 (secondary source), carried over";

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
    let hole = sti_hole(thread);
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
        true => notes(drill_note, drill, &hole),
        false => whitworth_notes(drill_note, drill, &hole),
    };
    let source = match (sixty, hole.published) {
        (false, _) => WHITWORTH_SOURCE,
        (true, true) => PUBLISHED_SOURCE,
        (true, false) => SOURCE,
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

/// Returns the least hole before tapping and the largest within the nominal thread's tolerance.
/// This is wider than a standard's own limit, so that a shop can enter its maker's data.
pub(super) fn hole_limits(thread: Thread) -> (Length, Length) {
    let hole = sti_hole_by_formula(thread);
    (hole.minor_min, hole.minor_max)
}

fn drill_in_limits(thread: Thread, hole: &StiHole) -> Option<Drill> {
    let drawer = if thread.series().is_metric() {
        DrillKinds::METRIC
    } else {
        DrillKinds::INCH
    };
    let middle = (hole.minor_min + hole.minor_max) / 2;
    between(hole.minor_min, hole.minor_max, middle, &drawer)
        .or_else(|| between(hole.minor_min, hole.minor_max, middle, &DrillKinds::ALL))
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
    OutsideThread {
        designation: thread.for_wire_insert().designation(),
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
        "The largest hole leaves 75% of the depth, and its pitch diameter has the tolerance of the bolt's own thread in the medium class of \
         BS 84 (judgment)."
            .to_owned(),
        "Countersink, depth below the face and installed length are carried over from 60 degree inserts (judgment).".to_owned(),
    ];
    notes.extend(oversize_note(drill, hole.minor_max));
    notes
}

fn notes(drill_note: String, drill: Drill, hole: &StiHole) -> Vec<String> {
    let mut notes = vec![
        drill_note,
        "Countersink angle of 120 degrees from memory, not confirmed; DIN 8140 uses 90.".to_owned(),
        "Without a countersink install it 1/4 to 1/2 pitch below the face (secondary sources)."
            .to_owned(),
        "Installed, it is 1/2 to 3/4 pitch shorter than its nominal length.".to_owned(),
    ];
    if !hole.published {
        notes.push(
            "The largest hole diameters are upper bounds; the standard's gauges are tighter."
                .to_owned(),
        );
    }
    notes.extend(oversize_note(drill, hole.minor_max));
    notes
}
