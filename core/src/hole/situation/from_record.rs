//! Builds a situation from the active entries of a hole and its face.
//!
//! If several readings or facts are active, the least favorable counts: the smallest depth, floor
//! and distance, each less its tolerance, the deepest face cut, and all damage that anyone
//! described.
//!
//! Each depth is reduced by the stock that was removed after it was read. Damage moves up with a cut
//! whose writer knew of it. Where two people wrote at the same time, nobody knows which came first:
//! so a station or hard zone runs from where it would start now to where it was read to end, and a
//! circle that tapers or leans is widened to cover all positions between. This errs by that stock at
//! most, never on the unsafe side.

use super::tolerance::{MEASURED, at_worst};
use super::{SMALLEST, Situation, SituationError, TolerancedReading, Tolerances};
use crate::hole::damage::{Damage, HardZone, Lean, MAX_DEPTH, Span, Station};
use crate::hole::inherit::inherit;
use crate::hole::record::{
    Cut, CutStep, FaceRecord, FactEntries, HoleRecord, Quantity, Reading, Recorded, WantedThread,
};
use crate::length::Length;

/// Why the entries give no situation: a fact that a person must record first, or an invalid
/// reading.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SituationUnavailable {
    /// No wanted thread is set.
    #[error("no wanted thread yet; set the thread")]
    NoThread,
    /// Two wanted threads are in conflict.
    #[error("two wanted threads, {first} and {second}; resolve the conflict")]
    ThreadConflict {
        /// One thread.
        first: String,
        /// The other thread.
        second: String,
    },
    /// A reading is not valid.
    #[error(transparent)]
    Invalid(#[from] SituationError),
}

/// Builds the situation of a hole from its active entries and those of its face, with the usual
/// values of the face for what nobody measured at the hole.
///
/// Missing readings become `None`; only the wanted thread is required.
///
/// # Errors
/// No wanted thread, two different ones, or a reading that is not valid.
pub fn situation_of(
    hole: &HoleRecord,
    face: &FaceRecord,
) -> Result<Situation, SituationUnavailable> {
    let hole = &*inherit(hole, face);
    let wanted = wanted(&hole.wanted)?;
    let at_its_worst = |quantity| {
        let (stated, tolerance) = least(hole, quantity, None);
        stated.map(|stated| at_worst(stated, tolerance))
    };
    let depth_as_is = |quantity| {
        let (stated, tolerance) = least(hole, quantity, Some(face));
        stated.map(|stated| at_worst(stated.max(SMALLEST), tolerance))
    };
    let mut read = Situation {
        bolt: wanted.bolt,
        metal: face.metal.unwrap_or_default(),
        through: wanted.through,
        // A bolt chosen for too small a grip engages less thread; one for too large a grip bottoms.
        grip: at_its_worst(Quantity::Grip),
        bolt_length: least(hole, Quantity::BoltLength, None).0,
        bolt_thread_length: at_its_worst(Quantity::BoltThreadLength),
        full_diameter: depth_as_is(Quantity::FullDiameter),
        full_thread: depth_as_is(Quantity::FullThread),
        neighbor_diameter: largest_neighbor(hole),
        pressure: wanted.pressure,
        damage: all_damage(&hole.damage, |damage| damage.body.clone()),
        damage_described: !hole.damage.0.is_empty(),
        may_be_hard: hole.may_be_hard(),
        limits: face.limits.clone(),
        ..Situation::of(wanted.thread)
    };
    for reading in MEASURED {
        if let Some(quantity) = reading.quantity() {
            let (stated, tolerance) = least(hole, quantity, None);
            read.set_reading(reading, stated, tolerance);
        }
    }
    check_as_read(&read, hole)?;
    let (bottom, tolerance) = least(hole, Quantity::Depth, Some(face));
    // Damage down to the bottom reaches down to where the bottom really is.
    let bottom = bottom.map(|depth| depth.max(SMALLEST));
    read.set_reading(TolerancedReading::Depth, bottom, tolerance);
    let described = hole.damage.0.iter();
    let milled = described.map(|damage| Removed::after(damage, face).perhaps);
    let mut damage = all_damage(&hole.damage, |damage| {
        damage_as_is(damage, hole, face, bottom)
    });
    // What broke off last is on top.
    let broken = hole.piece_broken().or(damage.broken_tool);
    damage.broken_tool = broken.or_else(|| hole.piece_seen());
    let as_is = Situation {
        damage: with_bore(damage, hole, &wanted, bottom),
        milled: milled.max().unwrap_or_default(),
        face_cut: face.left_to_remove(),
        ..read
    };
    // The readings stay valid as checked, but the face cut may now exceed the reduced depth.
    as_is.check_face_cut()?;
    Ok(as_is)
}

fn wanted(recorded: &FactEntries<WantedThread>) -> Result<WantedThread, SituationUnavailable> {
    let first = &recorded
        .0
        .first()
        .ok_or(SituationUnavailable::NoThread)?
        .body;
    let mut least = first.clone();
    for other in recorded.0.iter().map(|entry| &entry.body) {
        if other.thread != first.thread {
            return Err(SituationUnavailable::ThreadConflict {
                first: first.thread.designation(),
                second: other.thread.designation(),
            });
        }
        least.bolt = least.bolt.filter(|bolt| Some(*bolt) == other.bolt);
        least.through = least
            .through
            .filter(|through| Some(*through) == other.through);
        least.pressure |= other.pressure;
    }
    Ok(least)
}

/// Returns the smallest reading of a quantity, and how far below it the worst case is; with a face,
/// from the face as is.
fn least(
    hole: &HoleRecord,
    quantity: Quantity,
    face: Option<&FaceRecord>,
) -> (Option<Length>, Length) {
    let (mut least, mut worst) = (None, None);
    for reading in hole.readings_of(quantity) {
        let value = face.map_or(reading.body.value, |face| reading.value_as_is(face));
        let at_worst = value - reading.body.tolerance.unwrap_or_default().abs();
        least = Some(least.map_or(value, |least: Length| least.min(value)));
        worst = Some(worst.map_or(at_worst, |worst: Length| worst.min(at_worst)));
    }
    let below = least.zip(worst).map(|(least, worst)| least - worst);
    (least, below.unwrap_or_default())
}

/// Returns the largest outside diameter read for the nearest hole's thread or insert, plus its
/// tolerance.
fn largest_neighbor(hole: &HoleRecord) -> Option<Length> {
    let readings = hole.readings.iter().map(|entry| &entry.body);
    readings
        .filter(|reading| reading.quantity == Quantity::NeighborDiameter)
        .map(|reading| reading.value + reading.tolerance.unwrap_or_default().abs())
        .max()
}

/// Combines all damage that anyone described, read by a function.
fn all_damage(
    recorded: &FactEntries<Damage>,
    read: impl Fn(&Recorded<Damage>) -> Damage,
) -> Damage {
    let mut all = Damage::default();
    for other in recorded.0.iter().map(read) {
        for station in other.stations {
            // What it was worked out from is judged elsewhere, and is long.
            let station = Station {
                rests_on: Vec::new(),
                traced: None,
                ..station
            };
            if !all.stations.contains(&station) {
                all.stations.push(station);
            }
        }
        all.hard.extend(&other.hard);
        all.crack |= other.crack;
        all.lean = steeper(all.lean, other.lean.as_ref());
        all.broken_tool = all.broken_tool.or(other.broken_tool);
    }
    all
}

/// Stock removed since something was described.
struct Removed {
    /// By cuts that came after it.
    surely: Length,
    /// By cuts that came before or after it.
    perhaps: Length,
}

impl Removed {
    fn after(described: &Recorded<Damage>, face: &FaceRecord) -> Removed {
        let surely = face.surely_removed_after(described);
        Removed {
            surely,
            perhaps: face.removed_after(described) - surely,
        }
    }
}

/// Returns damage from the face as is, without a broken piece that came out after it was described.
fn damage_as_is(
    described: &Recorded<Damage>,
    hole: &HoleRecord,
    face: &FaceRecord,
    bottom: Option<Length>,
) -> Damage {
    let removed = Removed::after(described, face);
    let left = described.body.after_milling(removed.surely);
    let mut damage = from_face_as_is(left, removed.perhaps, bottom);
    let mut cuts = hole.cuts.iter();
    let came_out = |cut: &Recorded<Cut>| {
        cut.body.step == CutStep::ClearBroken && cut.knows(described.position())
    };
    if cuts.any(came_out) {
        damage.broken_tool = None;
    }
    damage
}

/// Validates the readings, with the damage checked against the deepest active reading: an earlier,
/// shallower one does not make it impossible.
fn check_as_read(read: &Situation, hole: &HoleRecord) -> Result<(), SituationError> {
    let depths = hole
        .readings
        .iter()
        .filter(|reading| reading.body.quantity == Quantity::Depth);
    let deepest = depths
        .map(|reading| reading.body.value + reading.body.tolerance.unwrap_or_default().abs())
        .max();
    if read.depth.is_some_and(Length::is_positive) {
        let lenient = Situation {
            depth: deepest,
            tolerances: Tolerances::default(),
            ..read.clone()
        };
        return lenient.validate();
    }
    read.validate()
}

/// Returns the steeper of two leans.
fn steeper(one: Option<Lean>, other: Option<&Lean>) -> Option<Lean> {
    let slope = |lean: &Lean| lean.tilt.slope();
    match (one, other) {
        (Some(one), Some(other)) if slope(&one) < slope(other) => Some(other.clone()),
        (one, other) => one.or_else(|| other.cloned()),
    }
}

fn from_face_as_is(damage: Damage, milled: Length, depth: Option<Length>) -> Damage {
    let as_is = |span: Span| Span {
        from: (span.from - milled).clamp_at_zero(),
        to: depth.map_or(span.to, |depth| span.to.min(depth)),
    };
    let stations = damage.stations.into_iter();
    let zone_as_is = |zone: HardZone| HardZone {
        span: as_is(zone.span),
        ..zone
    };
    Damage {
        stations: stations
            .flat_map(|station| station_from_face_as_is(station, milled, depth))
            .collect(),
        hard: damage
            .hard
            .into_iter()
            .map(zone_as_is)
            .filter(|zone| zone.span.length().is_positive())
            .collect(),
        broken_tool: damage.broken_tool.map(|mut tool| {
            tool.top = tool.top.map(|top| top - milled);
            tool
        }),
        ..damage
    }
}

/// Converts a station to depths from the face as is.
///
/// A tapering station becomes two: the station as read, and above it the part that came closer as
/// the face was milled; both are widened by what [`moved_by`] returns.
fn station_from_face_as_is(
    station: Station,
    milled: Length,
    depth: Option<Length>,
) -> Vec<Station> {
    let inside = Span {
        from: Length::ZERO,
        to: depth.unwrap_or(MAX_DEPTH),
    };
    let above = Span {
        from: (station.span.from - milled).clamp_at_zero(),
        to: station.span.from,
    };
    if !station.changes() {
        let from = above.from;
        let span = Span {
            from,
            ..station.span
        };
        return Station { span, ..station }
            .clipped_to(inside)
            .into_iter()
            .collect();
    }
    let moved = moved_by(&station, milled);
    let wider = Station {
        diameter: station.diameter + moved,
        to_diameter: Some(station.to_diameter.unwrap_or(station.diameter) + moved),
        ..station
    };
    let closer = Station {
        diameter_tolerance: wider.diameter_tolerance,
        offset_tolerance: wider.offset_tolerance,
        ..Station::of(above, wider.diameter, wider.offset, wider.direction_deg)
    };
    [closer, wider]
        .iter()
        .filter_map(|station| station.clipped_to(inside))
        .collect()
}

/// Returns how much wider a circle must be to cover itself as it was deeper by the stock removed.
///
/// That is twice the shift of its center plus its change of radius over that depth, or over the
/// whole station if that is shorter.
fn moved_by(station: &Station, milled: Length) -> Length {
    let (upper, lower) = (station.upper(), station.lower());
    let ((x0, y0), (x1, y1)) = (upper.center_mm(), lower.center_mm());
    let moves = (x1 - x0).hypot(y1 - y0) + (upper.diameter - lower.diameter).abs().mm() / 2.0;
    let share = (milled.mm() / station.span.length().mm()).min(1.0);
    Length::from_computed_mm(2.0 * moves * share)
}

/// Adds a bore wider than the thread's largest minor diameter as missing metal down the whole hole.
fn with_bore(
    mut damage: Damage,
    hole: &HoleRecord,
    wanted: &WantedThread,
    depth: Option<Length>,
) -> Damage {
    let readings = hole.readings.iter().map(|entry| &entry.body);
    let bores = readings.filter(|reading| reading.quantity == Quantity::Bore);
    let tolerance = |bore: &Reading| bore.tolerance.unwrap_or_default().abs();
    let widest = bores.max_by_key(|bore| bore.value + tolerance(bore));
    let matters = |bore: &&Reading| bore.value + tolerance(bore) > wanted.thread.intact_bore_max();
    if let Some(widest) = widest.filter(matters) {
        // If the depth is unknown, deeper than any insert reaches.
        let to = depth.unwrap_or(wanted.thread.nominal() * 10);
        let span = Span {
            from: Length::ZERO,
            to,
        };
        let bore = Station::of(span, widest.value, Length::ZERO, 0.0);
        damage.stations.push(Station {
            diameter_tolerance: Some(tolerance(widest)).filter(|tolerance| tolerance.is_positive()),
            ..bore
        });
    }
    damage
}
