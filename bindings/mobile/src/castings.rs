//! Castings: list, add, change.

use crate::border::{In, Out, record, record_out, words};
use crate::error::NotebookError;
use crate::faces::FaceSummary;
use crate::ids::{CastingId, EntryId};
use crate::notebook::Notebook;
use crate::record::Note;
use crate::said::{CastingAnswers, SaidNote};
use holebook_core::hole::state;
use holebook_core::notebook as core;

record! {
    /// What a casting is.
    CastingBody = core::CastingBody {
        /// What people call it; not empty.
        name: String,
        /// Free words.
        #[uniffi(default = None)]
        note: Option<String>,
        /// Its metal, where it is known: `ASTM A48 class 25`, or a kind of metal with its tensile strength such as
        /// `steel of 60000 psi`.
        #[uniffi(default = None)]
        metal: Option<String>,
    }
}

words! {
    /// How far a hole is.
    State = state::State {
        /// Nothing is known of it but its place.
        Unread,
        /// Something was measured or noted of it.
        Read,
        /// A remedy is chosen.
        Planned,
        /// The casting is cut for the remedy: its thread is tapped.
        Cut,
        /// The insert was tried, went in as it should, and was taken out again.
        DryFitted,
        /// The insert is in for good.
        Set,
        /// A bolt or gauge proved it.
        Proved,
    }
}

/// How many holes are in one state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct StateCount {
    /// The state.
    pub state: State,
    /// How many holes.
    pub holes: u32,
}

impl Out for (state::State, usize) {
    type Face = StateCount;
    fn out(self) -> StateCount {
        StateCount {
            state: self.0.out(),
            holes: self.1.out(),
        }
    }
}

record_out! {
    /// How far the holes of a face or casting are.
    StateCounts = core::StateCounts {
        /// Each state that holes are in, in the order the work goes, with how many.
        holes: Vec<StateCount>,
        /// How many of all of them are in question.
        in_question: u32,
    }
}

record_out! {
    /// A casting, in short.
    CastingSummary = core::CastingSummary {
        /// Its id.
        id: CastingId,
        /// Its name; the first answer where several stand.
        name: String,
        /// Free words.
        note: Option<String>,
        /// Whether answers about the casting itself differ.
        in_question: bool,
        /// How many faces it has.
        faces: u32,
        /// How far its holes are.
        holes: StateCounts,
    }
}

record_out! {
    /// A casting.
    CastingView = core::CastingView {
        /// Its id.
        id: CastingId,
        /// What stands about it; never empty.
        answers: CastingAnswers,
        /// Its name; the first answer where several stand.
        name: String,
        /// Its faces.
        faces: Vec<FaceSummary>,
        /// Free words about it.
        notes: Vec<SaidNote>,
    }
}

#[uniffi::export]
impl Notebook {
    /// Every casting, by name. Blocks.
    pub fn castings(&self) -> Result<Vec<CastingSummary>, NotebookError> {
        self.call("castings", |open| Ok(open.castings()?.out()))
    }

    /// One casting with its faces. Blocks. Fails with `NoSuch`.
    pub fn casting(&self, id: CastingId) -> Result<CastingView, NotebookError> {
        self.call("casting", |open| Ok(open.casting(id.inward()?)?.out()))
    }

    /// Adds a casting. Blocks until it is on the disk.
    ///
    /// Fails with `Unfit` where its name is empty or too long, with `Unreadable` where its metal is none known here.
    pub fn add_casting(&self, body: CastingBody) -> Result<CastingId, NotebookError> {
        self.call("add_casting", |open| {
            Ok(open.add_casting(&body.inward()?)?.out())
        })
    }

    /// Says anew what a casting is, in place of the answers `over`. Blocks until it is on the disk. Fails as adding it.
    #[uniffi::method(default(over = []))]
    pub fn change_casting(
        &self,
        id: CastingId,
        body: CastingBody,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_casting", |open| {
            let over: Vec<_> = over.inward()?;
            let entry = open.change_casting(id.inward()?, &body.inward()?, &over)?;
            Ok(entry.out())
        })
    }

    /// Writes free words about a casting. Blocks until it is on the disk. Fails with `Unfit` without words.
    pub fn note_casting(&self, id: CastingId, note: Note) -> Result<EntryId, NotebookError> {
        self.call("note_casting", |open| {
            Ok(open.note_casting(id.inward()?, &note.inward()?)?.out())
        })
    }
}
