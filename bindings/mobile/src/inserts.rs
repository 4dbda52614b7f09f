//! Inserts and the tapped hole that each needs; files of the shop's own inserts, in addition to the
//! built-in ones.

use crate::error::NotebookError;
use crate::ids::EntryId;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::{Family, RecordedInserts};
use holebook_core::drill::DrillName;
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::drill {
        Drill,
    }
}

lend! {
    holebook_core::thread {
        Form,
    }
}

lend! {
    holebook_core::insert {
        Coil,
        Confidence,
        Countersink,
        Insert,
        OutsideThread,
        TapChamfer,
    }
}

lend! {
    holebook_core::notebook {
        InsertsBody,
    }
}

#[uniffi::export]
impl Notebook {
    /// The inserts that give a thread, by family and length: those that come with the notebook, and
    /// the shop's own. Blocks.
    ///
    /// Fails with `Unreadable` if the thread is not known.
    pub fn inserts(&self, thread: Thread) -> Result<Vec<Insert>, NotebookError> {
        self.call("inserts", |open| {
            let catalog = open.catalog()?;
            let inserts = catalog.inserts_for(&thread).into_iter();
            Ok(inserts.map(|insert| Insert::clone(&insert)).collect())
        })
    }

    /// The active files of the shop's own inserts. Blocks.
    pub fn insert_files(&self) -> Result<Vec<RecordedInserts>, NotebookError> {
        self.call("insert_files", |open| Ok(open.inserts()?))
    }

    /// Why active files of the shop's own inserts cannot be read by this version, a sentence each;
    /// their inserts are not offered. Blocks.
    pub fn unread_insert_files(&self) -> Result<Vec<String>, NotebookError> {
        self.call("unread_insert_files", |open| {
            let catalog = open.catalog()?;
            let why = catalog.unread_files().iter();
            Ok(why.map(ToString::to_string).collect())
        })
    }

    /// Adds a file of the shop's own inserts, in place of those of the same name. Blocks until it
    /// is on the disk. Fails with `Invalid` if it cannot be read as one; the sentence names the
    /// line.
    pub fn add_insert_file(&self, name: String, text: String) -> Result<EntryId, NotebookError> {
        self.call(
            "add_insert_file",
            |open| Ok(open.add_inserts(&name, &text)?),
        )
    }

    /// Strikes out every file of that name, and returns how many entries it struck out. Blocks
    /// until it is on the disk.
    ///
    /// Fails with `Invalid` if no file has that name, or no reason is given.
    pub fn remove_insert_file(&self, name: String, reason: String) -> Result<u32, NotebookError> {
        self.call("remove_insert_file", |open| {
            let removed = open.remove_inserts(&name, &reason)?;
            Ok(u32::try_from(removed).unwrap_or(u32::MAX))
        })
    }
}
