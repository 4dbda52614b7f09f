//! The hole that a job wants, whatever drill is at hand.

use super::Fit;
use crate::length::Length;
use serde::{Serialize, Serializer};
use std::fmt;

/// What a hole is drilled for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Purpose {
    /// To be tapped.
    Tap,
    /// To be tapped for an insert.
    Insert,
    /// For a bolt to pass through.
    Clearance(Fit),
    /// The first hole down a broken bolt.
    BrokenBoltPilot,
    /// The last hole down a broken bolt.
    BrokenBoltCore,
    /// A diameter that somebody asked for.
    Diameter,
}

/// A hole to be drilled: the diameter aimed at, and what it may be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HoleWanted {
    /// What it is for.
    pub purpose: Purpose,
    /// The job in words: `tap 3/8-16 UNC`.
    pub job: String,
    /// The diameter aimed at.
    #[serde(rename = "aim_mm")]
    pub aim: Length,
    /// The least that will do, where there is a limit.
    #[serde(rename = "least_mm")]
    pub least: Option<Length>,
    /// The largest that will do, where there is a limit.
    #[serde(rename = "largest_mm")]
    pub largest: Option<Length>,
    /// What a percentage of thread is reckoned from; none where nothing is tapped.
    #[serde(skip)]
    pub depth: Option<FullThread>,
    /// Where the numbers come from.
    pub source: String,
}

/// A whole thread, of which a hole leaves some percent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FullThread {
    /// Basic major diameter.
    pub major: Length,
    /// Twice the height of thread that counts as 100 percent, in millimetres.
    pub full_depth_mm: f64,
}

impl FullThread {
    /// Percent of thread that a hole leaves; negative above the major diameter.
    pub fn percent(self, hole: Length) -> f64 {
        100.0 * (self.major - hole).mm() / self.full_depth_mm
    }
}

impl HoleWanted {
    /// A hole of just this diameter.
    pub fn diameter(aim: Length) -> HoleWanted {
        HoleWanted {
            purpose: Purpose::Diameter,
            job: "a hole of this diameter".to_owned(),
            aim,
            least: None,
            largest: None,
            depth: None,
            source: "as asked for".to_owned(),
        }
    }
}

/// `tap`, `insert`, `close clearance`, `broken bolt, pilot` and so on.
impl fmt::Display for Purpose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Purpose::Tap => f.write_str("tap"),
            Purpose::Insert => f.write_str("insert"),
            Purpose::Clearance(fit) => write!(f, "{fit} clearance"),
            Purpose::BrokenBoltPilot => f.write_str("broken bolt, pilot"),
            Purpose::BrokenBoltCore => f.write_str("broken bolt, last drill"),
            Purpose::Diameter => f.write_str("diameter"),
        }
    }
}

impl Serialize for Purpose {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
