//! The joint of a face as it is bolted up: what each bolt needs, what all are tightened to, in which
//! order, and the weakest part.

use super::tightening_order::{TighteningOrder, tightening_order};
use crate::hole::bolt_up::{BoltUp, JointBolt, JointHole, TorqueOutOfRange};
use crate::hole::plan::Plan;
use crate::hole::remedies::Assessment;
use crate::insert::Catalog;
use crate::length::Length;
use crate::notebook::{FaceId, FaceView, HoleView, Notebook, NotebookError};
use crate::strength::{FailureLoad, Lubrication, Torque};

/// A hole of a joint with its plan.
#[derive(Debug)]
pub struct BoltPlan {
    /// The hole.
    pub hole: HoleView,
    plan: Plan,
}

impl BoltPlan {
    /// Judges a hole by its remedy in force.
    fn of(hole: HoleView, catalog: &Catalog) -> BoltPlan {
        let plan = Plan::of_chosen(&hole.record, &hole.face_record, catalog);
        BoltPlan { hole, plan }
    }

    /// Returns the remedy in force as it is assessed now.
    pub fn assessment(&self) -> Option<&Assessment> {
        self.plan.chosen().or_else(|| self.plan.assessments.first())
    }

    /// Returns what the bolt clamps: part, gasket and washer.
    pub fn grip(&self) -> Option<Length> {
        self.plan.situation.as_ref().ok()?.grip
    }

    /// Returns its torque; `None` if the bolt's grade or the metal's strength is not known.
    pub fn torque(&self, lubrication: Lubrication) -> Option<Torque> {
        let grade = self.plan.situation.as_ref().ok()?.bolt;
        self.assessment()?.torque(grade, lubrication)
    }

    /// Returns the part of the joint that fails first at this hole.
    pub fn weakest(&self) -> Option<&FailureLoad> {
        let failure = self.assessment()?.failure.as_ref()?;
        let loads = failure.loads.iter();
        loads.min_by(|one, other| one.load_n.total_cmp(&other.load_n))
    }
}

/// A joint with the plans of its bolts.
#[derive(Debug)]
pub struct JointPlan {
    /// The face.
    pub face: FaceView,
    /// The bolts, by the numbers of their holes.
    pub bolts: Vec<BoltPlan>,
    /// How far the joint is.
    pub up: BoltUp,
    /// The order of tightening.
    pub order: TighteningOrder,
    /// How the bolts are lubricated.
    pub lubrication: Lubrication,
    /// The full torque of all bolts in newton meters, with the number of the hole that sets it: all
    /// bolts of a joint are tightened alike, so the least counts. `None` if any is unknown.
    pub full: Option<(f64, u32)>,
}

impl JointPlan {
    /// Returns the bolts in the order of tightening.
    pub fn ordered(&self) -> impl Iterator<Item = (&BoltPlan, &JointBolt)> {
        self.order.holes.iter().filter_map(|id| {
            let bolt = self.bolts.iter().find(|bolt| bolt.hole.id == *id)?;
            let up = self.up.bolts.iter().find(|bolt| bolt.hole == *id)?;
            Some((bolt, up))
        })
    }

    /// Returns the recorded torques outside the range for the lubrication recorded with them.
    pub fn torques_out_of_range(&self) -> Vec<TorqueOutOfRange> {
        let full = |lubrication| full_torque(&self.bolts, lubrication);
        let full_nm = |lubrication| full(lubrication).map(|(nm, _)| nm);
        self.up.torques_out_of_range(full_nm)
    }

    /// Returns the weakest part of the whole joint, and its bolt.
    pub fn weakest(&self) -> Option<(&BoltPlan, &FailureLoad)> {
        let all = self.bolts.iter();
        let all = all.filter_map(|bolt| Some((bolt, bolt.weakest()?)));
        all.min_by(|(_, one), (_, other)| one.load_n.total_cmp(&other.load_n))
    }
}

impl Notebook {
    /// Works out the joint of a face for bolts that are lubricated in one way; `None`: as the bolts
    /// that are tightened are recorded, or else [`Lubrication::USUAL`]. The cost grows with the holes
    /// of the face.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is no such face; also if the notebook cannot be read.
    pub fn joint_plan(
        &self,
        face: FaceId,
        lubrication: Option<Lubrication>,
    ) -> Result<JointPlan, NotebookError> {
        let face = self.face(face)?;
        let catalog = self.catalog()?;
        let holes = face.holes.iter().map(|hole| self.hole(hole.id));
        let holes: Vec<HoleView> = holes.collect::<Result<_, _>>()?;
        let joint: Vec<JointHole<'_>> = holes.iter().map(HoleView::in_joint).collect();
        let up = BoltUp::of(&joint, &face.record);
        let bolts = holes.into_iter().map(|hole| BoltPlan::of(hole, &catalog));
        let bolts: Vec<BoltPlan> = bolts.collect();
        let lubrication = lubrication.or_else(|| up.lubrication());
        let lubrication = lubrication.unwrap_or(Lubrication::USUAL);
        Ok(JointPlan {
            full: full_torque(&bolts, lubrication),
            order: tightening_order(&face),
            face,
            bolts,
            up,
            lubrication,
        })
    }
}

fn full_torque(bolts: &[BoltPlan], lubrication: Lubrication) -> Option<(f64, u32)> {
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
