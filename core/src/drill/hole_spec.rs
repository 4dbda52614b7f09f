//! The hole that a job needs, independent of the drills available.

use super::ClearanceFit;
use crate::length::Length;
use serde::{Serialize, Serializer};
use std::fmt;

/// What a hole is drilled for.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum HolePurpose {
    /// To tap.
    Tap,
    /// To tap for an insert.
    Insert,
    /// Clearance for a bolt.
    Clearance(ClearanceFit),
    /// The first hole in a broken bolt.
    BrokenBoltPilot,
    /// The last hole in a broken bolt.
    BrokenBoltCore,
    /// A given diameter.
    Diameter,
}

/// A hole to drill: target diameter and limits.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct HoleSpec {
    /// What the hole is for.
    pub purpose: HolePurpose,
    /// Description of the job: `tap 3/8-16 UNC`.
    pub job: String,
    /// Target diameter.
    #[serde(rename = "aim_mm")]
    pub aim: Length,
    /// Lower limit, if there is one.
    #[serde(rename = "least_mm")]
    pub least: Option<Length>,
    /// Upper limit, if there is one.
    #[serde(rename = "largest_mm")]
    pub largest: Option<Length>,
    /// Reference for the thread percentage; `None` if the hole is not tapped.
    #[serde(skip)]
    pub depth: Option<FullThread>,
    /// Source of the numbers.
    pub source: String,
}

/// A full thread, the reference for thread percentages.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq)]
pub struct FullThread {
    /// Basic major diameter.
    pub major: Length,
    /// Twice the thread height that counts as 100 %, in millimeters.
    pub full_depth_mm: f64,
}

impl FullThread {
    /// Returns the percent of thread that a hole leaves; negative above the major diameter.
    pub fn percent(self, hole: Length) -> f64 {
        100.0 * (self.major - hole).mm() / self.full_depth_mm
    }
}

impl HoleSpec {
    /// Creates a hole of a given diameter, without limits.
    pub fn diameter(aim: Length) -> HoleSpec {
        HoleSpec {
            purpose: HolePurpose::Diameter,
            job: "hole of this diameter".to_owned(),
            aim,
            least: None,
            largest: None,
            depth: None,
            source: "as entered".to_owned(),
        }
    }
}

/// `tap`, `insert`, `close clearance`, `broken bolt, pilot` and so on.
impl fmt::Display for HolePurpose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            HolePurpose::Tap => f.write_str("tap"),
            HolePurpose::Insert => f.write_str("insert"),
            HolePurpose::Clearance(fit) => write!(f, "{fit} clearance"),
            HolePurpose::BrokenBoltPilot => f.write_str("broken bolt, pilot"),
            HolePurpose::BrokenBoltCore => f.write_str("broken bolt, last drill"),
            HolePurpose::Diameter => f.write_str("diameter"),
        }
    }
}

impl Serialize for HolePurpose {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
