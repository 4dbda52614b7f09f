//! A situation as JSON, the way scripts write it.

use super::doubt::PLAIN;
use super::{DoubtfulReading, Errors, Situation, SituationError};
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
    /// How far the readings may be off; the readings stand as they were read.
    #[serde(default)]
    errors: Option<Errors>,
}

#[derive(Serialize, Deserialize)]
struct Bolt {
    #[serde(default)]
    grade: Option<Grade>,
}

impl TryFrom<Wire> for Situation {
    type Error = SituationError;

    fn try_from(wire: Wire) -> Result<Situation, SituationError> {
        let errors = wire.errors.unwrap_or_default();
        let mut situation = Situation {
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
            errors: Errors::default(),
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
        for reading in PLAIN {
            let (stated, _) = situation.plain(reading);
            situation.set_plain(reading, stated, error_of(&errors, reading)?);
        }
        situation.check()?;
        Ok(situation)
    }
}

fn error_of(errors: &Errors, reading: DoubtfulReading) -> Result<Length, SituationError> {
    let (what, error) = match reading {
        DoubtfulReading::Depth => ("the depth", errors.depth),
        DoubtfulReading::Floor => ("the floor", errors.floor),
        DoubtfulReading::NearestEdge => ("the distance to the nearest edge", errors.nearest_edge),
        DoubtfulReading::NearestHole => ("the distance to the nearest hole", errors.nearest_hole),
        DoubtfulReading::MatingHole => ("the hole in the part bolted on", errors.mating_hole),
        _ => return Ok(Length::ZERO),
    };
    match error {
        Some(error) if error < Length::ZERO => Err(SituationError::ErrorNegative { what, error }),
        error => Ok(error.unwrap_or_default()),
    }
}

impl From<Situation> for Wire {
    fn from(situation: Situation) -> Wire {
        let errors = situation.errors;
        let stated = |reading| {
            let (value, error) = situation.plain(reading);
            value.map(|value| value + error)
        };
        let [depth, floor, nearest_edge, nearest_hole, mating_hole] = PLAIN.map(stated);
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
            depth,
            floor,
            nearest_edge,
            nearest_hole,
            mating_hole,
            grip: situation.grip,
            face_cut: situation.face_cut,
            milled: Some(situation.milled),
            damage: situation.damage_read.then_some(stations),
            hard: Some(hard),
            lean,
            broken_tool,
            crack: Some(crack),
            on_hand: situation.on_hand,
            errors: (errors != Errors::default()).then_some(errors),
        }
    }
}
