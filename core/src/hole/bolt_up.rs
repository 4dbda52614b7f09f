//! Bolting up a joint: which passes are done, and whether it counts as bolted up.
//!
//! Law: a joint is bolted up only if every hole of it passed and every bolt was tightened through
//! every pass by somebody who knew all that its holes rest on. Work that is recorded later on any
//! hole of the joint takes the joint back: to do it, the part came off.

mod lubrication;

pub use lubrication::{LubricatedBolts, RecordedTorque, TorqueOutOfRange};

use super::record::{FaceRecord, HoleRecord, Recorded};
use super::stage::{HoleStatus, Stage};
use crate::id::{EntryId, HoleId, Seen};
use crate::strength::Lubrication;
use serde::{Deserialize, Serialize};

/// A pass over the bolts of a joint. The shares of the full torque are common practice, no source;
/// the machine's manual overrides them.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum BoltPass {
    /// Three tenths of the full torque.
    First,
    /// Six tenths of the full torque.
    Second,
    /// The full torque.
    Full,
    /// The full torque once more, until no bolt turns.
    Again,
    /// The check after the first warm-up, cold again: the full torque once more.
    WarmUp,
}

impl BoltPass {
    /// All passes, in order.
    pub const ALL: [BoltPass; 5] = [
        BoltPass::First,
        BoltPass::Second,
        BoltPass::Full,
        BoltPass::Again,
        BoltPass::WarmUp,
    ];

    /// Returns the passes that a joint needs to count as bolted up; the check after the first warm-up
    /// comes later.
    pub fn needed() -> impl Iterator<Item = BoltPass> {
        let all = BoltPass::ALL.into_iter();
        all.filter(|pass| *pass != BoltPass::WarmUp)
    }

    /// Returns its share of the full torque.
    pub const fn share(self) -> f64 {
        match self {
            BoltPass::First => 0.3,
            BoltPass::Second => 0.6,
            BoltPass::Full | BoltPass::Again | BoltPass::WarmUp => 1.0,
        }
    }

    /// Returns its name in the journal and in forms.
    pub const fn name(self) -> &'static str {
        match self {
            BoltPass::First => "first",
            BoltPass::Second => "second",
            BoltPass::Full => "full",
            BoltPass::Again => "again",
            BoltPass::WarmUp => "warm-up",
        }
    }

    /// Returns what people read.
    pub const fn label(self) -> &'static str {
        match self {
            BoltPass::First => "first pass",
            BoltPass::Second => "second pass",
            BoltPass::Full => "full torque",
            BoltPass::Again => "once around again",
            BoltPass::WarmUp => "after the first warm-up",
        }
    }

    /// Returns the pass with a name.
    pub fn from_name(name: &str) -> Option<BoltPass> {
        BoltPass::ALL.into_iter().find(|it| it.name() == name)
    }
}

/// A bolt was tightened in one pass.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoltTightened {
    /// The pass.
    pub pass: BoltPass,
    /// Torque, newton meters; `None`: not measured.
    #[serde(default)]
    pub torque_nm: Option<f64>,
    /// Reason for a torque outside the range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// How the bolt was lubricated, on which the torque depends; `None`: not recorded.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lubrication: Option<Lubrication>,
}

/// A hole of a joint, with what is recorded about it.
#[derive(Debug, Clone, Copy)]
pub struct JointHole<'a> {
    /// The hole.
    pub id: HoleId,
    /// Its number.
    pub number: u32,
    /// Its active entries.
    pub record: &'a HoleRecord,
    /// Its status.
    pub status: &'a HoleStatus,
    /// Whether anything about it is in conflict.
    pub conflict: bool,
}

/// A pass that was done at one bolt.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct PassDone {
    /// The pass.
    pub pass: BoltPass,
    /// The entry.
    pub entry: EntryId,
    /// Torque, newton meters; `None`: not measured.
    pub torque_nm: Option<f64>,
    /// How the bolt was lubricated; `None`: not recorded.
    pub lubrication: Option<Lubrication>,
    /// The person.
    pub by: String,
}

/// One bolt of a joint.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct JointBolt {
    /// The hole.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// Whether the hole is open: it has not passed, or it is in conflict.
    pub open: bool,
    /// The passes that are done and count, in order.
    pub done: Vec<PassDone>,
    /// Whether it was tightened before something that it rests on, so that it starts again.
    pub again: bool,
}

/// How far a joint is bolted up.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct BoltUp {
    /// Its bolts, by the numbers of their holes.
    pub bolts: Vec<JointBolt>,
    /// Whether every hole passed and every bolt went through every pass.
    pub bolted_up: bool,
    /// Whether every bolt was checked after the first warm-up too.
    pub checked_warm: bool,
    /// The pass that is next; `None` if no hole may be tightened, or all is done.
    pub next: Option<BoltPass>,
}

impl BoltUp {
    /// Works out how far a joint is, by all active entries about its holes and its face.
    pub fn of(holes: &[JointHole<'_>], face: &FaceRecord) -> BoltUp {
        let rests_on = latest(holes, face);
        let bolts: Vec<JointBolt> = holes.iter().map(|hole| bolt(hole, &rests_on)).collect();
        let all_passed = !bolts.is_empty() && bolts.iter().all(|bolt| !bolt.open);
        let is_done = |pass| bolts.iter().all(|bolt| bolt.has(pass));
        let bolted_up = all_passed && BoltPass::needed().all(is_done);
        let next = BoltPass::ALL.into_iter().find(|pass| !is_done(*pass));
        BoltUp {
            bolted_up,
            checked_warm: bolted_up && is_done(BoltPass::WarmUp),
            next: next.filter(|_| all_passed),
            bolts,
        }
    }

    /// Returns the numbers of the holes that are open.
    pub fn open_holes(&self) -> Vec<u32> {
        let open = self.bolts.iter().filter(|bolt| bolt.open);
        open.map(|bolt| bolt.number).collect()
    }
}

impl JointBolt {
    /// Returns whether a pass is done and counts.
    pub fn has(&self, pass: BoltPass) -> bool {
        self.done.iter().any(|done| done.pass == pass)
    }
}

/// Returns the last entry of each device that the joint rests on. Whoever knows it knows all before
/// it.
fn latest(holes: &[JointHole<'_>], face: &FaceRecord) -> Vec<Seen> {
    let mut all: Vec<Seen> = Vec::new();
    all.extend(face.planned_cut.0.iter().map(Recorded::position));
    all.extend(face.milled.iter().map(Recorded::position));
    for hole in holes {
        all.extend(hole.record.bolt_rests_on());
    }
    let mut last: Vec<Seen> = Vec::new();
    for seen in all {
        match last.iter_mut().find(|other| other.device == seen.device) {
            Some(other) => other.seq = other.seq.max(seen.seq),
            None => last.push(seen),
        }
    }
    last
}

impl HoleRecord {
    /// Returns whether its bolt was tightened after the last work on this hole and its face, so that
    /// the right bolt is at hand: it is in.
    pub fn bolt_is_in(&self, face: &FaceRecord) -> bool {
        let cuts = face.planned_cut.0.iter().map(Recorded::position);
        let cuts = cuts.chain(face.milled.iter().map(Recorded::position));
        let rests_on: Vec<Seen> = cuts.chain(self.bolt_rests_on()).collect();
        let knows_all = |it: &Recorded<BoltTightened>| rests_on.iter().all(|fact| it.knows(*fact));
        self.tightened.iter().any(knows_all)
    }

    /// Returns the places of all work on the hole that its bolt rests on. Readings, checks and notes
    /// can be taken with the bolt in.
    fn bolt_rests_on(&self) -> Vec<Seen> {
        fn all<T>(entries: &[Recorded<T>]) -> impl Iterator<Item = Seen> {
            entries.iter().map(Recorded::position)
        }
        let decided = all(&self.wanted.0)
            .chain(all(&self.damage.0))
            .chain(all(&self.choice.0));
        let worked = all(&self.cuts)
            .chain(all(&self.trial_fits))
            .chain(all(&self.installs))
            .chain(all(&self.stake_keys))
            .chain(all(&self.final_checks));
        let troubled = all(&self.tries).chain(all(&self.tool_troubles));
        decided.chain(worked).chain(troubled).collect()
    }
}

fn bolt(hole: &JointHole<'_>, rests_on: &[Seen]) -> JointBolt {
    let counts = |it: &&Recorded<BoltTightened>| rests_on.iter().all(|fact| it.knows(*fact));
    let tightened = hole.record.tightened.iter();
    let mut done: Vec<PassDone> = Vec::new();
    for it in tightened.filter(counts) {
        done.retain(|before| before.pass != it.body.pass);
        done.push(PassDone {
            pass: it.body.pass,
            entry: it.entry,
            torque_nm: it.body.torque_nm,
            lubrication: it.body.lubrication,
            by: it.by.clone(),
        });
    }
    done.sort_by_key(|done| done.pass);
    JointBolt {
        hole: hole.id,
        number: hole.number,
        open: hole.status.stage != Stage::Passed || hole.conflict,
        again: done.is_empty() && !hole.record.tightened.is_empty(),
        done,
    }
}

/// How far from the torque of its pass a bolt may be before it is asked about: what a good torque
/// wrench is off by, and as much again for reading it (judgment).
pub const TORQUE_SLACK: f64 = 0.1;

/// Returns the least and the most torque of a pass in newton meters, for a full torque.
pub fn pass_range(full_nm: f64, pass: BoltPass) -> (f64, f64) {
    let aim = full_nm * pass.share();
    (aim * (1.0 - TORQUE_SLACK), aim * (1.0 + TORQUE_SLACK))
}

#[cfg(test)]
mod tests;
