//! Names of things: each casting, face, photo, hole, entry and device has a UUID of its own (RFC 9562, version 7).

use super::moment;
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
                Self(moment::fresh())
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

/// The bits of an id that are neither time nor version nor variant: so many at its end, and some more above the variant.
const LOWER_BITS: u32 = 62;
const LOWER: u128 = (1 << LOWER_BITS) - 1;
const UPPER: u128 = 0xfff << 64;
/// All of them together, as a number.
const MOST_DIGITS: u128 = (1 << 74) - 1;

impl EntryId {
    /// The id of an entry written now by a device that has seen entries up to `last`: always greater than that,
    /// whatever the clock says. So an entry sorts after all that its writer knew of.
    ///
    /// Where `last` is the very greatest id that there can be, which no clock gives by accident, it is one that is not
    /// greater: the entry is kept all the same, and the wild one can still be struck.
    pub(crate) fn after(last: Option<EntryId>) -> Self {
        Self::after_or(last, moment::fresh())
    }

    fn after_or(last: Option<EntryId>, fresh: Uuid) -> Self {
        let fresh = Self(fresh).at_a_sound_time();
        match last {
            Some(last) if last >= fresh => last.next(fresh).unwrap_or(fresh),
            _ => fresh,
        }
    }

    /// A greater id with the digits of `fresh`: a millisecond later, or where that would be too late, in the same one.
    fn next(self, fresh: Self) -> Option<Self> {
        let ms = milliseconds(self.0) + 1;
        if ms < TOO_LATE_MS {
            return Some(fresh.at(ms));
        }
        let left = MOST_DIGITS - digits(self.0);
        // Others who saw the same last id must not hit on the same next one, and many are to follow: a millionth of what
        // is left at most.
        let step = 1 + digits(fresh.0) % (left >> 20).max(1);
        (left > 0).then(|| self.with_digits(digits(self.0) + step))
    }

    /// A clock past the year 3000 says nothing. What it gave is put where nothing comes before it.
    fn at_a_sound_time(self) -> Self {
        if self.is_sound() { self } else { self.at(0) }
    }

    /// The id with the same digits at another time.
    fn at(self, ms: u64) -> Self {
        let mut random = [0; 10];
        random.copy_from_slice(&self.0.as_bytes()[6..]);
        Self(Builder::from_unix_timestamp_millis(ms, &random).into_uuid())
    }

    fn with_digits(self, digits: u128) -> Self {
        let others = self.0.as_u128() & !(UPPER | LOWER);
        Self(Uuid::from_u128(
            others | digits >> LOWER_BITS << 64 | digits & LOWER,
        ))
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

fn digits(id: Uuid) -> u128 {
    let bits = id.as_u128();
    (bits & UPPER) >> (64 - LOWER_BITS) | bits & LOWER
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

    fn at(ms: u64, digits: u8) -> EntryId {
        EntryId(Builder::from_unix_timestamp_millis(ms, &[digits; 10]).into_uuid())
    }

    #[test]
    fn behind_an_id_of_the_last_millisecond_of_the_year_2999_there_are_more() {
        let mut last = at(TOO_LATE_MS - 1, 0x55);
        for _ in 0..1000 {
            let next = EntryId::after(Some(last));
            assert!(next > last && next.is_sound(), "{next} behind {last}");
            assert_ne!(next, EntryId::after(Some(last)), "two writers saw the same");
            last = next;
        }
    }

    #[test]
    fn at_the_very_end_ids_neither_begin_anew_nor_leave_their_version() {
        let fresh = at(1, 0xff);
        let greatest = at(TOO_LATE_MS - 1, 0xff);
        let last_but_one = EntryId(Uuid::from_u128(greatest.0.as_u128() - 1));
        assert_eq!(EntryId::after_or(Some(last_but_one), fresh.0), greatest);
        // What carries from the lower digits goes to those above the variant.
        let full = EntryId(Uuid::from_u128(at(TOO_LATE_MS - 1, 0).0.as_u128() | LOWER));
        let next = EntryId::after_or(Some(full), at(1, 0).0);
        assert!(next > full && next.is_sound(), "{next}");
        assert_eq!(digits(next.0), digits(full.0) + 1);
        // There is none greater, and still something can be recorded.
        assert_eq!(EntryId::after_or(Some(greatest), fresh.0), fresh);
    }

    #[test]
    fn a_clock_past_the_year_3000_hinders_nobody_from_writing() {
        let wild = at(TOO_LATE_MS + 7, 3);
        assert!(EntryId::after_or(None, wild.0).is_sound());
        let seen = at(5, 9);
        let next = EntryId::after_or(Some(seen), wild.0);
        assert!(next > seen && next.is_sound());
    }
}
