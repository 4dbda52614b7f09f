//! Surface speed, and what it comes to at the spindle.

use super::feed::{Feed, feed};
use super::{CuttingError, Hardness, Purpose, ToolMaterial};
use crate::length::{Length, NM_PER_MM};
use serde::Serialize;
use std::f64::consts::PI;

/// How fast to turn a tool, and how to feed it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Speeds {
    /// Surface speed, least and most, in feet a minute as the tables print it.
    pub surface_ft_min: (f64, f64),
    /// The same in metres a minute.
    pub surface_m_min: (f64, f64),
    /// Turns a minute of the spindle, least and most.
    pub rpm: (f64, f64),
    /// Feed; none where the tool's own pitch feeds it, or where no figure was found.
    pub feed: Option<Feed>,
    /// Where the surface speed comes from.
    pub source: &'static str,
    /// What else to know, in a sentence.
    pub note: Option<&'static str>,
}

/// How much slower and lighter to go in a deep hole, as shares to take off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DepthLoss {
    /// Off the speed.
    pub speed: f64,
    /// Off the feed.
    pub feed: f64,
}

const DRILL: &str =
    "a drill maker's table by hardness and a machining table by class (secondary sources)";
const DRILL_CHILLED: &str = "drilling tables give 30 to 40, 30, and 10 to 20 ft/min for chilled iron (secondary sources); all of it stands here";
const REAM: &str = "a machining table by class (secondary source)";
const TAP: &str = "a tap maker's table (secondary source)";
const END_MILL: &str = "an end mill maker's table for soft (170 Brinell) and hard (240 Brinell) iron (secondary source)";
const END_MILL_MEDIUM: &str =
    "between the lines for soft and hard iron of an end mill maker's table (secondary source)";
const CARBIDE: &str = "two to three times high speed steel, as a navy training manual says of drills (secondary source)";
const CARBIDE_MILL: &str = "two to three times high speed steel, as a navy training manual says of drills; for end mills a judgement, below what their makers print";

const BY_HAND: &str = "A tap turned by hand goes far slower; turn it back to break the chip, and keep it dry in iron.";
const CARBIDE_CHIPS: &str = "Carbide chips in a machine that shakes, and at the edge of an old hole: only in a rigid set-up.";

/// Speed and feed of a tool of a diameter in iron.
///
/// # Errors
/// A diameter that no such tool has, or a tool that should not be tried in that iron.
pub fn speeds(
    purpose: Purpose,
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

/// Turns a minute for a surface speed in feet a minute: 12 of it over the circumference in inches, which shops write 3.82 over the
/// diameter.
pub fn rpm(surface_ft_min: f64, diameter: Length) -> f64 {
    12.0 * surface_ft_min / (PI * diameter.inches())
}

/// In a hole so many diameters deep: from 3 diameters on (a drilling guide, secondary source). Between its lines the deeper one counts;
/// beyond 6 diameters the guide gives nothing, and its last line stands.
pub fn depth_loss(depth_in_diameters: f64) -> Option<DepthLoss> {
    let (speed, feed) = match depth_in_diameters {
        d if d.is_nan() || d < 3.0 => return None,
        d if d <= 3.0 => (0.10, 0.10),
        d if d <= 4.0 => (0.20, 0.10),
        d if d <= 5.0 => (0.30, 0.20),
        _ => (0.40, 0.20),
    };
    Some(DepthLoss { speed, feed })
}

/// Surface speed in feet a minute, and its source.
fn surface(
    purpose: Purpose,
    material: ToolMaterial,
    hardness: Hardness,
) -> Result<((f64, f64), &'static str), CuttingError> {
    match (material, purpose) {
        (ToolMaterial::HighSpeedSteel, _) => steel(purpose, hardness),
        (ToolMaterial::Carbide, Purpose::Tap) => Err(CuttingError::Not {
            why: "a carbide tap breaks in a worn set-up and cannot be drilled out; take one of high speed steel (judgement)",
        }),
        (ToolMaterial::Carbide, Purpose::Ream) => Ok((carbide_reamer(hardness), REAM)),
        (ToolMaterial::Carbide, Purpose::EndMill) if hardness == Hardness::Chilled => Ok((
            (40.0, 80.0),
            "below what makers of carbide end mills print for chilled iron (judgement)",
        )),
        (ToolMaterial::Carbide, _) => {
            let ((least, most), _) = steel(purpose, hardness)?;
            let source = if purpose == Purpose::EndMill {
                CARBIDE_MILL
            } else {
                CARBIDE
            };
            Ok(((2.0 * least, 3.0 * most), source))
        }
    }
}

fn steel(purpose: Purpose, hardness: Hardness) -> Result<((f64, f64), &'static str), CuttingError> {
    Ok(match (purpose, hardness) {
        (Purpose::Drill, Hardness::Soft) => ((90.0, 150.0), DRILL),
        (Purpose::Drill, Hardness::Medium) => ((70.0, 100.0), DRILL),
        (Purpose::Drill, Hardness::Hard) => ((40.0, 60.0), DRILL),
        (Purpose::Drill, Hardness::Chilled) => ((10.0, 40.0), DRILL_CHILLED),
        (Purpose::Ream, Hardness::Soft) => ((60.0, 65.0), REAM),
        (Purpose::Ream, Hardness::Medium) => ((55.0, 55.0), REAM),
        (Purpose::Ream, Hardness::Hard) => ((40.0, 40.0), REAM),
        (Purpose::Ream, Hardness::Chilled) => ((20.0, 20.0), REAM),
        (Purpose::Tap, Hardness::Soft) => ((50.0, 80.0), TAP),
        (Purpose::Tap, Hardness::Medium | Hardness::Hard) => ((30.0, 40.0), TAP),
        (Purpose::Tap, Hardness::Chilled) => {
            return Err(CuttingError::Not {
                why: "do not tap chilled iron: the tap breaks; grind the hard metal away first (judgement)",
            });
        }
        (Purpose::EndMill, Hardness::Soft) => ((60.0, 80.0), END_MILL),
        (Purpose::EndMill, Hardness::Medium) => ((55.0, 75.0), END_MILL_MEDIUM),
        (Purpose::EndMill, Hardness::Hard) => ((50.0, 70.0), END_MILL),
        (Purpose::EndMill, Hardness::Chilled) => {
            return Err(CuttingError::Not {
                why: "an end mill of high speed steel does not cut chilled iron; grind it, or take a carbide one in a rigid set-up (judgement)",
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

const fn note(purpose: Purpose, material: ToolMaterial) -> Option<&'static str> {
    match (purpose, material) {
        (Purpose::Tap, _) => Some(BY_HAND),
        (_, ToolMaterial::Carbide) => Some(CARBIDE_CHIPS),
        _ => None,
    }
}
