//! What the readings may be off, and the hole as it would be if they were off by less.
//!
//! A [`Situation`] is the hole at the worst: each reading less (or, for what is missing, plus) what it may be off.

use super::{A_TRIFLE, Situation};
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// How far readings may be off, either way; `None`: not said, and then none is reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Errors {
    /// Of the depth.
    #[serde(rename = "depth_mm", default)]
    pub depth: Option<Length>,
    /// Of the floor.
    #[serde(rename = "floor_mm", default)]
    pub floor: Option<Length>,
    /// Of the distance to the nearest edge.
    #[serde(rename = "nearest_edge_mm", default)]
    pub nearest_edge: Option<Length>,
    /// Of the distance to the nearest hole.
    #[serde(rename = "nearest_hole_mm", default)]
    pub nearest_hole: Option<Length>,
    /// Of the hole in the part bolted on.
    #[serde(rename = "mating_hole_mm", default)]
    pub mating_hole: Option<Length>,
}

/// A reading that may be off. Stations and zones are counted from nought, as they stand in the damage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DoubtfulReading {
    /// The depth.
    Depth,
    /// The floor.
    Floor,
    /// The distance to the nearest edge.
    NearestEdge,
    /// The distance to the nearest hole.
    NearestHole,
    /// The hole in the part bolted on.
    MatingHole,
    /// The diameter of a station.
    Diameter(usize),
    /// The offset of a station.
    Offset(usize),
    /// The ends of a hard zone; its value is that of the lower one.
    HardZone(usize),
}

/// A reading with what it may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Doubt {
    /// Which reading.
    pub reading: DoubtfulReading,
    /// What it reads.
    pub stated: Length,
    /// How far that may be off.
    pub error: Length,
}

impl DoubtfulReading {
    /// Whether the worst of it is the least; otherwise it is the most.
    pub const fn worst_is_least(self) -> bool {
        matches!(
            self,
            Self::Depth | Self::Floor | Self::NearestEdge | Self::NearestHole | Self::MatingHole
        )
    }

    /// A word for JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Depth => "depth",
            Self::Floor => "floor",
            Self::NearestEdge => "nearest-edge",
            Self::NearestHole => "nearest-hole",
            Self::MatingHole => "mating-hole",
            Self::Diameter(_) => "damage-diameter",
            Self::Offset(_) => "damage-offset",
            Self::HardZone(_) => "hard-zone",
        }
    }
}

impl Situation {
    /// The readings that may be off, with what they read.
    pub fn doubts(&self) -> Vec<Doubt> {
        let mut doubts = Vec::new();
        let mut add = |reading, stated: Option<Length>, error: Option<Length>| {
            let error = error.unwrap_or_default().abs();
            if let Some(stated) = stated.filter(|_| error.is_positive()) {
                doubts.push(Doubt {
                    reading,
                    stated,
                    error,
                });
            }
        };
        for reading in PLAIN {
            let (value, error) = self.plain(reading);
            add(reading, value.map(|value| value + error), Some(error));
        }
        for (i, station) in self.damage.stations.iter().enumerate() {
            let (diameter, offset) = (station.diameter_error, station.offset_error);
            add(
                DoubtfulReading::Diameter(i),
                Some(station.diameter),
                diameter,
            );
            add(DoubtfulReading::Offset(i), Some(station.offset), offset);
        }
        for (i, zone) in self.damage.hard.iter().enumerate() {
            add(DoubtfulReading::HardZone(i), Some(zone.span.to), zone.error);
        }
        doubts
    }

    /// The same hole, were that reading off by so much at most.
    pub fn with_error(&self, reading: DoubtfulReading, error: Length) -> Situation {
        let mut other = self.clone();
        other.set_error(reading, error);
        other
    }

    /// The same hole, were every reading right.
    pub fn as_read(&self) -> Situation {
        let mut other = self.clone();
        for doubt in self.doubts() {
            other.set_error(doubt.reading, Length::ZERO);
        }
        other
    }

    fn set_error(&mut self, reading: DoubtfulReading, error: Length) {
        let known = Some(error).filter(|error| error.is_positive());
        let damage = &mut self.damage;
        match reading {
            DoubtfulReading::Diameter(i) => {
                if let Some(station) = damage.stations.get_mut(i) {
                    station.diameter_error = known;
                }
            }
            DoubtfulReading::Offset(i) => {
                if let Some(station) = damage.stations.get_mut(i) {
                    station.offset_error = known;
                }
            }
            DoubtfulReading::HardZone(i) => {
                if let Some(zone) = damage.hard.get_mut(i) {
                    zone.error = known;
                }
            }
            plain => {
                let (value, its_error) = self.plain(plain);
                self.set_plain(plain, value.map(|value| value + its_error), error);
            }
        }
    }

    /// Sets a plain reading to the worst that it may be.
    pub(in crate::hole) fn set_plain(
        &mut self,
        reading: DoubtfulReading,
        stated: Option<Length>,
        error: Length,
    ) {
        // A value that is not above zero stays as it is, to be refused with its name.
        let worst = |stated: Length| {
            if stated.is_positive() {
                (stated - error).max(A_TRIFLE)
            } else {
                stated
            }
        };
        let value = stated.map(worst);
        let off = stated.zip(value).map(|(stated, value)| stated - value);
        let off = off.filter(|off| off.is_positive());
        let errors = &mut self.errors;
        match reading {
            DoubtfulReading::Depth => (self.depth, errors.depth) = (value, off),
            DoubtfulReading::Floor => (self.floor, errors.floor) = (value, off),
            DoubtfulReading::NearestEdge => (self.nearest_edge, errors.nearest_edge) = (value, off),
            DoubtfulReading::NearestHole => (self.nearest_hole, errors.nearest_hole) = (value, off),
            DoubtfulReading::MatingHole => (self.mating_hole, errors.mating_hole) = (value, off),
            DoubtfulReading::Diameter(_)
            | DoubtfulReading::Offset(_)
            | DoubtfulReading::HardZone(_) => {}
        }
    }

    /// A plain reading at the worst, and what it may be off; nothing for one of the damage.
    pub(super) fn plain(&self, reading: DoubtfulReading) -> (Option<Length>, Length) {
        let errors = &self.errors;
        let (value, error) = match reading {
            DoubtfulReading::Depth => (self.depth, errors.depth),
            DoubtfulReading::Floor => (self.floor, errors.floor),
            DoubtfulReading::NearestEdge => (self.nearest_edge, errors.nearest_edge),
            DoubtfulReading::NearestHole => (self.nearest_hole, errors.nearest_hole),
            DoubtfulReading::MatingHole => (self.mating_hole, errors.mating_hole),
            DoubtfulReading::Diameter(_)
            | DoubtfulReading::Offset(_)
            | DoubtfulReading::HardZone(_) => (None, None),
        };
        (value, error.unwrap_or_default())
    }
}

/// The readings that are one value each.
pub(super) const PLAIN: [DoubtfulReading; 5] = [
    DoubtfulReading::Depth,
    DoubtfulReading::Floor,
    DoubtfulReading::NearestEdge,
    DoubtfulReading::NearestHole,
    DoubtfulReading::MatingHole,
];
