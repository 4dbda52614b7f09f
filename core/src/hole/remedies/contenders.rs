//! The remedies that a further reading could bring to the first place.

use super::{Assessment, Verdict, rank};
use crate::hole::record::Remedy;

/// Returns the remedies that one more reading could bring to the first place, best first: those that
/// are unknown and take less than the first that fits, or all where none does.
///
/// The larger bolt counts only where nothing else is left: its reading is taken on another part.
pub(in crate::hole) fn contenders(all: &[Assessment]) -> Vec<&Assessment> {
    let usable =
        |one: &&Assessment| one.verdict <= Verdict::Marginal && one.remedy != Remedy::Specialist;
    let first = all.iter().find(usable);
    let fits = first.filter(|first| first.verdict == Verdict::Fits);
    let takes_less = |one: &&Assessment| {
        fits.is_none_or(|fits| rank::invasiveness(one) < rank::invasiveness(fits))
    };
    let unknown = all.iter().filter(|one| one.verdict == Verdict::Unknown);
    let (larger_bolts, others): (Vec<&Assessment>, Vec<&Assessment>) = unknown
        .filter(takes_less)
        .partition(|one| one.remedy == Remedy::LargerBolt);
    if others.is_empty() && first.is_none() {
        larger_bolts
    } else {
        others
    }
}
