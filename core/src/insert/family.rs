//! Families of inserts, and tap chamfers.

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// A family of inserts.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// A wire coil in an STI tapped hole (ASME B18.29.1, B18.29.2M).
    WireThread,
    /// A solid insert with locking keys, thin wall (MS51830).
    KeyLockingThinWall,
    /// A solid insert with locking keys, miniature (MS51830).
    KeyLockingMiniature,
    /// A solid insert with locking keys, heavy duty (MS51831).
    KeyLockingHeavyDuty,
    /// A solid insert with locking keys, extra heavy duty (MS51832).
    KeyLockingExtraHeavyDuty,
    /// A shop-made bushing, threaded inside and out, bonded in.
    Bushing,
}

/// Why a text is not an insert family.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{input}` is not an insert family; write wire thread insert, threaded bushing, or key-locking insert with thin wall, miniature, \
     heavy duty or extra heavy duty, such as `key-locking insert, thin wall`"
)]
pub struct FamilyError {
    /// What was written.
    pub input: String,
}

impl Family {
    /// All families.
    pub const ALL: [Family; 6] = [
        Family::WireThread,
        Family::KeyLockingThinWall,
        Family::KeyLockingMiniature,
        Family::KeyLockingHeavyDuty,
        Family::KeyLockingExtraHeavyDuty,
        Family::Bushing,
    ];

    /// Returns the trade name.
    pub const fn name(self) -> &'static str {
        match self {
            Family::WireThread => "wire thread insert",
            Family::KeyLockingThinWall => "key-locking insert, thin wall",
            Family::KeyLockingMiniature => "key-locking insert, miniature",
            Family::KeyLockingHeavyDuty => "key-locking insert, heavy duty",
            Family::KeyLockingExtraHeavyDuty => "key-locking insert, extra heavy duty",
            Family::Bushing => "threaded bushing",
        }
    }
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Family {
    type Err = FamilyError;
    fn from_str(text: &str) -> Result<Family, FamilyError> {
        let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
        Family::ALL
            .into_iter()
            .find(|family| family.name().eq_ignore_ascii_case(&input))
            .ok_or(FamilyError { input })
    }
}

impl Serialize for Family {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for Family {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Family, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}

/// The chamfer of a tap.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum TapChamfer {
    /// 7 to 10 threads.
    Taper,
    /// 3 to 5 threads.
    Plug,
    /// 1 to 2 threads.
    Bottoming,
}

impl TapChamfer {
    /// Returns the threads of chamfer used for depths: 10, 4 and 2.
    ///
    /// Ranges: TM 9-254 paragraph 4-27 d. For plug taps ASME B18.29 uses 4 (secondary source); a
    /// plug tap with 5 needs one pitch more, so measure the tap if the floor is thin.
    pub const fn threads(self) -> i64 {
        match self {
            TapChamfer::Taper => 10,
            TapChamfer::Plug => 4,
            TapChamfer::Bottoming => 2,
        }
    }

    /// Returns the name: `taper`, `plug`, `bottoming`.
    pub const fn name(self) -> &'static str {
        match self {
            TapChamfer::Taper => "taper",
            TapChamfer::Plug => "plug",
            TapChamfer::Bottoming => "bottoming",
        }
    }
}

impl fmt::Display for TapChamfer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
