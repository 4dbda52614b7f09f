//! What a joint is tightened to: bolts, torque and the weakest part.

use holebook_core::hole::plan::Plan;
use holebook_core::hole::remedies::Assessment;
use holebook_core::insert::Catalog;
use holebook_core::length::Length;
use holebook_core::notebook::HoleView;
use holebook_core::strength::{FailureLoad, Lubrication, Torque};

/// A hole with its plan.
pub struct Bolt {
    /// The hole.
    pub hole: HoleView,
    plan: Plan,
}

impl Bolt {
    /// Judges a hole by its remedy in force.
    pub fn of(hole: HoleView, catalog: &Catalog) -> Bolt {
        let plan = Plan::of_chosen(&hole.record, &hole.face_record, catalog);
        Bolt { hole, plan }
    }

    /// The remedy in force as it is assessed now.
    pub fn assessment(&self) -> Option<&Assessment> {
        self.plan.chosen().or_else(|| self.plan.assessments.first())
    }

    /// What the bolt clamps: part, gasket and washer.
    pub fn grip(&self) -> Option<Length> {
        self.plan.situation.as_ref().ok()?.grip
    }

    /// Its torque; `None` if the bolt's grade or the metal's strength is not known.
    pub fn torque(&self, lubrication: Lubrication) -> Option<Torque> {
        let grade = self.plan.situation.as_ref().ok()?.bolt;
        self.assessment()?.torque(grade, lubrication)
    }

    /// The part of the joint that fails first at this hole.
    pub fn weakest(&self) -> Option<&FailureLoad> {
        let failure = self.assessment()?.failure.as_ref()?;
        let loads = failure.loads.iter();
        loads.min_by(|one, other| one.load_n.total_cmp(&other.load_n))
    }
}

/// The full torque of the joint in newton meters, with the number of the hole that sets it: all bolts
/// of a joint are tightened alike, so the least counts. `None` if any is unknown.
pub fn full_torque(bolts: &[Bolt], lubrication: Lubrication) -> Option<(f64, u32)> {
    let torques = bolts.iter().map(|bolt| {
        let torque = bolt.torque(lubrication)?;
        Some((torque.usual_nm_torque, bolt.hole.number))
    });
    let torques: Vec<(f64, u32)> = torques.collect::<Option<_>>()?;
    let mut torques = torques.into_iter();
    let first = torques.next()?;
    Some(torques.fold(first, |least, other| match other.0 < least.0 {
        true => other,
        false => least,
    }))
}
