//! What the entries of a hole and its face come to.
//!
//! Where several readings or answers stand, the least favourable counts, each less (or, for a bore, plus) what it may be off:
//! the least depth, floor and distance, the deepest face cut, all damage that anyone saw.
//!
//! Once the face was milled, entries do not tell which depths were read before and which after, and no clock is trusted
//! to. So the safe side counts: a depth is taken as read before, and shrinks by what came off; a station or a hard zone
//! reaches from where it would start by now to where it was said to end. For a depth that was read afterwards this
//! is too little by the cut, which is little, and never too much. A circle that tapers or leans may then lie higher or lower by what came
//! off; it is taken so much wider that it holds all of these.

use super::doubt::PLAIN;
use super::{A_TRIFLE, DoubtfulReading, Errors, Situation, SituationError};
use crate::hole::damage::{DEEPEST, Damage, HardZone, Lean, Span, Station};
use crate::hole::record::{Answers, FaceRecord, HoleRecord, Quantity, Reading, Wanted};
use crate::length::Length;

/// Why no situation could be made of the entries: what a person has to say first, or what cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Missing {
    /// Nobody said which thread is wanted.
    #[error("the wanted thread is not said yet; say which thread the hole shall have")]
    Thread,
    /// Two wanted threads stand.
    #[error("two wanted threads stand, {first} and {second}; settle which one the hole shall have")]
    ThreadInQuestion {
        /// One of them.
        first: String,
        /// Another.
        second: String,
    },
    /// The entries come to a hole that cannot be.
    #[error(transparent)]
    Unsound(#[from] SituationError),
}

/// What stands recorded of a hole and its face, as the arithmetic needs it.
///
/// Missing readings become `None`; only the wanted thread must be there.
///
/// # Errors
/// No wanted thread, two of them, or readings that cannot be right.
pub fn situation_of(hole: &HoleRecord, face: &FaceRecord) -> Result<Situation, Missing> {
    let wanted = wanted(&hole.wanted)?;
    let milled = face.taken_off();
    let mut read = Situation {
        bolt: wanted.bolt,
        metal: face.metal.unwrap_or_default(),
        through: wanted.through,
        // A bolt that is chosen for too little stays short of some thread; one chosen for too much bottoms.
        grip: at_worst(least(hole, Quantity::Grip)),
        damage: seen(&hole.damage),
        damage_read: !hole.damage.0.is_empty(),
        milled,
        ..Situation::of(wanted.thread)
    };
    for reading in PLAIN {
        let (stated, error) =
            quantity(reading).map_or((None, Length::ZERO), |what| least(hole, what));
        read.set_plain(reading, stated, error);
    }
    check_as_read(&read, hole)?;
    let depth = read.depth.map(|depth| (depth - milled).max(A_TRIFLE));
    // What is missing down to the bottom is missing down to where that truly lies.
    let bottom = read
        .depth_as_read()
        .map(|depth| (depth - milled).max(A_TRIFLE));
    let damage = as_of_today(read.damage, milled, bottom);
    let damage = with_bore(damage, hole, &wanted, bottom);
    let today = Situation {
        depth,
        damage,
        face_cut: face.cut_to_come(),
        ..read
    };
    // What was checked as read stays sound, except that the cut may now meet a hole that shrank.
    today.check_face_cut()?;
    Ok(today)
}

fn wanted(answers: &Answers<Wanted>) -> Result<Wanted, Missing> {
    let first = &answers.0.first().ok_or(Missing::Thread)?.body;
    let mut least = first.clone();
    for other in answers.0.iter().map(|said| &said.body) {
        if other.thread != first.thread {
            return Err(Missing::ThreadInQuestion {
                first: first.thread.designation(),
                second: other.thread.designation(),
            });
        }
        least.bolt = least.bolt.filter(|bolt| Some(*bolt) == other.bolt);
        least.through = least
            .through
            .filter(|through| Some(*through) == other.through);
    }
    Ok(least)
}

fn quantity(reading: DoubtfulReading) -> Option<Quantity> {
    Some(match reading {
        DoubtfulReading::Depth => Quantity::Depth,
        DoubtfulReading::Floor => Quantity::Floor,
        DoubtfulReading::NearestEdge => Quantity::NearestEdge,
        DoubtfulReading::NearestHole => Quantity::NearestHole,
        DoubtfulReading::MatingHole => Quantity::MatingHole,
        DoubtfulReading::Diameter(_)
        | DoubtfulReading::Offset(_)
        | DoubtfulReading::HardZone(_) => return None,
    })
}

/// What was read less what it may be off; a value that is not above zero stays as it is, to be refused with its name.
fn at_worst((stated, error): (Option<Length>, Length)) -> Option<Length> {
    stated.map(|stated| {
        if stated.is_positive() {
            (stated - error).max(A_TRIFLE)
        } else {
            stated
        }
    })
}

/// The least that was read of a quantity, and how far below it the least favourable reading may lie.
fn least(hole: &HoleRecord, quantity: Quantity) -> (Option<Length>, Length) {
    let readings = hole.readings.iter().map(|said| &said.body);
    let (mut least, mut worst) = (None, None);
    for reading in readings.filter(|reading| reading.quantity == quantity) {
        let at_worst = reading.value - reading.error.unwrap_or_default().abs();
        least = Some(least.map_or(reading.value, |least: Length| least.min(reading.value)));
        worst = Some(worst.map_or(at_worst, |worst: Length| worst.min(at_worst)));
    }
    let below = least.zip(worst).map(|(least, worst)| least - worst);
    (least, below.unwrap_or_default())
}

/// All that anyone saw.
fn seen(answers: &Answers<Damage>) -> Damage {
    let mut all = Damage::default();
    for other in answers.0.iter().map(|said| &said.body) {
        let new = |station: &&Station| !all.stations.contains(station);
        let stations: Vec<Station> = other.stations.iter().filter(new).cloned().collect();
        all.stations.extend(stations);
        all.hard.extend(&other.hard);
        all.crack |= other.crack;
        all.lean = steeper(all.lean, other.lean.as_ref());
        all.broken_tool = all.broken_tool.take().or_else(|| other.broken_tool.clone());
    }
    all
}

/// Damage is judged against the deepest standing reading: an earlier, shallower one does not make it impossible.
fn check_as_read(read: &Situation, hole: &HoleRecord) -> Result<(), SituationError> {
    let depths = hole
        .readings
        .iter()
        .filter(|said| said.body.quantity == Quantity::Depth);
    let deepest = depths
        .map(|said| said.body.value + said.body.error.unwrap_or_default().abs())
        .max();
    if read.depth.is_some_and(Length::is_positive) {
        let lenient = Situation {
            depth: deepest,
            errors: Errors::default(),
            ..read.clone()
        };
        return lenient.check();
    }
    read.check()
}

/// Of two leans the one that leans more.
fn steeper(one: Option<Lean>, other: Option<&Lean>) -> Option<Lean> {
    let slope = |lean: &Lean| lean.tilt.slope();
    match (one, other) {
        (Some(one), Some(other)) if slope(&one) < slope(other) => Some(other.clone()),
        (one, other) => one.or_else(|| other.cloned()),
    }
}

fn as_of_today(damage: Damage, milled: Length, depth: Option<Length>) -> Damage {
    let today = |span: Span| Span {
        from: (span.from - milled).or_zero(),
        to: depth.map_or(span.to, |depth| span.to.min(depth)),
    };
    let stations = damage.stations.into_iter();
    let zone_today = |zone: HardZone| HardZone {
        span: today(zone.span),
        ..zone
    };
    Damage {
        stations: stations
            .flat_map(|station| station_today(station, milled, depth))
            .collect(),
        hard: damage
            .hard
            .into_iter()
            .map(zone_today)
            .filter(|zone| zone.span.length().is_positive())
            .collect(),
        broken_tool: damage.broken_tool.map(|mut tool| {
            tool.top = tool.top.map(|top| top - milled);
            tool
        }),
        ..damage
    }
}

/// A station in depths from today's face. One that changes becomes two: what it was said to be, and above it what came closer as the
/// face was milled; both as much wider as it may lie higher by now.
fn station_today(station: Station, milled: Length, depth: Option<Length>) -> Vec<Station> {
    let inside = Span {
        from: Length::ZERO,
        to: depth.unwrap_or(DEEPEST),
    };
    let above = Span {
        from: (station.span.from - milled).or_zero(),
        to: station.span.from,
    };
    if !station.changes() {
        let from = above.from;
        let span = Span {
            from,
            ..station.span
        };
        return Station { span, ..station }
            .within(inside)
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
        diameter_error: wider.diameter_error,
        offset_error: wider.offset_error,
        ..Station::of(above, wider.diameter, wider.offset, wider.direction_deg)
    };
    [closer, wider]
        .iter()
        .filter_map(|station| station.within(inside))
        .collect()
}

/// By how much a circle must be wider to hold itself as it was so much deeper: twice what its centre moves and its radius changes over
/// that depth, or over all of the station where that is shorter.
fn moved_by(station: &Station, milled: Length) -> Length {
    let (upper, lower) = (station.upper(), station.lower());
    let ((x0, y0), (x1, y1)) = (upper.centre_mm(), lower.centre_mm());
    let moves = (x1 - x0).hypot(y1 - y0) + (upper.diameter - lower.diameter).abs().mm() / 2.0;
    let share = (milled.mm() / station.span.length().mm()).min(1.0);
    Length::computed_mm(2.0 * moves * share)
}

/// A bore wider than the thread's largest minor diameter is missing metal, down the whole hole.
fn with_bore(
    mut damage: Damage,
    hole: &HoleRecord,
    wanted: &Wanted,
    depth: Option<Length>,
) -> Damage {
    let readings = hole.readings.iter().map(|said| &said.body);
    let bores = readings.filter(|reading| reading.quantity == Quantity::Bore);
    let error = |bore: &Reading| bore.error.unwrap_or_default().abs();
    let widest = bores.max_by_key(|bore| bore.value + error(bore));
    let matters = |bore: &&Reading| bore.value + error(bore) > wanted.thread.whole_bore_max();
    if let Some(widest) = widest.filter(matters) {
        // With the depth unknown, deeper than any insert reaches.
        let to = depth.unwrap_or(wanted.thread.nominal() * 10);
        let span = Span {
            from: Length::ZERO,
            to,
        };
        let bore = Station::of(span, widest.value, Length::ZERO, 0.0);
        damage.stations.push(Station {
            diameter_error: Some(error(widest)).filter(|error| error.is_positive()),
            ..bore
        });
    }
    damage
}
