//! What the thread in the iron holds, against what a sound hole would hold and what breaks the bolt.

use super::candidate::Candidate;
use super::check::{Check, Lack, Weight};
use crate::hole::situation::Situation;
use crate::length::Length;
use crate::strength::{
    Kind, Metal, bolt_strength_n, parent_strength_n, tapped_shear_area_mm2_per_mm,
};

const BREAKS: &str =
    "the load that breaks the bolt: stress area times least tensile strength (FED-STD-H28/2B)";

/// What a sound hole in a metal is measured by, and half of it.
const fn sound_from(kind: Kind) -> (&'static str, &'static str) {
    match kind {
        Kind::Gray => (
            "a sound hole for this bolt with 1.5 diameters of thread (rule of the trade for cast iron, secondary source), by FED-STD-H28/2B (2a)",
            "half of what a sound hole with 1.5 diameters of thread holds (judgement)",
        ),
        Kind::Ductile => (
            "a sound hole for this bolt with 1.5 diameters of thread (as for gray iron, judgement), by FED-STD-H28/2B (2a)",
            "half of what a sound hole with 1.5 diameters of thread holds (judgement)",
        ),
        Kind::Aluminium => (
            "a sound hole for this bolt with 2 diameters of thread (rule of the trade for aluminium, secondary source), by FED-STD-H28/2B (2a)",
            "half of what a sound hole with 2 diameters of thread holds (judgement)",
        ),
        Kind::Steel => (
            "a sound hole for this bolt with 1 diameter of thread (rule of the trade for steel, secondary source), by FED-STD-H28/2B (2a)",
            "half of what a sound hole with 1 diameter of thread holds (judgement)",
        ),
    }
}

/// Loads in newtons.
pub(super) struct Holds {
    /// What each millimetre of whole thread in the iron holds.
    pub per_mm_n: f64,
    /// The thread in the iron; `None` where nobody looked what is missing.
    pub parent_n: Option<f64>,
    /// A sound hole for the wanted bolt: see [`sound_length`].
    pub sound_n: f64,
    /// The bolt; `None` where its grade is not known or does not cover the size.
    pub bolt_n: Option<f64>,
}

/// Length of thread that a sound hole in a metal has for a bolt: 1.5 diameters in iron, 2 in aluminium, 1 in steel.
pub(super) fn sound_length(nominal: Length, metal: Metal) -> Length {
    let (halves, _) = metal.kind().sound_half_diameters();
    nominal * halves / 2
}

impl Holds {
    pub fn of(situation: &Situation, candidate: &Candidate, effective: Option<Length>) -> Holds {
        let metal = situation.metal;
        let area = counted_area_mm2_per_mm(candidate);
        let sound_area = tapped_shear_area_mm2_per_mm(&situation.thread);
        Holds {
            per_mm_n: area * metal.shear_strength_mpa(),
            parent_n: effective.map(|length| parent_strength_n(area, length, metal)),
            sound_n: parent_strength_n(
                sound_area,
                sound_length(situation.thread.nominal(), metal),
                metal,
            ),
            bolt_n: situation
                .bolt
                .and_then(|grade| bolt_strength_n(&candidate.bolt, &grade).ok()),
        }
    }

    pub fn ratio(&self) -> Option<f64> {
        Some(self.parent_n? / self.bolt_n?)
    }

    /// Strength and engagement against what must hold and what is better.
    pub fn checks(
        &self,
        situation: &Situation,
        effective: Option<Length>,
        checks: &mut Vec<Check>,
    ) {
        let (sound, half) = sound_from(situation.metal.kind());
        let (must, must_from) = self.or_bolt(self.sound_n / 2.0, half);
        let (better, better_from) = self.or_bolt(self.sound_n, sound);
        let length = must / self.per_mm_n;
        let engaged = effective.map(Length::mm);
        let answers = [
            Check::least(
                "effective engagement",
                "mm",
                (engaged, length),
                Weight::Must,
                must_from,
            ),
            Check::least(
                "holding strength",
                "N",
                (self.parent_n, must),
                Weight::Must,
                must_from,
            ),
            Check::least(
                "holding strength, preferred",
                "N",
                (self.parent_n, better),
                Weight::Preferred,
                better_from,
            ),
        ];
        checks.extend(answers.map(|check| or_uncut(situation, or_unread(situation, check))));
    }

    /// No thread needs to hold more than breaks the bolt.
    fn or_bolt(&self, load: f64, from: &'static str) -> (f64, &'static str) {
        match self.bolt_n {
            Some(bolt) if bolt < load => (bolt, BREAKS),
            _ => (load, from),
        }
    }
}

/// Shear area of the iron for each millimetre engaged. Where an area is published for the insert, it belongs to its whole length
/// in a whole wall: spread over that length it also shrinks with what the damage takes.
fn counted_area_mm2_per_mm(candidate: &Candidate) -> f64 {
    let (from, to) = candidate.engaged;
    let formula = candidate.area_mm2_per_mm;
    candidate
        .published_area_mm2
        .map_or(formula, |area| formula.min(area / (to - from).mm()))
}

/// What the thread holds hangs on where it starts, which is the finished face.
fn or_uncut(situation: &Situation, check: Check) -> Check {
    if situation.face_cut.is_none() && check.lacks.is_none() {
        check.waiting_for(Lack::FaceCut)
    } else {
        check
    }
}

/// A check that could not be answered waits for the damage, or else for the depth.
pub(super) fn or_unread(situation: &Situation, check: Check) -> Check {
    let lack = if !situation.damage_read {
        Lack::Damage
    } else {
        Lack::Depth
    };
    if check.passes.is_none() {
        check.waiting_for(lack)
    } else {
        check
    }
}
