//! What one form records: the entries that a thread commits while it runs something.
//!
//! Kept per thread, so that a form of another window that is sent at the same moment is never taken
//! for this one.

use super::entry_kind::EntryKind;
use super::id::EntryId;
use std::cell::RefCell;

/// An entry that was recorded, and its kind.
pub type Recording = Vec<(EntryId, EntryKind)>;

thread_local! {
    /// The entries committed on this thread; `None` while nobody asks.
    static COMMITTED: RefCell<Option<Recording>> = const { RefCell::new(None) };
}

/// Ends a recording, also if what was run panics.
struct Ended;

impl Drop for Ended {
    fn drop(&mut self) {
        COMMITTED.with_borrow_mut(|committed| *committed = None);
    }
}

/// Runs `with`, and returns what it returned and the entries that it recorded on this thread, in
/// order. Entries that came from another device are not among them.
pub fn recording<T>(with: impl FnOnce() -> T) -> (T, Recording) {
    COMMITTED.with_borrow_mut(|committed| *committed = Some(Recording::new()));
    let _ended = Ended;
    let value = with();
    let recorded = COMMITTED.with_borrow_mut(Option::take);
    (value, recorded.unwrap_or_default())
}

/// Notes entries that were committed.
pub(super) fn committed(entries: Recording) {
    COMMITTED.with_borrow_mut(|committed| {
        if let Some(committed) = committed {
            committed.extend(entries);
        }
    });
}
