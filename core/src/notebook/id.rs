//! New ids, and which ids an entry may carry.

use super::clock;
use uuid::{Builder, Uuid};

pub use crate::id::{CastingId, DeviceId, EntryId, FaceId, HoleId, PhotoId, Seen};

macro_rules! new_ids {
    ($($id:ident),+) => {$(
        impl $id {
            /// Returns an id that nothing else has.
            pub fn fresh() -> Self {
                Self(clock::new_id())
            }
        }
    )+};
}

new_ids!(CastingId, FaceId, PhotoId, HoleId, EntryId, DeviceId);

/// Milliseconds since 1970 at the start of the year 3000. Later ids are refused, so that one wrong
/// clock cannot use up the ids that are still to come.
const MAX_MS: u64 = 32_503_680_000_000;

/// The random bits of an id, neither time nor version nor variant: these at its end, and more above
/// the variant.
const LOWER_BITS: u32 = 62;
const LOWER: u128 = (1 << LOWER_BITS) - 1;
const UPPER: u128 = 0xfff << 64;
/// The greatest number that they can make together.
const MOST_DIGITS: u128 = (1 << 74) - 1;

impl EntryId {
    /// Returns the id for a new entry by a device that has seen entries up to `last`: always
    /// greater than that, whatever the clock says, so that an entry sorts after all that its writer
    /// knew of.
    ///
    /// If `last` is the greatest possible id, which no clock gives by accident, the new one is not
    /// greater: the entry is kept all the same, and the other can still be struck out.
    pub(crate) fn after(last: Option<EntryId>) -> Self {
        Self::after_or(last, clock::new_id())
    }

    fn after_or(last: Option<EntryId>, fresh: Uuid) -> Self {
        let fresh = Self(fresh).at_valid_time();
        match last {
            Some(last) if last >= fresh => last.next(fresh).unwrap_or(fresh),
            _ => fresh,
        }
    }

    /// Returns a greater id with the digits of `fresh`: a millisecond later, or in the same one if
    /// that would be too late.
    fn next(self, fresh: Self) -> Option<Self> {
        let ms = milliseconds(self.0) + 1;
        if ms < MAX_MS {
            return Some(fresh.at(ms));
        }
        let left = MOST_DIGITS - digits(self.0);
        // Two devices that saw the same last id must not choose the same next one, and many more
        // ids must follow: at most a millionth of what is left.
        let step = 1 + digits(fresh.0) % (left >> 20).max(1);
        (left > 0).then(|| self.with_digits(digits(self.0) + step))
    }

    /// Moves an id from a clock past the year 3000 to time zero, before all others.
    fn at_valid_time(self) -> Self {
        if self.is_valid() { self } else { self.at(0) }
    }

    /// Returns the id with the same digits at another time.
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

    /// Returns whether an entry may carry this id: version 7, and not from the far future.
    pub(crate) fn is_valid(self) -> bool {
        self.0.get_version_num() == 7 && milliseconds(self.0) < MAX_MS
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
    fn a_new_entry_sorts_after_all_that_its_writer_had_seen() {
        let fresh = Uuid::now_v7();
        let wild = Builder::from_unix_timestamp_millis(milliseconds(fresh) + 90_000, &[0xff; 10])
            .into_uuid();
        let next = EntryId::after_or(Some(EntryId(wild)), fresh);
        assert!(next > EntryId(wild));
        assert!(next.is_valid());
        assert_eq!(EntryId::after_or(None, fresh), EntryId(fresh));
    }

    #[test]
    fn ids_of_other_versions_and_of_the_far_future_are_not_valid() {
        assert!(!EntryId(Uuid::nil()).is_valid());
        let far = Builder::from_unix_timestamp_millis(MAX_MS, &[7; 10]).into_uuid();
        assert!(!EntryId(far).is_valid());
    }

    fn at(ms: u64, digits: u8) -> EntryId {
        EntryId(Builder::from_unix_timestamp_millis(ms, &[digits; 10]).into_uuid())
    }

    #[test]
    fn more_ids_follow_one_of_the_last_millisecond_of_the_year_2999() {
        let mut last = at(MAX_MS - 1, 0x55);
        for _ in 0..1000 {
            let next = EntryId::after(Some(last));
            assert!(next > last && next.is_valid(), "{next} behind {last}");
            assert_ne!(next, EntryId::after(Some(last)), "two writers saw the same");
            last = next;
        }
    }

    #[test]
    fn the_last_possible_ids_neither_wrap_around_nor_change_version() {
        let fresh = at(1, 0xff);
        let greatest = at(MAX_MS - 1, 0xff);
        let last_but_one = EntryId(Uuid::from_u128(greatest.0.as_u128() - 1));
        assert_eq!(EntryId::after_or(Some(last_but_one), fresh.0), greatest);
        // What carries from the lower digits goes to those above the variant.
        let full = EntryId(Uuid::from_u128(at(MAX_MS - 1, 0).0.as_u128() | LOWER));
        let next = EntryId::after_or(Some(full), at(1, 0).0);
        assert!(next > full && next.is_valid(), "{next}");
        assert_eq!(digits(next.0), digits(full.0) + 1);
        // There is none greater, and still something can be recorded.
        assert_eq!(EntryId::after_or(Some(greatest), fresh.0), fresh);
    }

    #[test]
    fn a_clock_past_the_year_3000_does_not_prevent_writing() {
        let wild = at(MAX_MS + 7, 3);
        assert!(EntryId::after_or(None, wild.0).is_valid());
        let seen = at(5, 9);
        let next = EntryId::after_or(Some(seen), wild.0);
        assert!(next > seen && next.is_valid());
    }
}
