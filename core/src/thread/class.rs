//! Tolerance classes, and the limits they give.

use super::{Series, ThreadError};
use crate::length::Length;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Tolerance class of a tapped hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum InternalClass {
    /// Unified, loose.
    #[serde(rename = "1B")]
    Unified1B,
    /// Unified, usual.
    #[serde(rename = "2B")]
    Unified2B,
    /// Unified, close.
    #[serde(rename = "3B")]
    Unified3B,
    /// Metric, tolerance grade 4.
    #[serde(rename = "4H")]
    Metric4H,
    /// Metric, tolerance grade 5.
    #[serde(rename = "5H")]
    Metric5H,
    /// Metric, tolerance grade 6: usual.
    #[serde(rename = "6H")]
    Metric6H,
}

/// Tolerance class of a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum ExternalClass {
    /// Unified, loose.
    #[serde(rename = "1A")]
    Unified1A,
    /// Unified, usual.
    #[serde(rename = "2A")]
    Unified2A,
    /// Unified, close, without allowance.
    #[serde(rename = "3A")]
    Unified3A,
    /// Metric, tolerance grade 6 in position g: usual.
    #[serde(rename = "6g")]
    Metric6g,
}

/// Limits of a tapped hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InternalLimits {
    /// The class they belong to.
    pub class: InternalClass,
    /// Least minor diameter.
    pub minor_min: Length,
    /// Largest minor diameter.
    pub minor_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
    /// Least major diameter, which is the nominal size.
    pub major_min: Length,
}

/// Limits of a screw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ExternalLimits {
    /// The class they belong to.
    pub class: ExternalClass,
    /// Least major diameter.
    pub major_min: Length,
    /// Largest major diameter.
    pub major_max: Length,
    /// Least pitch diameter.
    pub pitch_diameter_min: Length,
    /// Largest pitch diameter.
    pub pitch_diameter_max: Length,
    /// Largest minor diameter of a flat root.
    pub minor_max: Length,
    /// Largest minor diameter of a rounded root: UNR (ASME B1.1), or d3 of ISO metric less the
    /// allowance.
    pub rounded_root_max: Length,
}

impl InternalClass {
    /// All of them.
    pub const ALL: [InternalClass; 6] = [
        InternalClass::Unified1B,
        InternalClass::Unified2B,
        InternalClass::Unified3B,
        InternalClass::Metric4H,
        InternalClass::Metric5H,
        InternalClass::Metric6H,
    ];

    /// `2B`, `6H` and so on.
    pub const fn name(self) -> &'static str {
        match self {
            InternalClass::Unified1B => "1B",
            InternalClass::Unified2B => "2B",
            InternalClass::Unified3B => "3B",
            InternalClass::Metric4H => "4H",
            InternalClass::Metric5H => "5H",
            InternalClass::Metric6H => "6H",
        }
    }

    /// Whether it belongs to ISO metric threads.
    pub const fn is_metric(self) -> bool {
        matches!(
            self,
            InternalClass::Metric4H | InternalClass::Metric5H | InternalClass::Metric6H
        )
    }

    /// The class of a series when nobody asks for another.
    pub const fn usual(series: Series) -> InternalClass {
        if series.is_metric() {
            InternalClass::Metric6H
        } else {
            InternalClass::Unified2B
        }
    }
}

impl ExternalClass {
    /// All of them.
    pub const ALL: [ExternalClass; 4] = [
        ExternalClass::Unified1A,
        ExternalClass::Unified2A,
        ExternalClass::Unified3A,
        ExternalClass::Metric6g,
    ];

    /// `2A`, `6g` and so on.
    pub const fn name(self) -> &'static str {
        match self {
            ExternalClass::Unified1A => "1A",
            ExternalClass::Unified2A => "2A",
            ExternalClass::Unified3A => "3A",
            ExternalClass::Metric6g => "6g",
        }
    }

    /// Whether it belongs to ISO metric threads.
    pub const fn is_metric(self) -> bool {
        matches!(self, ExternalClass::Metric6g)
    }

    /// The class of a series when nobody asks for another.
    pub const fn usual(series: Series) -> ExternalClass {
        if series.is_metric() {
            ExternalClass::Metric6g
        } else {
            ExternalClass::Unified2A
        }
    }
}

impl fmt::Display for InternalClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for ExternalClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// The class of that name; `told` gives a class's name and whether it is metric.
fn named<C: Copy>(
    classes: impl IntoIterator<Item = C>,
    told: impl Fn(C) -> (&'static str, bool),
    text: &str,
) -> Result<C, ThreadError> {
    let text = text.trim();
    let is_it = |class: &C| {
        let (name, metric) = told(*class);
        name == text || (!metric && name.eq_ignore_ascii_case(text))
    };
    let found = classes.into_iter().find(is_it);
    found.ok_or_else(|| ThreadError::UnknownClass {
        asked: text.to_owned(),
    })
}

/// Capital letters are holes, small ones screws, so `6h` is not read as `6H`; `2b` can only be 2B.
impl FromStr for InternalClass {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<InternalClass, ThreadError> {
        named(
            InternalClass::ALL,
            |class| (class.name(), class.is_metric()),
            text,
        )
    }
}

/// As for [`InternalClass`].
impl FromStr for ExternalClass {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<ExternalClass, ThreadError> {
        named(
            ExternalClass::ALL,
            |class| (class.name(), class.is_metric()),
            text,
        )
    }
}
