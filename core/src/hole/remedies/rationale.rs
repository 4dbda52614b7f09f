//! What a remedy that only needs another bolt says about it.

use super::candidate::Candidate;
use super::joint::BoltTip;
use crate::hole::record::Remedy;
use crate::length::{Length, Rounding, show_range_both};
use crate::strength::bolt::BoltLength;

/// Returns how far a longer bolt reaches and how much it engages, with lengths in both units; empty
/// for other remedies.
pub(super) fn rationale(
    candidate: &Candidate,
    effective: Option<Length>,
    tip: Option<BoltTip>,
    bolt: Option<&BoltLength>,
) -> Vec<String> {
    let longer = matches!(candidate.remedy, Remedy::LongerBolt | Remedy::TapDeeper);
    let Some(effective) = effective.filter(|_| longer) else {
        return Vec::new();
    };
    let (from, to) = candidate.engaged;
    let engaged = format!(
        "engages {} of thread, from {} below the finished face",
        effective.both_rounded(Rounding::Down),
        show_range_both(from, to)
    );
    let reach = tip.map(|tip| match tip.most {
        Some(most) => format!(
            "the bolt's tip must reach {} below the finished face, and at most {}",
            tip.least.both_rounded(Rounding::Up),
            most.both_rounded(Rounding::Down)
        ),
        None => format!(
            "the bolt's tip must reach {} below the finished face",
            tip.least.both_rounded(Rounding::Up)
        ),
    });
    let length = bolt.map(length_under_head);
    std::iter::once(engaged)
        .chain(reach)
        .chain(length)
        .collect()
}

/// Returns the length under the head, with the stock bolt if there is one.
fn length_under_head(bolt: &BoltLength) -> String {
    let least = bolt.least.both_rounded(Rounding::Up);
    let most = bolt.most.map_or_else(String::new, |most| {
        format!(", at most {}", most.both_rounded(Rounding::Down))
    });
    let name = match &bolt.name {
        Some(name) => format!("{name}, "),
        None => "no stock length fits, ".to_owned(),
    };
    format!("bolt: {name}at least {least}{most} under the head")
}
