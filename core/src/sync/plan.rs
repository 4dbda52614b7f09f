//! Works out what to transfer from what each side has; no I/O here.

use crate::photo::PhotoHash;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

/// Returns the numbers from 1 to `last` that none of `held` covers, as ranges, lowest first.
pub(super) fn missing_ranges(last: u64, held: &[RangeInclusive<u64>]) -> Vec<RangeInclusive<u64>> {
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

/// Where each photo that an entry names has to go.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct PhotoPlan {
    /// From the remote to the notebook.
    pub pull: Vec<PhotoHash>,
    /// From the notebook to the remote.
    pub push: Vec<PhotoHash>,
    /// On neither side.
    pub missing: Vec<PhotoHash>,
}

/// Plans the transfer of the photos that entries name. `here` and `remote` give the size of each
/// photo in bytes; a photo whose size on the remote differs was truncated there and is pushed
/// again.
pub(super) fn photos(
    named: &BTreeSet<PhotoHash>,
    here: &BTreeMap<PhotoHash, u64>,
    remote: &BTreeMap<PhotoHash, u64>,
) -> PhotoPlan {
    let mut plan = PhotoPlan::default();
    for photo in named {
        match (here.get(photo), remote.get(photo)) {
            (None, None) => plan.missing.push(*photo),
            (None, Some(_)) => plan.pull.push(*photo),
            (Some(here), there) if there != Some(here) => plan.push.push(*photo),
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
    fn each_photo_goes_to_the_side_that_lacks_it() {
        let [a, b, c, d, e] = [b"a", b"b", b"c", b"d", b"e"].map(|bytes| PhotoHash::of(bytes));
        let named = BTreeSet::from([a, b, c, d]);
        let here = BTreeMap::from([(a, 10), (b, 10), (e, 10)]);
        let remote = BTreeMap::from([(b, 7), (c, 10), (e, 10)]);
        let plan = photos(&named, &here, &remote);
        let sorted = |mut photos: Vec<PhotoHash>| {
            photos.sort();
            photos
        };
        assert_eq!(plan.pull, [c]);
        assert_eq!(
            plan.push,
            sorted(vec![a, b]),
            "one is lacking, one was cut short"
        );
        assert_eq!(plan.missing, [d]);
    }

    proptest! {
        #[test]
        fn missing_ranges_are_the_numbers_not_held(
            last in 0..40_u64,
            held in prop::collection::vec((1..50_u64, 0..9_u64), 0..6),
        ) {
            let held: Vec<_> = held.into_iter().map(|(first, more)| first..=first + more).collect();
            let ranges = missing_ranges(last, &held);
            for number in 1..=60 {
                let wanted = number <= last && !held.iter().any(|range| range.contains(&number));
                prop_assert_eq!(ranges.iter().filter(|range| range.contains(&number)).count(), usize::from(wanted));
            }
        }
    }
}
