//! Tolerances of readings, and the hole as it would be with smaller ones.
//!
//! A [`Situation`] is the hole at the worst case of its readings: each less its tolerance, or, for
//! missing metal, plus its tolerance.

use super::{SMALLEST, Situation};
use crate::hole::record::Quantity;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Tolerances of the depths and distances, plus or minus; `None`: not given, taken as zero.
#[derive(
    holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize,
)]
pub struct Tolerances {
    /// Of the depth.
    #[serde(rename = "depth_mm", default)]
    pub depth: Option<Length>,
    /// Of the floor thickness.
    #[serde(rename = "floor_mm", default)]
    pub floor: Option<Length>,
    /// Of the edge distance.
    #[serde(rename = "nearest_edge_mm", default)]
    pub nearest_edge: Option<Length>,
    /// Of the distance to the nearest hole.
    #[serde(rename = "nearest_hole_mm", default)]
    pub nearest_hole: Option<Length>,
    /// Of the clearance hole in the mating part.
    #[serde(rename = "mating_hole_mm", default)]
    pub mating_hole: Option<Length>,
}

/// A reading that can have a tolerance. Stations and hard zones are numbered from 0, in the order
/// of the damage.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TolerancedReading {
    /// The depth.
    Depth,
    /// The floor thickness.
    Floor,
    /// The edge distance.
    NearestEdge,
    /// The distance to the nearest hole.
    NearestHole,
    /// The clearance hole in the mating part.
    MatingHole,
    /// The diameter of a station.
    Diameter(u32),
    /// The offset of a station.
    Offset(u32),
    /// Both ends of a hard zone; its value is that of the lower end.
    HardZone(u32),
}

/// A reading with its tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadingTolerance {
    /// Which reading.
    pub reading: TolerancedReading,
    /// Its value as read.
    pub stated: Length,
    /// Its tolerance, plus or minus.
    pub tolerance: Length,
}

/// The depths and distances, each one value with one tolerance.
pub(super) const MEASURED: [TolerancedReading; 5] = [
    TolerancedReading::Depth,
    TolerancedReading::Floor,
    TolerancedReading::NearestEdge,
    TolerancedReading::NearestHole,
    TolerancedReading::MatingHole,
];

/// Returns a reference to the field of a depth or distance, which a [`Situation`] and its
/// [`Tolerances`] both have; `None` for a reading of the damage.
macro_rules! field_of {
    ($reading:expr, &$($field:tt)+) => {
        match $reading {
            TolerancedReading::Depth => Some(&$($field)+.depth),
            TolerancedReading::Floor => Some(&$($field)+.floor),
            TolerancedReading::NearestEdge => Some(&$($field)+.nearest_edge),
            TolerancedReading::NearestHole => Some(&$($field)+.nearest_hole),
            TolerancedReading::MatingHole => Some(&$($field)+.mating_hole),
            TolerancedReading::Diameter(_)
            | TolerancedReading::Offset(_)
            | TolerancedReading::HardZone(_) => None,
        }
    };
}

impl TolerancedReading {
    /// Returns whether the smallest value is the worst case; otherwise the largest is.
    pub const fn worst_is_least(self) -> bool {
        self.quantity().is_some()
    }

    /// Returns its name for JSON.
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

    /// Returns the quantity that is read; `None` for a reading of the damage.
    pub(super) const fn quantity(self) -> Option<Quantity> {
        match self {
            Self::Depth => Some(Quantity::Depth),
            Self::Floor => Some(Quantity::Floor),
            Self::NearestEdge => Some(Quantity::NearestEdge),
            Self::NearestHole => Some(Quantity::NearestHole),
            Self::MatingHole => Some(Quantity::MatingHole),
            Self::Diameter(_) | Self::Offset(_) | Self::HardZone(_) => None,
        }
    }
}

impl Tolerances {
    /// Returns the tolerance of a depth or distance; `None` for a reading of the damage.
    pub(super) fn get(self, reading: TolerancedReading) -> Option<Length> {
        field_of!(reading, &self).copied().flatten()
    }

    fn get_mut(&mut self, reading: TolerancedReading) -> Option<&mut Option<Length>> {
        field_of!(reading, &mut self)
    }
}

/// Returns a reading less its tolerance. A value that is not positive is returned unchanged, so
/// that validation can reject it.
pub(super) fn at_worst(stated: Length, tolerance: Length) -> Length {
    if stated.is_positive() {
        (stated - tolerance).max(SMALLEST)
    } else {
        stated
    }
}

impl Situation {
    /// Returns the readings that have a tolerance.
    pub fn reading_tolerances(&self) -> Vec<ReadingTolerance> {
        let mut found = Vec::new();
        let mut add = |reading, stated: Option<Length>, tolerance: Option<Length>| {
            let tolerance = tolerance.unwrap_or_default().abs();
            if let Some(stated) = stated.filter(|_| tolerance.is_positive()) {
                found.push(ReadingTolerance {
                    reading,
                    stated,
                    tolerance,
                });
            }
        };
        for reading in MEASURED {
            add(reading, self.stated(reading), self.tolerances.get(reading));
        }
        for (i, station) in (0..).zip(&self.damage.stations) {
            let (diameter, offset) = (station.diameter, station.offset);
            add(
                TolerancedReading::Diameter(i),
                Some(diameter),
                station.diameter_tolerance,
            );
            add(
                TolerancedReading::Offset(i),
                Some(offset),
                station.offset_tolerance,
            );
        }
        for (i, zone) in (0..).zip(&self.damage.hard) {
            let lower_end = zone.span.to;
            add(
                TolerancedReading::HardZone(i),
                Some(lower_end),
                zone.tolerance,
            );
        }
        found
    }

    /// Returns the same hole with another tolerance for one reading.
    pub fn with_tolerance(&self, reading: TolerancedReading, tolerance: Length) -> Situation {
        let mut other = self.clone();
        other.set_tolerance(reading, tolerance);
        other
    }

    /// Returns the same hole without tolerances.
    pub fn as_read(&self) -> Situation {
        let mut other = self.clone();
        for toleranced in self.reading_tolerances() {
            other.set_tolerance(toleranced.reading, Length::ZERO);
        }
        other
    }

    fn set_tolerance(&mut self, reading: TolerancedReading, tolerance: Length) {
        let known = Some(tolerance).filter(|tolerance| tolerance.is_positive());
        let damage = &mut self.damage;
        match reading {
            TolerancedReading::Diameter(i) => {
                if let Some(station) = damage.stations.get_mut(i as usize) {
                    station.diameter_tolerance = known;
                }
            }
            TolerancedReading::Offset(i) => {
                if let Some(station) = damage.stations.get_mut(i as usize) {
                    station.offset_tolerance = known;
                }
            }
            TolerancedReading::HardZone(i) => {
                if let Some(zone) = damage.hard.get_mut(i as usize) {
                    zone.tolerance = known;
                }
            }
            measured => self.set_reading(measured, self.stated(measured), tolerance),
        }
    }

    /// Sets a depth or distance to its worst case.
    pub(in crate::hole) fn set_reading(
        &mut self,
        reading: TolerancedReading,
        stated: Option<Length>,
        tolerance: Length,
    ) {
        let worst = stated.map(|stated| at_worst(stated, tolerance));
        let taken_off = stated.zip(worst).map(|(stated, worst)| stated - worst);
        if let Some(value) = self.measured_mut(reading) {
            *value = worst;
        }
        if let Some(known) = self.tolerances.get_mut(reading) {
            *known = taken_off.filter(|taken_off| taken_off.is_positive());
        }
    }

    /// Returns a depth or distance as read, before its tolerance was subtracted.
    pub(super) fn stated(&self, reading: TolerancedReading) -> Option<Length> {
        let tolerance = self.tolerances.get(reading).unwrap_or_default();
        self.measured(reading).map(|worst| worst + tolerance)
    }

    /// Returns the worst case of a depth or distance; `None` for a reading of the damage.
    pub(super) fn measured(&self, reading: TolerancedReading) -> Option<Length> {
        field_of!(reading, &self).copied().flatten()
    }

    fn measured_mut(&mut self, reading: TolerancedReading) -> Option<&mut Option<Length>> {
        field_of!(reading, &mut self)
    }
}
