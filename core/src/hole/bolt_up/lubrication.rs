//! Whether the bolts of a joint were lubricated alike, and whether their recorded torques are within
//! the range for the lubrication recorded with them. The one chosen for viewing does not count, and
//! nothing is assumed where none is recorded.

use super::{BoltPass, BoltUp, PassDone, pass_range};
use crate::strength::Lubrication;

/// Bolts that are recorded with the same lubrication.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct LubricatedBolts {
    /// How they were lubricated.
    pub lubrication: Lubrication,
    /// The numbers of their holes.
    pub holes: Vec<u32>,
}

/// Recorded torques outside the range of a pass for the lubrication recorded with them.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct TorqueOutOfRange {
    /// The pass.
    pub pass: BoltPass,
    /// How the bolts were lubricated.
    pub lubrication: Lubrication,
    /// The least torque of the range, in newton meters.
    pub least_nm_torque: f64,
    /// The most torque of the range, in newton meters.
    pub most_nm_torque: f64,
    /// The torques outside it.
    pub outside: Vec<RecordedTorque>,
}

/// The torque that is recorded of one bolt.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq)]
pub struct RecordedTorque {
    /// The number of its hole.
    pub hole: u32,
    /// The torque in newton meters.
    pub nm_torque: f64,
}

impl BoltUp {
    /// Returns the bolts by the lubrication recorded with the passes that count. A bolt that is
    /// recorded with two is listed under both.
    pub fn by_lubrication(&self) -> Vec<LubricatedBolts> {
        let all = Lubrication::ALL.into_iter().map(|lubrication| {
            let is_it = |done: &PassDone| done.lubrication == Some(lubrication);
            let bolts = self.bolts.iter();
            let holes = bolts.filter(|bolt| bolt.done.iter().any(is_it));
            LubricatedBolts {
                lubrication,
                holes: holes.map(|bolt| bolt.number).collect(),
            }
        });
        all.filter(|it| !it.holes.is_empty()).collect()
    }

    /// Returns the one lubrication that is recorded with the passes that count; `None` if none is
    /// recorded, or several are.
    pub fn lubrication(&self) -> Option<Lubrication> {
        match &self.by_lubrication()[..] {
            [only] => Some(only.lubrication),
            _ => None,
        }
    }

    /// Returns the recorded torques outside their range, by pass. `full_nm` gives the full torque of
    /// the joint for a lubrication in newton meters; where it is unknown, or no lubrication is
    /// recorded, nothing is judged.
    pub fn torques_out_of_range(
        &self,
        full_nm: impl Fn(Lubrication) -> Option<f64>,
    ) -> Vec<TorqueOutOfRange> {
        let known = Lubrication::ALL.map(|it| (it, full_nm(it)));
        let judged = BoltPass::ALL.into_iter().flat_map(|pass| {
            let known = known.into_iter();
            known.filter_map(move |(it, full_nm)| Some(self.out_of_range(pass, it, full_nm?)))
        });
        judged.filter(|it| !it.outside.is_empty()).collect()
    }

    fn out_of_range(
        &self,
        pass: BoltPass,
        lubrication: Lubrication,
        full_nm: f64,
    ) -> TorqueOutOfRange {
        let (least, most) = pass_range(full_nm, pass);
        let outside = self.bolts.iter().filter_map(|bolt| {
            let is_it = |it: &&PassDone| it.pass == pass && it.lubrication == Some(lubrication);
            let nm_torque = bolt.done.iter().find(is_it)?.torque_nm?;
            (!(least..=most).contains(&nm_torque)).then_some(RecordedTorque {
                hole: bolt.number,
                nm_torque,
            })
        });
        TorqueOutOfRange {
            pass,
            lubrication,
            least_nm_torque: least,
            most_nm_torque: most,
            outside: outside.collect(),
        }
    }
}
