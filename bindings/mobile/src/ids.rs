//! Names of things, each of its own type, so that a face's cannot be given where a hole's is wanted.

use crate::border::{In, Out};
use crate::error::NotebookError;
use holebook_core::notebook as core;
use uuid::Uuid;

macro_rules! names {
    ($($(#[$doc:meta])* $name:ident $what:literal),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Record)]
        pub struct $name {
            /// A UUID in its usual text form.
            pub id: String,
        }

        impl Out for core::$name {
            type Face = $name;
            fn out(self) -> $name {
                $name { id: self.to_string() }
            }
        }

        impl In<core::$name> for $name {
            fn inward(self) -> Result<core::$name, NotebookError> {
                self.id.parse().map_err(|_| NotebookError::no_such($what, self.id))
            }
        }
    )+};
}

names! {
    /// The name of a casting.
    CastingId "casting",
    /// The name of a face.
    FaceId "face",
    /// The name of a photo.
    PhotoId "photo",
    /// The name of a hole.
    HoleId "hole",
    /// The name of one line of the journal.
    EntryId "entry",
    /// The name of one notebook's identity; a copy that went on by itself has another.
    DeviceId "device",
}

/// What entries of the journal are about.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum Subject {
    /// A casting.
    Casting {
        /// Which.
        id: CastingId,
    },
    /// A face.
    Face {
        /// Which.
        id: FaceId,
    },
    /// A photo.
    Photo {
        /// Which.
        id: PhotoId,
    },
    /// A hole.
    Hole {
        /// Which.
        id: HoleId,
    },
    /// A device.
    Device {
        /// Which.
        id: DeviceId,
    },
}

impl In<Uuid> for Subject {
    fn inward(self) -> Result<Uuid, NotebookError> {
        Ok(match self {
            Self::Casting { id } => id.inward()?.0,
            Self::Face { id } => id.inward()?.0,
            Self::Photo { id } => id.inward()?.0,
            Self::Hole { id } => id.inward()?.0,
            Self::Device { id } => id.inward()?.0,
        })
    }
}
