//! Strength checks: the thread in the parent metal against a sound hole and against the bolt.

use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use crate::hole::situation::Situation;
use crate::length::Length;
use crate::strength::{
    MetalKind, ShearBasis, bolt_strength_n, parent_strength_n, sound_strength_n,
};
use std::borrow::Cow;

const BREAKS: &str =
    "the load that breaks the bolt: stress area times minimum tensile strength (FED-STD-H28/2B)";

/// Returns the source of the preferred strength for a metal: a sound hole.
const fn sound_hole_source(kind: MetalKind) -> &'static str {
    match kind {
        MetalKind::Gray => {
            "a sound hole for this bolt with 1.5 diameters of thread (rule of the trade for cast iron, secondary source), by FED-STD-H28/2B (2a)"
        }
        MetalKind::Ductile => {
            "a sound hole for this bolt with 1.5 diameters of thread (as for gray iron, judgment), by FED-STD-H28/2B (2a)"
        }
        MetalKind::Aluminum => {
            "a sound hole for this bolt with 2 diameters of thread (rule of the trade for aluminum, secondary source), by FED-STD-H28/2B (2a)"
        }
        MetalKind::Steel => {
            "a sound hole for this bolt with 1 diameter of thread (rule of the trade for steel, secondary source), by FED-STD-H28/2B (2a)"
        }
    }
}

/// Source of a limit.
type Source = Cow<'static, str>;

/// Loads that the joint of a candidate holds, in newtons.
pub(super) struct Strengths {
    /// Per millimeter of whole thread in the parent metal.
    pub per_mm_n: f64,
    /// Thread in the parent metal; `None` if the damage is unknown.
    pub parent_n: Option<f64>,
    /// What that could be as low as.
    pub parent_floor_n: Option<f64>,
    /// Sound hole for the wanted bolt in the same metal: see [`sound_strength_n`].
    pub sound_n: f64,
    /// Bolt; `None` if its grade is unknown or does not cover the size.
    pub bolt_n: Option<f64>,
}

impl Strengths {
    pub fn of(
        situation: &Situation,
        candidate: &Candidate,
        effective: Option<Length>,
    ) -> Strengths {
        let (metal, basis) = (situation.metal, situation.shear_basis());
        let area = counted_area_mm2_per_mm(candidate);
        let strips = |basis| effective.map(|length| parent_strength_n(area, length, metal, basis));
        Strengths {
            per_mm_n: area * metal.shear_strength_mpa(basis),
            parent_n: strips(basis),
            parent_floor_n: strips(ShearBasis::Floor),
            sound_n: sound_strength_n(&situation.thread, metal, basis),
            bolt_n: situation
                .bolt
                .and_then(|grade| bolt_strength_n(&candidate.bolt, &grade).ok()),
        }
    }

    /// Returns parent strength over the strength of a sound hole in the same metal.
    pub fn sound_ratio(&self) -> Option<f64> {
        Some(self.parent_n? / self.sound_n)
    }

    /// Returns parent strength over bolt strength.
    pub fn ratio(&self) -> Option<f64> {
        Some(self.parent_n? / self.bolt_n?)
    }

    /// Appends the checks of engagement and strength, required and preferred.
    pub fn checks(
        &self,
        situation: &Situation,
        effective: Option<Length>,
        checks: &mut Vec<Check>,
    ) {
        let share = situation.limits().strength_share().times(self.sound_n);
        let (must, must_from) = self.capped_at_bolt(share.value, share.from);
        let sound = sound_hole_source(situation.metal.kind());
        let (preferred, preferred_from) = self.capped_at_bolt(self.sound_n, sound.into());
        let length = must / self.per_mm_n;
        let engaged = effective.map(Length::mm);
        let strength_checks = [
            Check::least(
                "effective engagement",
                "mm",
                (engaged, length),
                Weight::Must,
                must_from.clone(),
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
                (self.parent_n, preferred),
                Weight::Preferred,
                preferred_from,
            ),
        ];
        checks.extend(
            strength_checks.map(|check| {
                waiting_for_face_cut(situation, waiting_for_reading(situation, check))
            }),
        );
    }

    /// Returns the load and its source, or the bolt's load where that is less: no thread needs to
    /// hold more than its bolt.
    fn capped_at_bolt(&self, load: f64, from: Source) -> (f64, Source) {
        match self.bolt_n {
            Some(bolt) if bolt < load => (bolt, BREAKS.into()),
            _ => (load, from),
        }
    }
}

/// Returns the shear area of the parent metal per millimeter engaged.
///
/// An area published for an insert holds for its whole length in a sound wall. Spread over that
/// length, it shrinks with the thread left.
fn counted_area_mm2_per_mm(candidate: &Candidate) -> f64 {
    let (from, to) = candidate.engaged;
    let formula = candidate.area_mm2_per_mm;
    candidate
        .published_area_mm2
        .map_or(formula, |area| formula.min(area / (to - from).mm()))
}

/// Returns the check without a result where the face cut is unknown: strength depends on where the
/// thread starts, which is the finished face.
fn waiting_for_face_cut(situation: &Situation, check: Check) -> Check {
    if situation.face_cut.is_none() && check.missing.is_none() {
        check.waiting_for(MissingReading::FaceCut)
    } else {
        check
    }
}

/// Returns the check with its missing reading where it has no result: the damage, or else the
/// depth.
pub(super) fn waiting_for_reading(situation: &Situation, check: Check) -> Check {
    let missing = if situation.damage_described {
        MissingReading::Depth
    } else {
        MissingReading::Damage
    };
    if check.passes.is_none() {
        check.waiting_for(missing)
    } else {
        check
    }
}
