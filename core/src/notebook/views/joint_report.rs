//! The numbers of a joint, without what they were judged from.

use super::joint::JointPlan;
use crate::hole::bolt_up::{BoltPass, LubricatedBolts, TorqueOutOfRange, pass_range};
use crate::id::HoleId;
use crate::length::Length;
use crate::notebook::OrderedBy;
use crate::strength::bolt::BoltLength;
use crate::strength::{FailureLoad, Lubrication, Torque};

/// What the bolts of a joint need, and what all are tightened to.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct JointReport {
    /// How the bolts are lubricated: the torques are for that alone.
    pub lubrication: Lubrication,
    /// The full torque of all bolts; `None` if any is unknown.
    pub full: Option<FullTorque>,
    /// What each pass aims for, in order; empty if the full torque is unknown.
    pub passes: Vec<PassTorque>,
    /// The weakest part of the joint; `None` if no part's load is known.
    pub weakest: Option<WeakestPart>,
    /// What the order of the bolts goes by.
    pub ordered_by: OrderedBy,
    /// The bolts in the order of tightening.
    pub bolts: Vec<BoltReport>,
    /// The tightened bolts by the lubrication recorded with them: more than one if they were not
    /// lubricated alike.
    pub by_lubrication: Vec<LubricatedBolts>,
    /// The recorded torques outside the range for the lubrication recorded with them.
    pub out_of_range: Vec<TorqueOutOfRange>,
}

/// The torque that all bolts of a joint are tightened to.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct FullTorque {
    /// The torque in newton meters.
    pub nm_torque: f64,
    /// The number of the hole that sets it: the one that takes the least.
    pub set_by: u32,
}

/// The torque of one pass.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct PassTorque {
    /// The pass.
    pub pass: BoltPass,
    /// What to set the wrench to, in newton meters.
    pub aim_nm_torque: f64,
    /// The least torque of its range, in newton meters.
    pub least_nm_torque: f64,
    /// The most torque of its range, in newton meters.
    pub most_nm_torque: f64,
}

/// The part of a joint that fails first.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct WeakestPart {
    /// The number of its hole.
    pub hole: u32,
    /// What fails, and at which load.
    pub load: FailureLoad,
}

/// What one bolt of a joint needs.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct BoltReport {
    /// The hole.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// What the bolt clamps: part, gasket and washer; `None` if not measured.
    pub grip: Option<Length>,
    /// The lengths that engage fully and do not bottom; `None` if the grip is not measured.
    pub length: Option<BoltLength>,
    /// The length of intact thread that it engages; `None` if unknown.
    pub engaged: Option<Length>,
    /// The torque of this bolt alone; `None` if its grade or the metal's strength is not known.
    pub torque: Option<Torque>,
    /// What fails first at this hole; `None` if unknown.
    pub weakest: Option<FailureLoad>,
}

impl JointPlan {
    /// Returns the numbers of the joint.
    pub fn report(&self) -> JointReport {
        let bolts = self.ordered().map(|(bolt, _)| {
            let assessment = bolt.assessment();
            BoltReport {
                hole: bolt.hole.id,
                number: bolt.hole.number,
                grip: bolt.grip(),
                length: assessment.and_then(|it| it.bolt.clone()),
                engaged: assessment.and_then(|it| it.effective_engagement),
                torque: bolt.torque(self.lubrication),
                weakest: bolt.weakest().cloned(),
            }
        });
        let full = self
            .full
            .map(|(nm_torque, set_by)| FullTorque { nm_torque, set_by });
        let pass = |pass: BoltPass, full: FullTorque| {
            let (least_nm_torque, most_nm_torque) = pass_range(full.nm_torque, pass);
            PassTorque {
                pass,
                aim_nm_torque: full.nm_torque * pass.share(),
                least_nm_torque,
                most_nm_torque,
            }
        };
        let passes = BoltPass::ALL.into_iter();
        let passes = passes.filter_map(|it| Some(pass(it, full?)));
        JointReport {
            lubrication: self.lubrication,
            full,
            passes: passes.collect(),
            weakest: self.weakest().map(|(bolt, load)| WeakestPart {
                hole: bolt.hole.number,
                load: load.clone(),
            }),
            ordered_by: self.order.by,
            bolts: bolts.collect(),
            by_lubrication: self.up.by_lubrication(),
            out_of_range: self.torques_out_of_range(),
        }
    }
}
