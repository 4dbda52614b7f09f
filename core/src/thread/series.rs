//! Thread series, and how each states its pitch.

use crate::length::{Length, NM_PER_INCH, NM_PER_MM};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A family of threads that a standard lists together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Series {
    /// Unified coarse (ASME B1.1).
    #[serde(rename = "UNC")]
    Unc,
    /// Unified fine (ASME B1.1).
    #[serde(rename = "UNF")]
    Unf,
    /// Unified extra fine (ASME B1.1).
    #[serde(rename = "UNEF")]
    Unef,
    /// Unified, constant pitch (ASME B1.1: 4-UN, 6-UN, 8-UN, 12-UN and so on).
    #[serde(rename = "UN")]
    Un,
    /// Unified, selected special combinations (ASME B1.1).
    #[serde(rename = "UNS")]
    Uns,
    /// National special, as MS51835B writes the outside of some key-locking inserts. Worked out
    /// here by the formulas for UNS.
    #[serde(rename = "NS")]
    Ns,
    /// ISO metric, coarse pitch (ISO 261, ISO 965-1).
    #[serde(rename = "metric coarse")]
    MetricCoarse,
    /// ISO metric, fine pitch.
    #[serde(rename = "metric fine")]
    MetricFine,
}

impl Series {
    /// The letters behind an inch designation, or the words for a metric series.
    pub const fn name(self) -> &'static str {
        match self {
            Series::Unc => "UNC",
            Series::Unf => "UNF",
            Series::Unef => "UNEF",
            Series::Un => "UN",
            Series::Uns => "UNS",
            Series::Ns => "NS",
            Series::MetricCoarse => "metric coarse",
            Series::MetricFine => "metric fine",
        }
    }

    /// Whether sizes are millimetres and designations begin with M.
    pub const fn is_metric(self) -> bool {
        matches!(self, Series::MetricCoarse | Series::MetricFine)
    }

    /// The series that a shop has taps for as a matter of course.
    pub const fn is_common(self) -> bool {
        matches!(self, Series::Unc | Series::Unf | Series::MetricCoarse)
    }
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Pitch as the series states it, so that it stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pitch {
    /// Threads per inch.
    PerInch(u32),
    /// From one thread to the next.
    Length(Length),
}

impl Pitch {
    /// In millimetres.
    pub fn mm(self) -> f64 {
        match self {
            Pitch::PerInch(n) => NM_PER_INCH as f64 / NM_PER_MM as f64 / f64::from(n),
            Pitch::Length(pitch) => pitch.mm(),
        }
    }
}

/// `14 threads per inch`, `1.5 mm`.
impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Pitch::PerInch(n) => write!(f, "{n} threads per inch"),
            Pitch::Length(pitch) => f.write_str(&pitch.exact()),
        }
    }
}
