//! Surface speeds and spindle speeds.

use super::feed::{Feed, feed};
use super::{CuttingError, Hardness, Operation, ToolMaterial};
use crate::length::{Length, NM_PER_MM};
use serde::Serialize;
use std::f64::consts::PI;

/// Speeds and feed of a tool.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Speeds {
    /// Least and largest surface speed in ft/min, as in the tables.
    pub surface_ft_min: (f64, f64),
    /// Least and largest surface speed in m/min.
    pub surface_m_min: (f64, f64),
    /// Least and largest spindle speed.
    pub rpm: (f64, f64),
    /// Feed; `None` for a tap, whose pitch sets it, and where no figure was found.
    pub feed: Option<Feed>,
    /// Source of the surface speed.
    pub source: &'static str,
    /// A note, in a sentence.
    pub note: Option<&'static str>,
}

/// Reduction of speed and feed in a deep hole, as fractions.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DeepHoleReduction {
    /// Reduction of the speed.
    pub speed: f64,
    /// Reduction of the feed.
    pub feed: f64,
}

const DRILL: &str =
    "a drill maker's table by hardness and a machining table by class (secondary sources)";
const DRILL_CHILLED: &str = "drilling tables give 30 to 40, 30, and 10 to 20 ft/min for chilled iron (secondary sources); their whole range is given";
const REAM: &str = "a machining table by class (secondary source)";
const TAP: &str = "a tap maker's table for iron of 150 to 300 Brinell; it gives 50 to 80 ft/min below 150 (secondary source)";
const END_MILL: &str = "an end mill maker's table for soft (170 Brinell) and hard (240 Brinell) iron (secondary source)";
const END_MILL_MEDIUM: &str =
    "interpolated between soft and hard iron in an end mill maker's table (secondary source)";
const CARBIDE: &str = "two to three times high-speed steel, as a navy training manual says of drills (secondary source)";
const CARBIDE_MILL: &str = "two to three times high-speed steel, as a navy training manual says of drills; for end mills a judgment, below what their makers print";

const BY_HAND: &str = "Iron below 150 Brinell takes up to twice this speed, but most castings are harder. By hand a tap turns far slower. \
                       Back it up to break the chip, and tap iron dry.";
const CARBIDE_CHIPS: &str = "Carbide chips in a machine that vibrates and at the edge of an old hole. Use it only in a rigid setup.";

/// Returns speeds and feed of a tool in iron.
///
/// # Errors
/// If the diameter is out of range, or the operation is not advisable in that iron.
pub fn speeds(
    purpose: Operation,
    material: ToolMaterial,
    hardness: Hardness,
    diameter: Length,
) -> Result<Speeds, CuttingError> {
    if diameter < SMALLEST || diameter > LARGEST {
        return Err(CuttingError::Diameter { diameter });
    }
    let (surface_ft_min, source) = surface(purpose, material, hardness)?;
    let both = |each: fn(f64, Length) -> f64| {
        let (least, most) = surface_ft_min;
        (each(least, diameter), each(most, diameter))
    };
    Ok(Speeds {
        surface_ft_min,
        surface_m_min: both(|ft_min, _| ft_min * 0.3048),
        rpm: both(rpm),
        feed: feed(purpose, hardness, diameter),
        source,
        note: note(purpose, material),
    })
}

const SMALLEST: Length = Length::from_nm(NM_PER_MM / 2);
const LARGEST: Length = Length::from_nm(100 * NM_PER_MM);

/// Converts a surface speed in ft/min to rpm: 12 times the speed over the circumference in inches,
/// in the shop 3.82 times the speed over the diameter.
pub fn rpm(surface_ft_min: f64, diameter: Length) -> f64 {
    12.0 * surface_ft_min / (PI * diameter.inches())
}

/// Returns the reduction for a hole that is 3 or more diameters deep; `None` below that.
///
/// Source: a drilling guide (secondary source). Between its rows the deeper one is used; beyond 6
/// diameters, where it ends, the last one.
pub fn deep_hole_reduction(depth_in_diameters: f64) -> Option<DeepHoleReduction> {
    let (speed, feed) = match depth_in_diameters {
        d if d.is_nan() || d < 3.0 => return None,
        d if d <= 3.0 => (0.10, 0.10),
        d if d <= 4.0 => (0.20, 0.10),
        d if d <= 5.0 => (0.30, 0.20),
        _ => (0.40, 0.20),
    };
    Some(DeepHoleReduction { speed, feed })
}

/// Returns the surface speed in ft/min and its source.
fn surface(
    purpose: Operation,
    material: ToolMaterial,
    hardness: Hardness,
) -> Result<((f64, f64), &'static str), CuttingError> {
    match (material, purpose) {
        (ToolMaterial::HighSpeedSteel, _) => steel(purpose, hardness),
        (ToolMaterial::Carbide, Operation::Tap) => Err(CuttingError::NotAdvised {
            why: "do not use a carbide tap: it breaks in a worn setup and cannot be drilled out; use high-speed steel (judgment)",
        }),
        (ToolMaterial::Carbide, Operation::Ream) => Ok((carbide_reamer(hardness), REAM)),
        (ToolMaterial::Carbide, Operation::EndMill) if hardness == Hardness::Chilled => Ok((
            (40.0, 80.0),
            "below what makers of carbide end mills print for chilled iron (judgment)",
        )),
        (ToolMaterial::Carbide, _) => {
            let ((least, most), _) = steel(purpose, hardness)?;
            let source = if purpose == Operation::EndMill {
                CARBIDE_MILL
            } else {
                CARBIDE
            };
            Ok(((2.0 * least, 3.0 * most), source))
        }
    }
}

fn steel(
    purpose: Operation,
    hardness: Hardness,
) -> Result<((f64, f64), &'static str), CuttingError> {
    Ok(match (purpose, hardness) {
        (Operation::Drill, Hardness::Soft) => ((90.0, 150.0), DRILL),
        (Operation::Drill, Hardness::Medium) => ((70.0, 100.0), DRILL),
        (Operation::Drill, Hardness::Hard) => ((40.0, 60.0), DRILL),
        (Operation::Drill, Hardness::Chilled) => ((10.0, 40.0), DRILL_CHILLED),
        (Operation::Ream, Hardness::Soft) => ((60.0, 65.0), REAM),
        (Operation::Ream, Hardness::Medium) => ((55.0, 55.0), REAM),
        (Operation::Ream, Hardness::Hard) => ((40.0, 40.0), REAM),
        (Operation::Ream, Hardness::Chilled) => ((20.0, 20.0), REAM),
        // Class 20 iron has typically 156 Brinell and class 25 has 174, so soft iron is not below
        // the table's 150.
        (Operation::Tap, Hardness::Soft | Hardness::Medium | Hardness::Hard) => ((30.0, 40.0), TAP),
        (Operation::Tap, Hardness::Chilled) => {
            return Err(CuttingError::NotAdvised {
                why: "do not tap chilled iron: the tap breaks; grind the hard metal away first (judgment)",
            });
        }
        (Operation::EndMill, Hardness::Soft) => ((60.0, 80.0), END_MILL),
        (Operation::EndMill, Hardness::Medium) => ((55.0, 75.0), END_MILL_MEDIUM),
        (Operation::EndMill, Hardness::Hard) => ((50.0, 70.0), END_MILL),
        (Operation::EndMill, Hardness::Chilled) => {
            return Err(CuttingError::NotAdvised {
                why: "a high-speed steel end mill does not cut chilled iron; grind it, or use carbide in a rigid setup (judgment)",
            });
        }
    })
}

const fn carbide_reamer(hardness: Hardness) -> (f64, f64) {
    match hardness {
        Hardness::Soft => (225.0, 300.0),
        Hardness::Medium => (180.0, 180.0),
        Hardness::Hard => (125.0, 125.0),
        Hardness::Chilled => (80.0, 80.0),
    }
}

const fn note(purpose: Operation, material: ToolMaterial) -> Option<&'static str> {
    match (purpose, material) {
        (Operation::Tap, _) => Some(BY_HAND),
        (_, ToolMaterial::Carbide) => Some(CARBIDE_CHIPS),
        _ => None,
    }
}
