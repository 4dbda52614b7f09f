//! The journal as people read it: every entry, struck ones too.

use crate::border::{In, Out, record_out};
use crate::error::NotebookError;
use crate::ids::{DeviceId, EntryId, Subject};
use crate::notebook::Notebook;
use crate::time::Moment;
use holebook_core::notebook as core;

record_out! {
    /// Who crossed an entry out, and why.
    Struck = core::Struck {
        /// The strike's own id.
        entry: EntryId,
        /// The person.
        by: String,
        /// When, by the device's clock.
        at: Moment,
        /// Why.
        reason: String,
    }
}

/// An entry as people read it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct JournalLine {
    /// Its id.
    pub entry: EntryId,
    /// The UUID of what it is about.
    pub subject: String,
    /// The device that wrote it.
    pub device: DeviceId,
    /// What that device is called; none where it never said.
    pub device_name: Option<String>,
    /// Its place among that device's entries, from 1.
    pub seq: u64,
    /// The SHA-256 of its line, in hexadecimal digits.
    pub hash: String,
    /// The person.
    pub by: String,
    /// When, by the device's clock.
    pub at: Moment,
    /// Its kind's word.
    pub kind: String,
    /// What it says, as JSON; lengths in it are millimetres.
    pub body_json: String,
    /// The entries that it names as replaced.
    pub replaces: Vec<EntryId>,
    /// The first strike that crosses it out.
    pub struck_by: Option<Struck>,
    /// The entries that name it as replaced, struck ones too.
    pub replaced_by: Vec<EntryId>,
    /// Whether an entry that counts has taken its place.
    pub replaced: bool,
    /// Whether this version understands it. It is kept and passed on in any case.
    pub understood: bool,
    /// Whether it stands: neither struck nor replaced.
    pub stands: bool,
}

impl Out for core::JournalLine {
    type Face = JournalLine;
    fn out(self) -> JournalLine {
        let stands = self.stands();
        let Self {
            entry,
            subject,
            device,
            device_name,
            seq,
            hash,
            by,
            at,
            kind,
            body,
            replaces,
            struck_by,
            replaced_by,
            replaced,
            understood,
        } = self;
        JournalLine {
            entry: entry.out(),
            subject: subject.to_string(),
            device: device.out(),
            device_name,
            seq,
            hash: hash.to_string(),
            by,
            at: at.out(),
            kind,
            body_json: body.to_string(),
            replaces: replaces.out(),
            struck_by: struck_by.out(),
            replaced_by: replaced_by.out(),
            replaced,
            understood,
            stands,
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// What was ever written about a thing, newest first: at most `count` entries, those before the entry `before` where
    /// one is given. Blocks.
    #[uniffi::method(default(before = None))]
    pub fn history(
        &self,
        subject: Subject,
        count: u32,
        before: Option<EntryId>,
    ) -> Result<Vec<JournalLine>, NotebookError> {
        self.call("history", |open| {
            let count = usize::try_from(count).unwrap_or(usize::MAX);
            Ok(open
                .history(subject.inward()?, count, before.inward()?)?
                .out())
        })
    }

    /// One entry. Blocks. Fails with `NoSuch`.
    pub fn entry(&self, id: EntryId) -> Result<JournalLine, NotebookError> {
        self.call("entry", |open| Ok(open.entry(id.inward()?)?.out()))
    }
}
