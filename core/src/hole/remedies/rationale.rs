//! What a remedy that only needs another bolt says about it.

use super::candidate::Candidate;
use super::joint::BoltTip;
use crate::hole::record::Remedy;
use crate::length::{Length, Rounding, show_range_both};

/// Returns how far a longer bolt reaches and how much it engages, with lengths in both units; empty
/// for other remedies.
pub(super) fn rationale(
    candidate: &Candidate,
    effective: Option<Length>,
    tip: Option<BoltTip>,
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
    std::iter::once(engaged).chain(reach).collect()
}
