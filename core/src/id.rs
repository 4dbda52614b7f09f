//! Ids: each casting, face, photo, hole, entry and device has a UUID of its own (RFC 9562, version 7).

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use uuid::Uuid;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl From<$name> for Uuid {
            fn from(id: $name) -> Uuid {
                id.0
            }
        }

        impl FromStr for $name {
            type Err = uuid::Error;

            fn from_str(text: &str) -> Result<Self, uuid::Error> {
                Uuid::from_str(text).map(Self)
            }
        }
    )+};
}

ids! {
    /// The id of a casting.
    CastingId,
    /// The id of a face.
    FaceId,
    /// The id of a photo.
    PhotoId,
    /// The id of a hole.
    HoleId,
    /// The id of one entry in the journal.
    EntryId,
    /// The id of a device: of one notebook. A copy that is used on its own has another.
    DeviceId,
}

/// How far a notebook knew the entries of another device when it wrote an entry.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
pub struct Seen {
    /// The other device.
    pub device: DeviceId,
    /// The sequence number of its last known entry.
    pub seq: u64,
}
