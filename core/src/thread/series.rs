//! Thread series and systems.

use super::Form;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A series of threads that a standard lists together.
#[derive(
    holebook_shape::Shape,
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
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
    /// Unified, constant pitch (ASME B1.1: 6-UN, 8-UN, 12-UN and so on).
    #[serde(rename = "UN")]
    Un,
    /// Unified, special combinations of size and pitch (ASME B1.1).
    #[serde(rename = "UNS")]
    Uns,
    /// National special, as MS51835B designates the outside of some key-locking inserts; computed
    /// with the UNS formulas.
    #[serde(rename = "NS")]
    Ns,
    /// ISO metric, coarse pitch (ISO 261, ISO 965-1).
    #[serde(rename = "metric coarse")]
    MetricCoarse,
    /// ISO metric, fine pitch.
    #[serde(rename = "metric fine")]
    MetricFine,
    /// British Standard Whitworth (BS 84).
    #[serde(rename = "BSW")]
    Bsw,
    /// British Standard Fine (BS 84).
    #[serde(rename = "BSF")]
    Bsf,
    /// British Standard pipe, parallel: G (ISO 228-1).
    #[serde(rename = "BSPP")]
    BspParallel,
    /// British Standard pipe, taper: R outside, Rc inside (ISO 7-1).
    #[serde(rename = "BSPT")]
    BspTaper,
    /// American taper pipe (ASME B1.20.1).
    #[serde(rename = "NPT")]
    Npt,
}

/// Threads that share a form and a tolerance system.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum System {
    /// Unified inch.
    Unified,
    /// ISO metric.
    Metric,
    /// Whitworth, inch.
    Whitworth,
    /// Pipe threads: British or American, parallel or taper.
    Pipe,
}

impl Series {
    /// All series.
    pub const ALL: [Series; 13] = [
        Series::Unc,
        Series::Unf,
        Series::Unef,
        Series::Un,
        Series::Uns,
        Series::Ns,
        Series::MetricCoarse,
        Series::MetricFine,
        Series::Bsw,
        Series::Bsf,
        Series::BspParallel,
        Series::BspTaper,
        Series::Npt,
    ];

    /// Returns the letters of an inch series, or the words for a metric one.
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
            Series::Bsw => "BSW",
            Series::Bsf => "BSF",
            Series::BspParallel => "BSPP",
            Series::BspTaper => "BSPT",
            Series::Npt => "NPT",
        }
    }

    /// Returns the system.
    pub const fn system(self) -> System {
        match self {
            Series::Unc | Series::Unf | Series::Unef | Series::Un | Series::Uns | Series::Ns => {
                System::Unified
            }
            Series::MetricCoarse | Series::MetricFine => System::Metric,
            Series::Bsw | Series::Bsf => System::Whitworth,
            Series::BspParallel | Series::BspTaper | Series::Npt => System::Pipe,
        }
    }

    /// Returns the thread form.
    pub const fn form(self) -> Form {
        match self {
            Series::Bsw | Series::Bsf | Series::BspParallel | Series::BspTaper => Form::Whitworth,
            Series::Npt => Form::AmericanPipe,
            _ => Form::Sixty,
        }
    }

    /// Whether it is a metric series, with sizes in millimeters and designations that begin with M.
    pub const fn is_metric(self) -> bool {
        matches!(self.system(), System::Metric)
    }

    /// Whether it is a pipe series, where the size in the name is not the diameter.
    pub const fn is_pipe(self) -> bool {
        matches!(self.system(), System::Pipe)
    }

    /// Whether it is a taper series (1 in 16 on diameter).
    pub const fn is_taper(self) -> bool {
        matches!(self, Series::BspTaper | Series::Npt)
    }

    /// Whether shops commonly have taps for it.
    pub const fn is_common(self) -> bool {
        matches!(self, Series::Unc | Series::Unf | Series::MetricCoarse)
    }
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
