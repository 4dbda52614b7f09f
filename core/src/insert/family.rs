//! Kinds of inserts, and kinds of taps for them.

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// A kind of insert.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// A coil of wire in a tapped hole of its own size (ASME B18.29.1, B18.29.2M).
    WireThread,
    /// A bush with locking keys, lightweight (MS51830).
    KeyLockingThinWall,
    /// A bush with locking keys, miniature (MS51830).
    KeyLockingMiniature,
    /// A bush with locking keys, heavy duty (MS51831).
    KeyLockingHeavyDuty,
    /// A bush with locking keys, extra heavy duty (MS51832).
    KeyLockingExtraHeavyDuty,
    /// A plain bush, threaded inside and out, of the shop's own making, bonded in.
    Bushing,
}

/// Why a word was not taken for a kind of insert.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{asked}` is not a kind of insert kept here; write wire thread insert, threaded bushing, or key-locking insert followed by thin wall, \
     miniature, heavy duty or extra heavy duty, as in `key-locking insert, thin wall`"
)]
pub struct FamilyError {
    /// What was written.
    pub asked: String,
}

impl Family {
    /// All of them.
    pub const ALL: [Family; 6] = [
        Family::WireThread,
        Family::KeyLockingThinWall,
        Family::KeyLockingMiniature,
        Family::KeyLockingHeavyDuty,
        Family::KeyLockingExtraHeavyDuty,
        Family::Bushing,
    ];

    /// What the trade calls it.
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
        let asked = text.split_whitespace().collect::<Vec<_>>().join(" ");
        Family::ALL
            .into_iter()
            .find(|family| family.name().eq_ignore_ascii_case(&asked))
            .ok_or(FamilyError { asked })
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

/// How long a tap's chamfer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
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
    /// Threads of chamfer that a depth is reckoned with: 10, 4 and 2.
    ///
    /// Ranges: TM 9-254 paragraph 4-27 d. For plug taps ASME B18.29 reckons with 4 (secondary
    /// source); a plug tap with 5 wants one pitch more, so measure the tap in hand where the floor
    /// is near.
    pub const fn threads(self) -> i64 {
        match self {
            TapChamfer::Taper => 10,
            TapChamfer::Plug => 4,
            TapChamfer::Bottoming => 2,
        }
    }

    /// `taper`, `plug`, `bottoming`.
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
