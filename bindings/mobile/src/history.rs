//! The journal as people read it: every entry, also those that are struck out.

use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use chrono::{DateTime, FixedOffset};
use holebook_core::notebook::LineHash;
use serde_json::Value;
use uuid::Uuid;

lend! {
    holebook_core::notebook {
        JournalLine,
        StruckOut,
    }
}

#[uniffi::export]
impl Notebook {
    /// Returns everything ever recorded about a subject, newest first: at most `count` entries, and
    /// only those before the entry `before` if it is given. Blocks.
    #[uniffi::method(default(before = None))]
    pub fn history(
        &self,
        subject: Subject,
        count: u32,
        before: Option<EntryId>,
    ) -> Result<Vec<JournalLine>, NotebookError> {
        self.call("history", |open| {
            let count = usize::try_from(count).unwrap_or(usize::MAX);
            Ok(open.history(subject.into(), count, before)?)
        })
    }

    /// One entry. Blocks. Fails with `NoSuch`.
    pub fn entry(&self, id: EntryId) -> Result<JournalLine, NotebookError> {
        self.call("entry", |open| Ok(open.entry(id)?))
    }
}
