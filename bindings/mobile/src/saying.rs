//! What a person says of a hole: one call for each thing, and calls for several at once.

use crate::border::{In, Out};
use crate::damage::Damage;
use crate::error::NotebookError;
use crate::ids::{EntryId, HoleId};
use crate::notebook::Notebook;
use crate::record::{
    Checked, Choice, Cut, DryFit, InsertSet, KeysDriven, Note, Proof, Reading, Wanted,
};
use holebook_core::notebook as core;

/// What a person says of a hole. The first three are answers to a question, of which one should stand; the others add up.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Saying {
    /// What the hole shall hold.
    Wanted {
        /// What.
        body: Wanted,
    },
    /// What is missing.
    Damage {
        /// What.
        body: Damage,
    },
    /// The remedy chosen.
    Choice {
        /// Which.
        body: Choice,
    },
    /// A measured value.
    Reading {
        /// Of what.
        body: Reading,
    },
    /// Metal was cut.
    Cut {
        /// How.
        body: Cut,
    },
    /// The insert was tried.
    DryFit {
        /// How it went.
        body: DryFit,
    },
    /// The insert is in for good.
    InsertSet {
        /// How.
        body: InsertSet,
    },
    /// Keys were driven.
    KeysDriven {
        /// How many.
        body: KeysDriven,
    },
    /// Something was checked.
    Checked {
        /// With which answer.
        body: Checked,
    },
    /// The hole was proved.
    Proof {
        /// How.
        body: Proof,
    },
    /// Free words.
    Note {
        /// The words.
        body: Note,
    },
}

impl In<core::Saying> for Saying {
    fn inward(self) -> Result<core::Saying, NotebookError> {
        Ok(match self {
            Self::Wanted { body } => core::Saying::Wanted(body.inward()?),
            Self::Damage { body } => core::Saying::Damage(body.inward()?),
            Self::Choice { body } => core::Saying::Choice(body.inward()?),
            Self::Reading { body } => core::Saying::Reading(body.inward()?),
            Self::Cut { body } => core::Saying::Cut(body.inward()?),
            Self::DryFit { body } => core::Saying::DryFit(body.inward()?),
            Self::InsertSet { body } => core::Saying::Set(body.inward()?),
            Self::KeysDriven { body } => core::Saying::Keys(body.inward()?),
            Self::Checked { body } => core::Saying::Check(body.inward()?),
            Self::Proof { body } => core::Saying::Proof(body.inward()?),
            Self::Note { body } => core::Saying::Note(body.inward()?),
        })
    }
}

/// What the core can be told of a hole can be told from here: a new saying of the core does not compile until it can.
impl Out for core::Saying {
    type Face = Saying;
    fn out(self) -> Saying {
        match self {
            Self::Wanted(body) => Saying::Wanted { body: body.out() },
            Self::Damage(body) => Saying::Damage { body: body.out() },
            Self::Choice(body) => Saying::Choice { body: body.out() },
            Self::Reading(body) => Saying::Reading { body: body.out() },
            Self::Cut(body) => Saying::Cut { body: body.out() },
            Self::DryFit(body) => Saying::DryFit { body: body.out() },
            Self::Set(body) => Saying::InsertSet { body: body.out() },
            Self::Keys(body) => Saying::KeysDriven { body: body.out() },
            Self::Check(body) => Saying::Checked { body: body.out() },
            Self::Proof(body) => Saying::Proof { body: body.out() },
            Self::Note(body) => Saying::Note { body: body.out() },
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// Records what a person says of a hole. `over` names the entries that it is said instead of: the answers that stood
    /// on the page where the person gave this one, or a reading that was taken again. An answer that another gave
    /// meanwhile is not in `over`, so it goes on standing beside this one until somebody settles it.
    ///
    /// Blocks until it is on the disk. Fails with `NoSuch` for another hole or entry, with `Unfit` where what is said
    /// cannot be meant, with `Unreadable` where a thread, grade or metal in it is none known here.
    #[uniffi::method(default(over = []))]
    pub fn say(
        &self,
        hole: HoleId,
        saying: Saying,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.say_as("say", hole, saying, over)
    }

    /// Records several things that a person says of a hole together: all of them, or where one cannot be taken none.
    /// Blocks until they are on the disk. Fails as `say`.
    pub fn say_all(
        &self,
        hole: HoleId,
        sayings: Vec<Saying>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.call("say_all", |open| {
            let sayings: Vec<_> = sayings.inward()?;
            Ok(open.say_all(hole.inward()?, &sayings)?.out())
        })
    }

    /// Settles a question: the answer replaces every answer that stands and that this version understands, seen or not.
    /// Blocks until it is on the disk. Fails as `say`.
    pub fn settle(&self, hole: HoleId, answer: Saying) -> Result<EntryId, NotebookError> {
        self.call("settle", |open| {
            Ok(open.settle(hole.inward()?, answer.inward()?)?.out())
        })
    }

    /// Says what a hole shall hold, in place of the answers `over`. Blocks until it is on the disk. Fails as `say`.
    #[uniffi::method(default(over = []))]
    pub fn want(
        &self,
        hole: HoleId,
        body: Wanted,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.say_as("want", hole, Saying::Wanted { body }, over)
    }

    /// Says what is missing round a hole, in place of the answers `over`. Blocks until it is on the disk. Fails as `say`.
    #[uniffi::method(default(over = []))]
    pub fn damage(
        &self,
        hole: HoleId,
        body: Damage,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.say_as("damage", hole, Saying::Damage { body }, over)
    }

    /// Chooses a remedy, in place of the choices `over`. Blocks until it is on the disk. Fails as `say`.
    #[uniffi::method(default(over = []))]
    pub fn choose(
        &self,
        hole: HoleId,
        body: Choice,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.say_as("choose", hole, Saying::Choice { body }, over)
    }

    /// Records a reading; `over` names readings that were taken again. Blocks until it is on the disk. Fails as `say`.
    #[uniffi::method(default(over = []))]
    pub fn read(
        &self,
        hole: HoleId,
        body: Reading,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.say_as("read", hole, Saying::Reading { body }, over)
    }

    /// Records that metal was cut. Blocks until it is on the disk. Fails as `say`.
    pub fn cut(&self, hole: HoleId, body: Cut) -> Result<EntryId, NotebookError> {
        self.say_as("cut", hole, Saying::Cut { body }, Vec::new())
    }

    /// Records a dry fit. Blocks until it is on the disk. Fails as `say`.
    pub fn dry_fit(&self, hole: HoleId, body: DryFit) -> Result<EntryId, NotebookError> {
        self.say_as("dry_fit", hole, Saying::DryFit { body }, Vec::new())
    }

    /// Records that the insert is in for good. Blocks until it is on the disk. Fails as `say`.
    pub fn set_insert(&self, hole: HoleId, body: InsertSet) -> Result<EntryId, NotebookError> {
        self.say_as("set_insert", hole, Saying::InsertSet { body }, Vec::new())
    }

    /// Records keys driven. Blocks until it is on the disk. Fails as `say`.
    pub fn drive_keys(&self, hole: HoleId, body: KeysDriven) -> Result<EntryId, NotebookError> {
        self.say_as("drive_keys", hole, Saying::KeysDriven { body }, Vec::new())
    }

    /// Records a check. Blocks until it is on the disk. Fails as `say`.
    pub fn check(&self, hole: HoleId, body: Checked) -> Result<EntryId, NotebookError> {
        self.say_as("check", hole, Saying::Checked { body }, Vec::new())
    }

    /// Records a proof. Blocks until it is on the disk. Fails as `say`.
    pub fn prove(&self, hole: HoleId, body: Proof) -> Result<EntryId, NotebookError> {
        self.say_as("prove", hole, Saying::Proof { body }, Vec::new())
    }

    /// Writes free words about a hole. Blocks until it is on the disk. Fails as `say`.
    pub fn note_hole(&self, hole: HoleId, body: Note) -> Result<EntryId, NotebookError> {
        self.say_as("note_hole", hole, Saying::Note { body }, Vec::new())
    }

    /// Strikes an entry: it stays readable and counts no more. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch`, and with `Unfit` where it is a strike or struck already, or no reason is given.
    pub fn strike(&self, entry: EntryId, reason: String) -> Result<EntryId, NotebookError> {
        self.call("strike", |open| {
            Ok(open.strike(entry.inward()?, &reason)?.out())
        })
    }
}

impl Notebook {
    fn say_as(
        &self,
        call: &'static str,
        hole: HoleId,
        saying: Saying,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call(call, |open| {
            let over: Vec<_> = over.inward()?;
            Ok(open.say(hole.inward()?, saying.inward()?, &over)?.out())
        })
    }
}
