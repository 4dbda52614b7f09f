//! Bolting up the joint of a face, and reminders.

use crate::error::NotebookError;
use crate::ids::{EntryId, FaceId, HoleId};
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::{BoltPass, RecordedReminder};
use crate::strength::{BoltLength, FailureLoad, Lubrication, Torque};
use chrono::{DateTime, FixedOffset};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::bolt_up {
        BoltUp,
        JointBolt,
        LubricatedBolts,
        PassDone,
        RecordedTorque,
        TorqueOutOfRange,
    }
}

lend! {
    holebook_core::notebook {
        BoltReport,
        FullTorque,
        JointReport,
        OrderedBy,
        PassTorque,
        ReminderBody,
        TighteningOrder,
        WeakestPart,
    }
}

#[uniffi::export]
impl Notebook {
    /// How far the joint of a face is bolted up. It counts as bolted up only if every hole passed and
    /// every bolt went through every pass after the last work on any of them. Tightening is recorded
    /// for each hole as `HoleEntry::BoltTightened`, with how the bolt was lubricated. Blocks. Fails with `NoSuch`.
    pub fn bolt_up(&self, face: FaceId) -> Result<BoltUp, NotebookError> {
        self.call("bolt_up", |open| Ok(open.bolt_up(face)?))
    }

    /// What the bolts of a face need, in the order of tightening: length, engagement, torque and what
    /// fails first; and what all are tightened to in each pass. Torques are for bolts that are
    /// lubricated in one way, in newton meters; the machine's manual overrides them. Recorded torques
    /// are judged by the lubrication recorded with them. Blocks; the cost grows with the holes of the
    /// face. Fails with `NoSuch`.
    pub fn joint_plan(
        &self,
        face: FaceId,
        lubrication: Lubrication,
    ) -> Result<JointReport, NotebookError> {
        self.call("joint_plan", |open| {
            Ok(open.joint_plan(face, Some(lubrication))?.report())
        })
    }

    /// The order in which the bolts of a face are tightened, and what it goes by; the machine's manual
    /// overrides it. Blocks. Fails with `NoSuch`.
    pub fn tightening_order(&self, face: FaceId) -> Result<TighteningOrder, NotebookError> {
        self.call("tightening_order", |open| {
            Ok(holebook_core::notebook::tightening_order(&open.face(face)?))
        })
    }

    /// Records a reminder about a face or a hole of it. It is open until `finish_reminder`; its time
    /// is shown and decides nothing. Blocks. Fails with `NoSuch`, or `Invalid` if the text is empty.
    pub fn remind(&self, reminder: ReminderBody) -> Result<EntryId, NotebookError> {
        self.call("remind", |open| Ok(open.remind(&reminder)?))
    }

    /// Records that a reminder is done. Blocks. Fails with `NoSuch` if it is no open one.
    pub fn finish_reminder(&self, reminder: EntryId) -> Result<EntryId, NotebookError> {
        self.call(
            "finish_reminder",
            |open| Ok(open.finish_reminder(reminder)?),
        )
    }

    /// The open reminders, those that are due first; without a time last. Blocks.
    pub fn open_reminders(&self) -> Result<Vec<RecordedReminder>, NotebookError> {
        self.call("open_reminders", |open| Ok(open.open_reminders()?))
    }
}
