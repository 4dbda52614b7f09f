//! The newest of many entries: a conflict of thousands must not make a page of thousands.

use crate::labels::count;
use holebook_core::hole::record::Recorded;
use maud::{Markup, html};

/// How many entries of a conflict are shown at once.
pub const SHOWN: usize = 5;

/// Returns the newest entries, newest first, and how many earlier ones there are.
pub fn newest<T>(entries: &[Recorded<T>]) -> (impl Iterator<Item = &Recorded<T>>, usize) {
    let earlier = entries.len().saturating_sub(SHOWN);
    (entries[earlier..].iter().rev(), earlier)
}

/// Says how many earlier entries are not shown; nothing if there are none.
pub fn earlier(number: usize) -> Markup {
    html! { @if number > 0 { (count(number, "earlier entry is", "earlier entries are")) " not shown. " } }
}
