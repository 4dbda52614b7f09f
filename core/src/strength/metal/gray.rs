//! Gray iron by class.
//!
//! Least tensile strengths: ASTM A48 as published by a foundry (secondary source). The class number
//! is the strength in ksi.

use crate::strength::StrengthError;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// A class of gray iron.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Iron {
    /// ASTM A48 class 20.
    Class20,
    /// ASTM A48 class 25.
    Class25,
    /// ASTM A48 class 30.
    Class30,
    /// ASTM A48 class 35.
    Class35,
    /// ASTM A48 class 40.
    Class40,
    /// Unknown class: treated as class 20, the weakest.
    #[default]
    Unknown,
}

impl Iron {
    /// All classes.
    pub const ALL: [Iron; 6] = [
        Iron::Class20,
        Iron::Class25,
        Iron::Class30,
        Iron::Class35,
        Iron::Class40,
        Iron::Unknown,
    ];

    /// Returns the name: `ASTM A48 class 25`, `unknown`.
    pub const fn name(self) -> &'static str {
        match self {
            Iron::Class20 => "ASTM A48 class 20",
            Iron::Class25 => "ASTM A48 class 25",
            Iron::Class30 => "ASTM A48 class 30",
            Iron::Class35 => "ASTM A48 class 35",
            Iron::Class40 => "ASTM A48 class 40",
            Iron::Unknown => "unknown",
        }
    }

    /// Returns the name, and for unknown iron what is assumed.
    pub const fn description(self) -> &'static str {
        match self {
            Iron::Unknown => "unknown iron, treated as ASTM A48 class 20",
            known => known.name(),
        }
    }

    /// Returns the least tensile strength of the test bar in MPa. A thick section of a casting is
    /// weaker.
    pub const fn tensile_min_mpa(self) -> f64 {
        match self {
            Iron::Class20 | Iron::Unknown => 138.0,
            Iron::Class25 => 172.0,
            Iron::Class30 => 207.0,
            Iron::Class35 => 241.0,
            Iron::Class40 => 276.0,
        }
    }

    /// Returns the Brinell hardness as text.
    ///
    /// Typical figures: a published table of gray irons by ASTM number (anvilfire.com, secondary
    /// source); ranges: a machining table and foundry pages (secondary sources).
    pub const fn hardness(self) -> &'static str {
        match self {
            Iron::Class20 => "about 156 Brinell, 120 to 150 in machining tables",
            Iron::Class25 => "about 174 Brinell, 160 to 229",
            Iron::Class30 => "about 201 Brinell, 187 to 241",
            Iron::Class35 => "about 212 Brinell, 190 to 255",
            Iron::Class40 => "about 235 Brinell, 190 to 269",
            Iron::Unknown => {
                "unknown: 120 to 269 Brinell in ordinary gray iron, far more where chilled"
            }
        }
    }
}

impl fmt::Display for Iron {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// What people call iron whose class they do not know, in lower case, without commas.
const UNKNOWN_NAMES: [&str; 8] = [
    "cast iron",
    "gray iron",
    "gray cast iron",
    "cast iron class unknown",
    "gray iron class unknown",
    "gray cast iron class unknown",
    "unknown iron",
    "iron",
];

/// The full name, `class 25`, `unknown`, or a name of iron without its class, such as `cast iron`.
impl FromStr for Iron {
    type Err = StrengthError;
    fn from_str(text: &str) -> Result<Iron, StrengthError> {
        let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let plain = input
            .to_ascii_lowercase()
            .replace(',', "")
            .replace("grey", "gray");
        if UNKNOWN_NAMES.contains(&plain.as_str()) {
            return Ok(Iron::Unknown);
        }
        Iron::ALL
            .into_iter()
            .find(|iron| {
                let name = iron.name();
                input.eq_ignore_ascii_case(name)
                    || input.eq_ignore_ascii_case(name.trim_start_matches("ASTM "))
                    || input.eq_ignore_ascii_case(name.trim_start_matches("ASTM A48 "))
            })
            .ok_or(StrengthError::UnknownIron { input })
    }
}

impl Serialize for Iron {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for Iron {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Iron, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}
