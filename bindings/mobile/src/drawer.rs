//! The shop's own inserts: files of them, kept whole, beside those that come with the notebook.

use crate::border::{In, Out, record_out};
use crate::error::NotebookError;
use crate::ids::EntryId;
use crate::inserts::Insert;
use crate::notebook::Notebook;
use crate::said::SaidInserts;
use holebook_core::notebook as core;
use holebook_core::thread::Thread;

record_out! {
    /// A file of the shop's own inserts, kept whole.
    InsertsBody = core::InsertsBody {
        /// What the file is called. One of the same name takes its place.
        name: String,
        /// What it says.
        text: String,
    }
}

#[uniffi::export]
impl Notebook {
    /// The inserts that give a thread, by family and length: those that come with the notebook, and the shop's own. Blocks.
    ///
    /// Fails with `Unreadable` where the thread is none known here.
    pub fn inserts(&self, thread: String) -> Result<Vec<Insert>, NotebookError> {
        self.call("inserts", |open| {
            let thread: Thread = thread.inward()?;
            Ok(open.catalogue()?.inserts_for(&thread).to_vec().out())
        })
    }

    /// The files of the shop's own inserts that stand. Blocks.
    pub fn insert_files(&self) -> Result<Vec<SaidInserts>, NotebookError> {
        self.call("insert_files", |open| Ok(open.inserts()?.out()))
    }

    /// Why files of the shop's own inserts that stand cannot be read by this version, a sentence each; their inserts are
    /// not offered. Blocks.
    pub fn insert_files_not_read(&self) -> Result<Vec<String>, NotebookError> {
        self.call("insert_files_not_read", |open| {
            let catalogue = open.catalogue()?;
            let why = catalogue.not_read().iter();
            Ok(why.map(ToString::to_string).collect())
        })
    }

    /// Adds a file of the shop's own inserts, in place of those that stand under the same name. Blocks until it is on the
    /// disk. Fails with `Unfit` where it cannot be read as one; the sentence names the line.
    pub fn add_insert_file(&self, name: String, text: String) -> Result<EntryId, NotebookError> {
        self.call("add_insert_file", |open| {
            Ok(open.add_inserts(&name, &text)?.out())
        })
    }

    /// Strikes every file of that name, and says how many entries it struck. Blocks until it is on the disk.
    ///
    /// Fails with `Unfit` where none of that name stands, or no reason is given.
    pub fn remove_insert_file(&self, name: String, reason: String) -> Result<u32, NotebookError> {
        self.call("remove_insert_file", |open| {
            Ok(open.remove_inserts(&name, &reason)?.out())
        })
    }
}
