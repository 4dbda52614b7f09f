//! Names of things: each casting, face, photo, hole, entry and device has a UUID of its own (RFC 9562, version 7).

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use uuid::{Builder, Uuid};

macro_rules! names {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl $name {
            /// A name that nothing else has.
            pub fn fresh() -> Self {
                Self(Uuid::now_v7())
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl From<$name> for Uuid {
            fn from(name: $name) -> Uuid {
                name.0
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

names! {
    /// A casting.
    CastingId,
    /// A machined joint face of a casting.
    FaceId,
    /// A picture of a face.
    PhotoId,
    /// A threaded hole.
    HoleId,
    /// One line of the journal.
    EntryId,
    /// One notebook's identity; a copy that went on by itself has another.
    DeviceId,
}

/// Milliseconds since 1970 at the start of the year 3000. An id from later than that is taken for a fault,
/// so that one wild clock cannot use up the ids that are still to come.
const TOO_LATE_MS: u64 = 32_503_680_000_000;

impl EntryId {
    /// The id of an entry written now by a device that has seen entries up to `last`: always greater than that,
    /// whatever the clock says. So an entry sorts after all that its writer knew of.
    pub(crate) fn after(last: Option<EntryId>) -> Self {
        Self::after_or(last, Uuid::now_v7())
    }

    fn after_or(last: Option<EntryId>, fresh: Uuid) -> Self {
        match last {
            Some(Self(last)) if last >= fresh => {
                let mut random = [0; 10];
                random.copy_from_slice(&fresh.as_bytes()[6..]);
                let next = Builder::from_unix_timestamp_millis(milliseconds(last) + 1, &random);
                Self(next.into_uuid())
            }
            _ => Self(fresh),
        }
    }

    /// Whether an entry may carry this id: version 7, and not from the far future.
    pub(crate) fn is_sound(self) -> bool {
        self.0.get_version_num() == 7 && milliseconds(self.0) < TOO_LATE_MS
    }
}

fn milliseconds(id: Uuid) -> u64 {
    id.as_bytes()[..6]
        .iter()
        .fold(0, |ms, byte| ms << 8 | u64::from(*byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_entry_sorts_after_all_that_its_writer_saw() {
        let fresh = Uuid::now_v7();
        let wild = Builder::from_unix_timestamp_millis(milliseconds(fresh) + 90_000, &[0xff; 10])
            .into_uuid();
        let next = EntryId::after_or(Some(EntryId(wild)), fresh);
        assert!(next > EntryId(wild));
        assert!(next.is_sound());
        assert_eq!(EntryId::after_or(None, fresh), EntryId(fresh));
    }

    #[test]
    fn ids_of_other_versions_and_of_the_far_future_are_not_sound() {
        assert!(!EntryId(Uuid::nil()).is_sound());
        let far = Builder::from_unix_timestamp_millis(TOO_LATE_MS, &[7; 10]).into_uuid();
        assert!(!EntryId(far).is_sound());
    }
}
