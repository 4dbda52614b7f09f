//! What is to be done, worked out from what lies where; nothing here touches a disk.

use crate::photo::PhotoHash;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

/// The numbers from 1 to `last` that none of `held` covers, as ranges, lowest first.
pub(super) fn missing(last: u64, held: &[RangeInclusive<u64>]) -> Vec<RangeInclusive<u64>> {
    let mut held: Vec<_> = held.to_vec();
    held.sort_by_key(|range| *range.start());
    let mut missing = Vec::new();
    let mut next = 1;
    for range in held {
        if next < *range.start() && next <= last {
            missing.push(next..=last.min(range.start() - 1));
        }
        next = next.max(range.end().saturating_add(1));
    }
    if next <= last {
        missing.push(next..=last);
    }
    missing
}

/// Where each photo that an entry names is to go.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct PhotoPlan {
    /// From the shelf to here.
    pub take: Vec<PhotoHash>,
    /// From here to the shelf.
    pub leave: Vec<PhotoHash>,
    /// On neither.
    pub missing: Vec<PhotoHash>,
}

/// Plans for the photos that entries name. `here` and `shelf` give the size of each photo; a photo on the shelf with
/// another size than here was cut short.
pub(super) fn photos(
    named: &BTreeSet<PhotoHash>,
    here: &BTreeMap<PhotoHash, u64>,
    shelf: &BTreeMap<PhotoHash, u64>,
) -> PhotoPlan {
    let mut plan = PhotoPlan::default();
    for photo in named {
        match (here.get(photo), shelf.get(photo)) {
            (None, None) => plan.missing.push(*photo),
            (None, Some(_)) => plan.take.push(*photo),
            (Some(here), there) if there != Some(here) => plan.leave.push(*photo),
            (Some(_), _) => {}
        }
    }
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn each_photo_goes_where_it_is_lacking() {
        let [a, b, c, d, e] = [b"a", b"b", b"c", b"d", b"e"].map(|bytes| PhotoHash::of(bytes));
        let named = BTreeSet::from([a, b, c, d]);
        let here = BTreeMap::from([(a, 10), (b, 10), (e, 10)]);
        let shelf = BTreeMap::from([(b, 7), (c, 10), (e, 10)]);
        let plan = photos(&named, &here, &shelf);
        let sorted = |mut photos: Vec<PhotoHash>| {
            photos.sort();
            photos
        };
        assert_eq!(plan.take, [c]);
        assert_eq!(
            plan.leave,
            sorted(vec![a, b]),
            "one is lacking, one was cut short"
        );
        assert_eq!(plan.missing, [d]);
    }

    proptest! {
        #[test]
        fn what_is_missing_is_just_what_is_not_held(
            last in 0..40_u64,
            held in prop::collection::vec((1..50_u64, 0..9_u64), 0..6),
        ) {
            let held: Vec<_> = held.into_iter().map(|(first, more)| first..=first + more).collect();
            let ranges = missing(last, &held);
            for number in 1..=60 {
                let wanted = number <= last && !held.iter().any(|range| range.contains(&number));
                prop_assert_eq!(ranges.iter().filter(|range| range.contains(&number)).count(), usize::from(wanted));
            }
        }
    }
}
