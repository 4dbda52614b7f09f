//! Ids, each with its own type, so that the id of a face cannot be passed as that of a hole.

use crate::error::NotebookError;
use uuid::Uuid;

pub use holebook_core::notebook::{CastingId, DeviceId, EntryId, FaceId, HoleId, PhotoId};

macro_rules! ids {
    ($($(#[$doc:meta])* $id:ident, $uuid:ident, $what:literal;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Record)]
        pub struct $uuid {
            /// A UUID in its usual text form.
            pub id: String,
        }

        uniffi::custom_type!(
            $(#[$doc])*
            $id, $uuid, {
                remote,
                lower: |id| $uuid { id: id.to_string() },
                try_lift: |given| match given.id.parse() {
                    Ok(id) => Ok($id(id)),
                    Err(_) => Err(NotebookError::no_such($what, given.id).into()),
                },
            }
        );
    )+};
}

ids! {
    /// The id of a casting.
    CastingId, CastingUuid, "casting";
    /// The id of a face.
    FaceId, FaceUuid, "face";
    /// The id of a photo.
    PhotoId, PhotoUuid, "photo";
    /// The id of a hole.
    HoleId, HoleUuid, "hole";
    /// The id of one entry in the journal.
    EntryId, EntryUuid, "entry";
    /// The id of a device: of one notebook. A copy that is used on its own has another.
    DeviceId, DeviceUuid, "device";
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

impl From<Subject> for Uuid {
    fn from(subject: Subject) -> Self {
        match subject {
            Subject::Casting { id } => id.0,
            Subject::Face { id } => id.0,
            Subject::Photo { id } => id.0,
            Subject::Hole { id } => id.0,
            Subject::Device { id } => id.0,
        }
    }
}
