//! Holes: list, add, change, and all that stands about one.

use crate::border::{In, Out, record, record_out, words};
use crate::castings::State;
use crate::error::NotebookError;
use crate::faces::FaceRecord;
use crate::ids::{CastingId, EntryId, FaceId, HoleId, PhotoId};
use crate::length::{Length, Point};
use crate::notebook::Notebook;
use crate::record::{CheckKind, Quantity, Work};
use crate::said::{
    ChoiceAnswers, DamageAnswers, HoleAnswers, MarkAnswers, SaidChecked, SaidCut, SaidDryFit,
    SaidInsertSet, SaidKeysDriven, SaidNote, SaidProof, SaidReading, WantedAnswers,
};
use holebook_core::hole::{record, state};
use holebook_core::notebook as core;

record! {
    /// A hole's number and place on its face.
    HoleBody = core::HoleBody {
        /// The face it is in.
        face: FaceId,
        /// Its number on that face, from 1.
        number: u32,
        /// Where it is, along the face's x axis. None: not measured.
        #[uniffi(default = None)]
        x: Option<Length>,
        /// Where it is, along the face's y axis. None: not measured.
        #[uniffi(default = None)]
        y: Option<Length>,
    }
}

record_out! {
    /// All that stands recorded of one hole: nothing struck, nothing replaced.
    HoleRecord = record::HoleRecord {
        /// What it shall hold.
        wanted: WantedAnswers,
        /// What is missing.
        damage: DamageAnswers,
        /// The chosen remedy.
        choice: ChoiceAnswers,
        /// Measured values, in the order of their entries.
        readings: Vec<SaidReading>,
        /// Steps of cutting that were done.
        cuts: Vec<SaidCut>,
        /// Dry fits.
        dry_fits: Vec<SaidDryFit>,
        /// Inserts set.
        sets: Vec<SaidInsertSet>,
        /// Keys driven.
        keys: Vec<SaidKeysDriven>,
        /// Checks made.
        checks: Vec<SaidChecked>,
        /// Proofs.
        proofs: Vec<SaidProof>,
        /// Free words.
        notes: Vec<SaidNote>,
    }
}

words! {
    /// A fact that is answered once.
    Fact = state::Fact {
        /// What the hole shall hold.
        Wanted,
        /// What is missing round it.
        Damage,
        /// The chosen remedy.
        Choice,
    }
}

/// What a question is about.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum QuestionAbout {
    /// Several answers that differ stand for one fact.
    SeveralAnswers {
        /// Which fact.
        fact: Fact,
    },
    /// Readings of one quantity differ by more than they may be off.
    ReadingsDiffer {
        /// Which quantity.
        quantity: Quantity,
        /// The least value.
        least: Length,
        /// The largest.
        most: Length,
    },
    /// Work was done for another remedy than the chosen one.
    OtherWork {
        /// What it was done for.
        done_for: Work,
    },
    /// Work was done, and no remedy is chosen.
    NothingChosen,
    /// A dry fit that did not go in as it should stands.
    DryFitFailed,
    /// A failed check stands.
    CheckFailed {
        /// What was looked at.
        check: CheckKind,
    },
    /// A failed proof stands.
    ProofFailed,
    /// The insert was set before the face cut that the plan counts on, without a reason.
    SetBeforeFaceCut,
    /// A proof stands, but nothing says that the insert was set or the plug fitted.
    ProvedNotSet,
    /// A proof stands, but nothing says that the keys were driven.
    ProvedWithoutKeys,
}

/// Something about a hole that a person has to settle.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Question {
    /// What it is about.
    pub about: QuestionAbout,
    /// The same in a sentence that says what to do.
    pub sentence: String,
    /// The entries that it is about.
    pub entries: Vec<EntryId>,
    /// Whether the hole cannot count as proved while it is open.
    pub withholds_proof: bool,
}

impl Out for state::Question {
    type Face = Question;
    fn out(self) -> Question {
        use state::Question as Core;
        let entries = self
            .entries()
            .iter()
            .map(|entry| core::EntryId(*entry).out());
        Question {
            sentence: self.to_string(),
            entries: entries.collect(),
            withholds_proof: self.withholds_proof(),
            about: match self {
                Core::SeveralAnswers { fact, .. } => {
                    QuestionAbout::SeveralAnswers { fact: fact.out() }
                }
                Core::ReadingsDiffer {
                    quantity,
                    least,
                    most,
                    ..
                } => QuestionAbout::ReadingsDiffer {
                    quantity: quantity.out(),
                    least: least.out(),
                    most: most.out(),
                },
                Core::OtherWork { done_for, .. } => QuestionAbout::OtherWork {
                    done_for: done_for.out(),
                },
                Core::NothingChosen { .. } => QuestionAbout::NothingChosen,
                Core::DryFitFailed { .. } => QuestionAbout::DryFitFailed,
                Core::CheckFailed { check, .. } => {
                    QuestionAbout::CheckFailed { check: check.out() }
                }
                Core::ProofFailed { .. } => QuestionAbout::ProofFailed,
                Core::SetBeforeFaceCut { .. } => QuestionAbout::SetBeforeFaceCut,
                Core::ProvedNotSet { .. } => QuestionAbout::ProvedNotSet,
                Core::ProvedWithoutKeys { .. } => QuestionAbout::ProvedWithoutKeys,
            },
        }
    }
}

record_out! {
    /// How far a hole is, and what about the work is in question.
    Standing = state::Standing {
        /// How far it is.
        state: State,
        /// What its entries disagree about; empty where nothing is.
        questions: Vec<Question>,
    }
}

record_out! {
    /// Where a hole is in one photo.
    HoleMark = core::HoleMark {
        /// The photo.
        photo: PhotoId,
        /// What stands about where the hole is in it.
        answers: MarkAnswers,
    }
}

record_out! {
    /// A hole with all that stands about it.
    HoleView = core::HoleView {
        /// Its id.
        id: HoleId,
        /// What stands about its number and place; never empty.
        placed: HoleAnswers,
        /// Its number; the first answer where several stand.
        number: u32,
        /// Where it is on the face, where that was measured; the first answer where several stand.
        at: Option<Point>,
        /// The face it is in.
        face: FaceId,
        /// That face's name; empty where it was struck or is not here yet.
        face_name: String,
        /// The casting that the face is on; none where the face was struck or is not here yet.
        casting: Option<CastingId>,
        /// That casting's name.
        casting_name: String,
        /// The work on it.
        record: HoleRecord,
        /// What it depends on of its face.
        face_record: FaceRecord,
        /// Where it is in each photo, in the order in which the photos were added.
        marks: Vec<HoleMark>,
        /// How far it is, and what is in question about the work.
        standing: Standing,
        /// Whether anything about it is in question, its number, place and marks among them.
        in_question: bool,
        /// How many entries about it stand that this version does not understand.
        not_understood: u32,
        /// The hole before it on the face, by number.
        previous: Option<HoleId>,
        /// The hole after it on the face, by number.
        next: Option<HoleId>,
    }
}

#[uniffi::export]
impl Notebook {
    /// One hole with all that stands about it. Blocks. Fails with `NoSuch`.
    pub fn hole(&self, id: HoleId) -> Result<HoleView, NotebookError> {
        self.call("hole", |open| Ok(open.hole(id.inward()?)?.out()))
    }

    /// Adds a hole to a face. Without a number it gets the one after the face's highest. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch` for another face, with `Unfit` where the number is 0.
    #[uniffi::method(default(number = None, at = None))]
    pub fn add_hole(
        &self,
        face: FaceId,
        number: Option<u32>,
        at: Option<Point>,
    ) -> Result<HoleId, NotebookError> {
        self.call("add_hole", |open| {
            Ok(open.add_hole(face.inward()?, number, at.inward()?)?.out())
        })
    }

    /// Says anew which number a hole has and where it is, in place of the answers `over`. Blocks until it is on the disk.
    /// Fails as adding it.
    #[uniffi::method(default(over = []))]
    pub fn change_hole(
        &self,
        id: HoleId,
        body: HoleBody,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_hole", |open| {
            let over: Vec<_> = over.inward()?;
            Ok(open
                .change_hole(id.inward()?, &body.inward()?, &over)?
                .out())
        })
    }
}
