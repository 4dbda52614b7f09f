//! What a hole inherits from the setup of its face.
//!
//! The hole's entries come first: it inherits the usual thread if it has no wanted thread, and each
//! usual value that nobody measured at the hole. An inherited value keeps the place of the face's
//! entry in the journal, so that work that rests on it is judged as if it were the hole's own.

use super::face_setup::USUAL_QUANTITIES;
use super::record::{FaceRecord, HoleRecord, Quantity, Remedy};
use super::remedies::{Assessment, Check, Weight, assess_chosen};
use super::situation::{Situation, TolerancedReading};
use crate::insert::Catalog;
use crate::length::Length;
use std::borrow::Cow;

/// Returns a hole's record with what it inherits from its face.
pub fn inherit<'r>(record: &'r HoleRecord, face: &FaceRecord) -> Cow<'r, HoleRecord> {
    let setup = &face.setup;
    let mut whole = Cow::Borrowed(record);
    if record.wanted.0.is_empty() && !setup.thread.0.is_empty() {
        whole.to_mut().wanted = setup.thread.clone();
    }
    for quantity in USUAL_QUANTITIES {
        let mut own = record.readings.iter();
        let is_measured = own.any(|reading| reading.body.quantity == quantity);
        // The floor of the blind holes is not that of a hole that goes through.
        let does_not_apply = quantity == Quantity::Floor && goes_through(&whole);
        if !is_measured && !does_not_apply {
            for usual in setup.usual(quantity) {
                whole.to_mut().readings.push(usual.clone());
            }
        }
    }
    whole
}

fn goes_through(record: &HoleRecord) -> bool {
    let mut wanted = record.wanted.0.iter();
    wanted.any(|wanted| wanted.body.through == Some(true))
}

/// What a hole inherits.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default)]
pub struct Inherited {
    /// Whether its wanted thread is the face's usual one.
    pub thread: bool,
    /// The quantities whose value is the face's usual one.
    pub readings: Vec<Quantity>,
}

impl Inherited {
    /// Returns what of a record comes from the face; `record` is the one that [`inherit`] returns.
    pub fn of(record: &HoleRecord, face: &FaceRecord) -> Inherited {
        let is_usual = |quantity: &Quantity| {
            let mut readings = record.readings.iter();
            let of_face = |entry| face.setup.gave(entry);
            readings.any(|reading| reading.body.quantity == *quantity && of_face(reading.entry))
        };
        let mut threads = record.wanted.0.iter();
        Inherited {
            thread: threads.any(|wanted| face.setup.gave(wanted.entry)),
            readings: USUAL_QUANTITIES.into_iter().filter(is_usual).collect(),
        }
    }
}

/// A usual value that required checks of a remedy rest on: nobody measured it at the hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct UnmeasuredBasis {
    /// What to measure.
    pub quantity: Quantity,
    /// Names of the required checks that would be unknown without it.
    pub checks: Vec<String>,
}

/// Returns the usual values that the required checks of a remedy rest on, if it cuts metal. A hole
/// that is left as is rests on them too, and loses nothing if they are wrong.
pub fn unmeasured_bases(
    inherited: &Inherited,
    situation: &Situation,
    assessment: &Assessment,
    catalog: &Catalog,
) -> Vec<UnmeasuredBasis> {
    if !cuts_metal(assessment.remedy) {
        return Vec::new();
    }
    let spec = assessment.spec();
    let of = |quantity: &Quantity| {
        let mut without = situation.clone();
        without.set_reading(toleranced(*quantity)?, None, Length::ZERO);
        let judged = assess_chosen(&without, catalog, &spec);
        let checks = judged.as_ref().map_or(&[][..], |judged| &judged.checks);
        let rests = assessment.checks.iter().filter(|check| {
            check.weight == Weight::Must && is_known(check) && !is_known_in(checks, check)
        });
        let checks: Vec<String> = rests.map(|check| check.check.to_owned()).collect();
        (!checks.is_empty()).then_some(UnmeasuredBasis {
            quantity: *quantity,
            checks,
        })
    };
    inherited.readings.iter().filter_map(of).collect()
}

/// Returns whether a remedy takes metal from the casting.
pub const fn cuts_metal(remedy: Remedy) -> bool {
    !matches!(
        remedy,
        Remedy::Leave | Remedy::LongerBolt | Remedy::Specialist
    )
}

fn is_known(check: &Check) -> bool {
    check.passes.is_some()
}

fn is_known_in(checks: &[Check], check: &Check) -> bool {
    let mut same = checks.iter().filter(|other| other.check == check.check);
    same.any(is_known)
}

/// The usual quantities that required checks look at. The grip only decides how long the bolt is.
const fn toleranced(quantity: Quantity) -> Option<TolerancedReading> {
    Some(match quantity {
        Quantity::Depth => TolerancedReading::Depth,
        Quantity::Floor => TolerancedReading::Floor,
        Quantity::NearestEdge => TolerancedReading::NearestEdge,
        Quantity::NearestHole => TolerancedReading::NearestHole,
        Quantity::MatingHole => TolerancedReading::MatingHole,
        _ => return None,
    })
}

#[cfg(test)]
mod tests;
