//! A situation as JSON, the way scripts write it.

use super::{Situation, SituationError};
use crate::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station};
use crate::length::Length;
use crate::strength::{Grade, Metal};
use crate::thread::Thread;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
pub(super) struct Wire {
    thread: Thread,
    #[serde(default)]
    bolt: Option<Bolt>,
    /// The key is from when only irons were known.
    #[serde(rename = "iron", default)]
    metal: Option<Metal>,
    #[serde(default)]
    through: Option<bool>,
    #[serde(rename = "depth_mm", default)]
    depth: Option<Length>,
    #[serde(rename = "floor_mm", default)]
    floor: Option<Length>,
    #[serde(rename = "nearest_edge_mm", default)]
    nearest_edge: Option<Length>,
    #[serde(rename = "nearest_hole_mm", default)]
    nearest_hole: Option<Length>,
    #[serde(rename = "mating_hole_mm", default)]
    mating_hole: Option<Length>,
    #[serde(rename = "grip_mm", default)]
    grip: Option<Length>,
    #[serde(rename = "face_cut_mm", default)]
    face_cut: Option<Length>,
    #[serde(rename = "milled_mm", default)]
    milled: Option<Length>,
    /// Null: nobody has looked.
    #[serde(default)]
    damage: Option<Vec<Station>>,
    #[serde(default)]
    hard: Option<Vec<HardZone>>,
    #[serde(default)]
    lean: Option<Lean>,
    #[serde(default)]
    broken_tool: Option<BrokenTool>,
    #[serde(default)]
    crack: Option<bool>,
    #[serde(default)]
    on_hand: Option<Vec<String>>,
}

#[derive(Serialize, Deserialize)]
struct Bolt {
    #[serde(default)]
    grade: Option<Grade>,
}

impl TryFrom<Wire> for Situation {
    type Error = SituationError;

    fn try_from(wire: Wire) -> Result<Situation, SituationError> {
        let situation = Situation {
            thread: wire.thread,
            bolt: wire.bolt.and_then(|bolt| bolt.grade),
            metal: wire.metal.unwrap_or_default(),
            through: wire.through,
            depth: wire.depth,
            floor: wire.floor,
            nearest_edge: wire.nearest_edge,
            nearest_hole: wire.nearest_hole,
            mating_hole: wire.mating_hole,
            grip: wire.grip,
            face_cut: wire.face_cut,
            milled: wire.milled.unwrap_or_default(),
            damage_read: wire.damage.is_some(),
            damage: Damage {
                stations: wire.damage.unwrap_or_default(),
                hard: wire.hard.unwrap_or_default(),
                lean: wire.lean,
                broken_tool: wire.broken_tool,
                crack: wire.crack.unwrap_or_default(),
            },
            on_hand: wire.on_hand,
        };
        situation.check()?;
        Ok(situation)
    }
}

impl From<Situation> for Wire {
    fn from(situation: Situation) -> Wire {
        let Damage {
            stations,
            hard,
            lean,
            broken_tool,
            crack,
        } = situation.damage;
        Wire {
            thread: situation.thread,
            bolt: situation.bolt.map(|grade| Bolt { grade: Some(grade) }),
            metal: Some(situation.metal),
            through: situation.through,
            depth: situation.depth,
            floor: situation.floor,
            nearest_edge: situation.nearest_edge,
            nearest_hole: situation.nearest_hole,
            mating_hole: situation.mating_hole,
            grip: situation.grip,
            face_cut: situation.face_cut,
            milled: Some(situation.milled),
            damage: situation.damage_read.then_some(stations),
            hard: Some(hard),
            lean,
            broken_tool,
            crack: Some(crack),
            on_hand: situation.on_hand,
        }
    }
}
