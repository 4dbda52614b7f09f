//! What is unusual about an entry, so that it is asked about before it is saved.
//!
//! Most of these are slips: a wrong unit, a lost decimal point, the wrong field. The limits are
//! judgments, wide enough that ordinary work is never asked about. What is impossible is refused by
//! the validation of entries instead.

mod limits;

pub use limits::Limit;

use super::damage::{BrokenTool, Damage, Station, Tilt};
use super::inherit::inherit;
use super::limits::Limits;
use super::question::Question;
use super::record::{FaceRecord, HoleRecord, Quantity, Reading, WantedThread};
use crate::length::Length;
use crate::thread::Thread;
use std::fmt;

/// What a question is about. Stations and hard zones are numbered from 0, in the order of the
/// damage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A reading.
    Reading(Quantity),
    /// The tolerance of a reading.
    Tolerance(Quantity),
    /// The lower end of a station.
    StationEnd(usize),
    /// The diameter of a station.
    Diameter(usize),
    /// The diameter of a station at its lower end.
    LowerDiameter(usize),
    /// The offset of a station.
    Offset(usize),
    /// The offset of a station at its lower end.
    LowerOffset(usize),
    /// The tolerance of a station's diameters.
    DiameterTolerance(usize),
    /// The tolerance of a station's centers.
    OffsetTolerance(usize),
    /// The lower end of a hard zone.
    HardEnd(usize),
    /// The tolerance of a hard zone's ends.
    HardTolerance(usize),
    /// How far the old hole is from square.
    Tilt,
    /// The length of the broken piece.
    PieceLength,
    /// The stock to remove from the face, or removed.
    FaceCut,
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Reading(quantity) => write!(f, "the {quantity}"),
            Subject::Tolerance(quantity) => write!(f, "the tolerance of the {quantity}"),
            Subject::StationEnd(i) => write!(f, "the lower end of damage station {}", i + 1),
            Subject::Diameter(i) => write!(f, "the diameter of damage station {}", i + 1),
            Subject::LowerDiameter(i) => {
                write!(f, "the lower diameter of damage station {}", i + 1)
            }
            Subject::Offset(i) => write!(f, "the offset of damage station {}", i + 1),
            Subject::LowerOffset(i) => write!(f, "the lower offset of damage station {}", i + 1),
            Subject::DiameterTolerance(i) => {
                write!(f, "the diameter tolerance of damage station {}", i + 1)
            }
            Subject::OffsetTolerance(i) => {
                write!(f, "the off-center tolerance of damage station {}", i + 1)
            }
            Subject::HardEnd(i) => write!(f, "the lower end of hard zone {}", i + 1),
            Subject::HardTolerance(i) => write!(f, "the tolerance of hard zone {}", i + 1),
            Subject::Tilt => f.write_str("the lean of the old hole"),
            Subject::PieceLength => f.write_str("the length of the broken piece"),
            Subject::FaceCut => f.write_str("the face cut"),
        }
    }
}

/// What is unusual about an entry. Each message is one sentence: what, where, and what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Implausible {
    /// Larger than usual.
    #[error(
        "{subject} is {}; {}more than {} is unusual, so check the number and the unit",
        value.both(), limit.thread_words(), limit.length.both()
    )]
    Large {
        /// What is large.
        subject: Subject,
        /// Its value.
        value: Length,
        /// The largest usual value.
        limit: Limit,
    },
    /// Smaller than usual.
    #[error(
        "{subject} is {}; {}less than {} is unusual, so check the number and the unit",
        value.both(), limit.thread_words(), limit.length.both()
    )]
    Small {
        /// What is small.
        subject: Subject,
        /// Its value.
        value: Length,
        /// The smallest usual value.
        limit: Limit,
    },
    /// The edge lies inside the hole.
    #[error(
        "the edge distance is {}, less than half of the hole, {}: the hole would break out of the \
         edge; check whether it was measured from the hole's center",
        value.both(), half.both()
    )]
    EdgeInHole {
        /// The edge distance.
        value: Length,
        /// Half of the hole.
        half: Length,
    },
    /// The nearest hole overlaps this one.
    #[error(
        "the distance to the nearest hole is {}, less than a hole across, {}: the holes would run \
         into each other; check whether it was measured from center to center",
        value.both(), across.both()
    )]
    HolesOverlap {
        /// The distance.
        value: Length,
        /// A hole across.
        across: Length,
    },
    /// The bolt does not go through the mating part.
    #[error(
        "the clearance hole in the mating part is {}: a {thread} bolt does not go through; check \
         the number and the thread",
        value.both()
    )]
    BoltDoesNotPass {
        /// The clearance hole.
        value: Length,
        /// The bolt's thread.
        thread: Thread,
    },
    /// The bore is too small for the thread.
    #[error(
        "the bore is {}, and the smallest bore of {thread} is {}: a bolt would not start; check \
         the number and the thread",
        value.both(), least.both()
    )]
    BoreTooSmall {
        /// The bore.
        value: Length,
        /// The smallest minor diameter of the thread.
        least: Length,
        /// The bolt's thread.
        thread: Thread,
    },
    /// A tolerance that leaves nothing of its value.
    #[error(
        "{subject} is {}, no less than the value itself, {}: nothing would be known of it; check \
         both",
        tolerance.both(), value.both()
    )]
    ToleranceAboveValue {
        /// Which tolerance.
        subject: Subject,
        /// The tolerance.
        tolerance: Length,
        /// The value that it belongs to.
        value: Length,
    },
    /// Damage that ends below the bottom of the hole.
    #[error(
        "{subject} is at {}, but the hole ends at {}; no remedies are listed until they agree, so \
         correct the wrong one",
        to.both(), depth.both()
    )]
    BelowBottom {
        /// What ends there.
        subject: Subject,
        /// Its lower end.
        to: Length,
        /// Depth of the hole.
        depth: Length,
    },
    /// Holes that are not measured before the face is cut.
    #[error(
        "{} not measured yet; measure before the face is cut, because the cut takes away the mouth \
         that shows what is missing",
        numbered(holes)
    )]
    Unmeasured {
        /// Their numbers.
        holes: Vec<u32>,
    },
    /// More stock removed than planned.
    #[error(
        "{} off the face in all is more than the {} planned; depths in holes that are drilled or \
         tapped already shrink by the rest, so check the number",
        in_all.both(),
        planned.both()
    )]
    BeyondPlan {
        /// The planned cut.
        planned: Length,
        /// The stock removed by all cuts together.
        in_all: Length,
    },
    /// A lean that is more than an old hole usually has.
    #[error(
        "the old hole leans {degrees:.1} degrees; more than {most} is unusual, so check the numbers"
    )]
    Lean {
        /// The angle.
        degrees: f64,
        /// The largest usual angle.
        most: f64,
    },
}

impl Implausible {
    /// Returns what it is about.
    pub const fn subject(&self) -> Subject {
        match self {
            Implausible::Large { subject, .. }
            | Implausible::Small { subject, .. }
            | Implausible::ToleranceAboveValue { subject, .. }
            | Implausible::BelowBottom { subject, .. } => *subject,
            Implausible::EdgeInHole { .. } => Subject::Reading(Quantity::NearestEdge),
            Implausible::HolesOverlap { .. } => Subject::Reading(Quantity::NearestHole),
            Implausible::BoltDoesNotPass { .. } => Subject::Reading(Quantity::MatingHole),
            Implausible::BoreTooSmall { .. } => Subject::Reading(Quantity::Bore),
            Implausible::Lean { .. } => Subject::Tilt,
            Implausible::Unmeasured { .. } | Implausible::BeyondPlan { .. } => Subject::FaceCut,
        }
    }
}

impl From<&Implausible> for Question {
    fn from(unusual: &Implausible) -> Question {
        Question::about(unusual, false)
    }
}

/// What is known of a hole that a new entry is compared with.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Known {
    /// The wanted thread.
    pub thread: Option<Thread>,
    /// The deepest depth that was read, with its tolerance.
    pub depth: Option<Length>,
    /// The limits of what is asked about.
    pub limits: Limits,
}

impl Known {
    /// Returns what a hole's active entries say, and those of its face, with what it inherits from
    /// the setup of the face.
    pub fn of(record: &HoleRecord, face: &FaceRecord) -> Known {
        let record = inherit(record, face);
        let depths = record
            .readings
            .iter()
            .filter(|reading| reading.body.quantity == Quantity::Depth);
        Known {
            thread: record.wanted.agreed().map(|wanted| wanted.thread),
            depth: depths.map(|reading| deepest(&reading.body)).max(),
            limits: face.limits().clone(),
        }
    }
}

fn deepest(reading: &Reading) -> Length {
    reading.value + reading.tolerance.unwrap_or_default().abs()
}

/// Returns what is unusual about a reading.
pub fn reading(reading: &Reading, known: &Known) -> Vec<Implausible> {
    let Reading {
        quantity,
        value,
        tolerance,
        ..
    } = *reading;
    let mut unusual: Vec<Implausible> = limits::of_reading(quantity, value, known)
        .into_iter()
        .collect();
    unusual.extend(too_loose(Subject::Tolerance(quantity), tolerance, value));
    unusual
}

/// Returns what is unusual about the readings and the damage once the hole is to have a thread, and
/// was not for the thread before.
pub fn wanted(wanted: &WantedThread, record: &HoleRecord, face: &FaceRecord) -> Vec<Implausible> {
    let record = inherit(record, face);
    let before = Known::of(&record, face);
    let after = Known {
        thread: Some(wanted.thread),
        ..before.clone()
    };
    let all = |known: &Known| {
        let of_readings = record
            .readings
            .iter()
            .flat_map(|entry| reading(&entry.body, known));
        let of_damage = record
            .damage
            .0
            .iter()
            .flat_map(|entry| damage(&entry.body, known));
        of_readings.chain(of_damage).collect::<Vec<_>>()
    };
    let asked: Vec<Subject> = all(&before).iter().map(Implausible::subject).collect();
    let mut unusual = all(&after);
    unusual.retain(|one| !asked.contains(&one.subject()));
    unusual
}

/// Returns what is unusual about a face cut, planned or made.
pub fn face_cut(cut: Length, limits: &Limits) -> Option<Implausible> {
    let thickest = Limit::mm(limits.usual_face_cut_mm);
    limits::at_most(Subject::FaceCut, cut, thickest)
}

/// Returns what is unusual about the stock removed by all cuts of a face together.
pub fn cut_beyond_plan(planned: Option<Length>, in_all: Length) -> Option<Implausible> {
    let planned = planned.filter(|planned| in_all > *planned)?;
    Some(Implausible::BeyondPlan { planned, in_all })
}

/// Returns what is unusual about cutting a face while these holes are not measured.
pub fn facing_unmeasured(holes: Vec<u32>) -> Option<Implausible> {
    (!holes.is_empty()).then_some(Implausible::Unmeasured { holes })
}

/// `hole 3 is`, `holes 3, 5 and 9 are`.
fn numbered(holes: &[u32]) -> String {
    let verb = if holes.len() == 1 { "is" } else { "are" };
    format!("{} {verb}", hole_numbers(holes))
}

/// Returns `hole 3`, or `holes 3, 5 and 9`.
pub fn hole_numbers(holes: &[u32]) -> String {
    let numbers: Vec<String> = holes.iter().map(u32::to_string).collect();
    match numbers.split_last() {
        Some((last, [])) => format!("hole {last}"),
        Some((last, others)) => format!("holes {} and {last}", others.join(", ")),
        None => String::new(),
    }
}

/// Returns what is unusual about a damage description.
pub fn damage(damage: &Damage, known: &Known) -> Vec<Implausible> {
    let mut unusual = Vec::new();
    for (i, one) in damage.stations.iter().enumerate() {
        station(i, one, known, &mut unusual);
    }
    for (i, zone) in damage.hard.iter().enumerate() {
        let to = zone.span.to;
        unusual.extend(end(Subject::HardEnd(i), to, known));
        unusual.extend(too_loose(Subject::HardTolerance(i), zone.tolerance, to));
    }
    let tilt = damage.lean.as_ref().map(|lean| Tilt::degrees(lean.tilt));
    let most = known.limits.usual_lean_deg;
    let steep = tilt.filter(|degrees| *degrees > most);
    unusual.extend(steep.map(|degrees| Implausible::Lean { degrees, most }));
    let piece = damage.broken_tool.as_ref();
    unusual.extend(piece.and_then(|piece| broken_piece(piece, known)));
    unusual
}

fn station(i: usize, station: &Station, known: &Known, unusual: &mut Vec<Implausible>) {
    let widest = limits::widest_damage(known);
    let farthest = limits::farthest_damage(known);
    unusual.extend(end(Subject::StationEnd(i), station.span.to, known));
    let most = |subject, value: Option<Length>, limit| {
        value.and_then(|value| limits::at_most(subject, value, limit))
    };
    unusual.extend(most(Subject::Diameter(i), Some(station.diameter), widest));
    unusual.extend(most(Subject::LowerDiameter(i), station.to_diameter, widest));
    unusual.extend(most(Subject::Offset(i), Some(station.offset), farthest));
    unusual.extend(most(Subject::LowerOffset(i), station.to_offset, farthest));
    let diameter = station
        .diameter
        .max(station.to_diameter.unwrap_or_default());
    let offset = station.offset.max(station.to_offset.unwrap_or_default());
    unusual.extend(too_loose(
        Subject::DiameterTolerance(i),
        station.diameter_tolerance,
        diameter,
    ));
    // A circle that was read as on center may well be off by a little.
    unusual.extend(too_loose(
        Subject::OffsetTolerance(i),
        station.offset_tolerance,
        offset.max(diameter),
    ));
}

fn broken_piece(piece: &BrokenTool, known: &Known) -> Option<Implausible> {
    let length = piece.length?;
    let to = piece.top.unwrap_or(Length::ZERO) + length;
    end(Subject::PieceLength, to, known).map(|unusual| match unusual {
        // The sentence is about the piece itself where no depth says where it must end.
        Implausible::Large { subject, limit, .. } => Implausible::Large {
            subject,
            value: length,
            limit,
        },
        other => other,
    })
}

/// Returns what is unusual about how deep damage ends.
fn end(subject: Subject, to: Length, known: &Known) -> Option<Implausible> {
    match known.depth {
        Some(depth) if to > depth => Some(Implausible::BelowBottom { subject, to, depth }),
        Some(_) => None,
        None => limits::at_most(subject, to, limits::deepest(known)),
    }
}

fn too_loose(subject: Subject, tolerance: Option<Length>, value: Length) -> Option<Implausible> {
    let tolerance = tolerance.filter(|tolerance| tolerance.abs() >= value)?;
    Some(Implausible::ToleranceAboveValue {
        subject,
        tolerance,
        value,
    })
}

#[cfg(test)]
mod tests;
