//! Tolerance classes.

use super::{Series, System, ThreadError};
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
    /// Metric, tolerance grade 7: loose.
    #[serde(rename = "7H")]
    Metric7H,
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
    /// Metric, tolerance grade 4 without allowance: close.
    #[serde(rename = "4h")]
    Metric4h,
    /// Metric, tolerance grade 6 without allowance.
    #[serde(rename = "6h")]
    Metric6h,
    /// Metric, tolerance grade 6 in position g: usual.
    #[serde(rename = "6g")]
    Metric6g,
    /// Metric, tolerance grade 6 in position e: clearance for a thick plating.
    #[serde(rename = "6e")]
    Metric6e,
}

impl InternalClass {
    /// All classes.
    pub const ALL: [InternalClass; 7] = [
        InternalClass::Unified1B,
        InternalClass::Unified2B,
        InternalClass::Unified3B,
        InternalClass::Metric4H,
        InternalClass::Metric5H,
        InternalClass::Metric6H,
        InternalClass::Metric7H,
    ];

    /// Returns the name: `2B`, `6H`.
    pub const fn name(self) -> &'static str {
        match self {
            InternalClass::Unified1B => "1B",
            InternalClass::Unified2B => "2B",
            InternalClass::Unified3B => "3B",
            InternalClass::Metric4H => "4H",
            InternalClass::Metric5H => "5H",
            InternalClass::Metric6H => "6H",
            InternalClass::Metric7H => "7H",
        }
    }

    /// Whether it belongs to ISO metric threads.
    pub const fn is_metric(self) -> bool {
        !matches!(
            self,
            InternalClass::Unified1B | InternalClass::Unified2B | InternalClass::Unified3B
        )
    }

    /// Returns the default class of a series; `None` for Whitworth and pipe threads.
    pub const fn usual(series: Series) -> Option<InternalClass> {
        match series.system() {
            System::Unified => Some(InternalClass::Unified2B),
            System::Metric => Some(InternalClass::Metric6H),
            System::Whitworth | System::Pipe => None,
        }
    }
}

impl ExternalClass {
    /// All classes.
    pub const ALL: [ExternalClass; 7] = [
        ExternalClass::Unified1A,
        ExternalClass::Unified2A,
        ExternalClass::Unified3A,
        ExternalClass::Metric4h,
        ExternalClass::Metric6h,
        ExternalClass::Metric6g,
        ExternalClass::Metric6e,
    ];

    /// Returns the name: `2A`, `6g`.
    pub const fn name(self) -> &'static str {
        match self {
            ExternalClass::Unified1A => "1A",
            ExternalClass::Unified2A => "2A",
            ExternalClass::Unified3A => "3A",
            ExternalClass::Metric4h => "4h",
            ExternalClass::Metric6h => "6h",
            ExternalClass::Metric6g => "6g",
            ExternalClass::Metric6e => "6e",
        }
    }

    /// Whether it belongs to ISO metric threads.
    pub const fn is_metric(self) -> bool {
        !matches!(
            self,
            ExternalClass::Unified1A | ExternalClass::Unified2A | ExternalClass::Unified3A
        )
    }

    /// Returns the default class of a series; `None` for Whitworth and pipe threads.
    pub const fn usual(series: Series) -> Option<ExternalClass> {
        match series.system() {
            System::Unified => Some(ExternalClass::Unified2A),
            System::Metric => Some(ExternalClass::Metric6g),
            System::Whitworth | System::Pipe => None,
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

/// Finds the class with that name; `name_of` gives a class's name and whether it is metric.
fn find_class<C: Copy>(
    classes: impl IntoIterator<Item = C>,
    name_of: impl Fn(C) -> (&'static str, bool),
    text: &str,
) -> Result<C, ThreadError> {
    let text = text.trim();
    let is_it = |class: &C| {
        let (name, metric) = name_of(*class);
        name == text || (!metric && name.eq_ignore_ascii_case(text))
    };
    let found = classes.into_iter().find(is_it);
    found.ok_or_else(|| ThreadError::UnknownClass {
        input: text.to_owned(),
    })
}

/// Case matters for metric classes (`6H` is a hole, `6h` a screw); `2b` is read as 2B.
impl FromStr for InternalClass {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<InternalClass, ThreadError> {
        find_class(
            InternalClass::ALL,
            |class| (class.name(), class.is_metric()),
            text,
        )
    }
}

/// Case matters as for [`InternalClass`].
impl FromStr for ExternalClass {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<ExternalClass, ThreadError> {
        find_class(
            ExternalClass::ALL,
            |class| (class.name(), class.is_metric()),
            text,
        )
    }
}
