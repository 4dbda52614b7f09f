//! Exchanging in the background: begun, watched, ended early, and what came of it.

use crate::border::Out;
use crate::error::{NotebookError, ShelfTrouble};
use crate::exchange::ExchangeReport;
use crate::guard::guard;
use crate::meet::Failed;
use crate::notebook::Notebook;
use holebook_core::exchange as core;
use holebook_screens::meeting::{Begun, Done, Leg, LegState};
use std::sync::Arc;

/// With what to exchange.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum ExchangeWith {
    /// The shelf in a folder, which is made where only its last part is missing.
    Folder {
        /// The folder, as an absolute path.
        path: String,
    },
    /// A shop computer that this device is paired with, over the local network.
    Shop {
        /// The shop computer's, as a paired shop or a known shelf says it.
        id: String,
    },
    /// A bundle in a file, of which is taken what is new; nothing is left in it, and the file stays.
    Bundle {
        /// The file, as an absolute path.
        path: String,
    },
    /// Every shelf that is known, one after the other: the shop computers, then the folders. One that is not reached keeps none
    /// of the others from their turn.
    Every,
}

/// What an exchange is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ExchangeStage {
    /// It was begun, and nothing is known yet.
    Beginning,
    /// It looks at what lies on the shelf.
    Looking,
    /// It takes entries, and the photos that they name.
    Taking,
    /// It leaves photos, then entries.
    Leaving,
    /// It has ended, well or not; the result says which.
    Over,
}

impl Out for core::Stage {
    type Face = ExchangeStage;
    fn out(self) -> ExchangeStage {
        match self {
            Self::Looking => ExchangeStage::Looking,
            Self::Taking => ExchangeStage::Taking,
            Self::Leaving => ExchangeStage::Leaving,
        }
    }
}

/// How far an exchange is.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ExchangeProgress {
    /// What to call the shelf or bundle in a sentence, without an article at its start; the last one where all is over.
    pub shelf: String,
    /// Which of the shelves it is, from 1.
    pub turn: u32,
    /// How many shelves there are.
    pub turns: u32,
    /// What it is doing there.
    pub stage: ExchangeStage,
    /// How many entries are done in this stage.
    pub entries: u64,
    /// Of how many, as far as is known.
    pub entries_of: u64,
    /// How many bytes of photos are done in this stage.
    pub photo_bytes: u64,
    /// Of how many, as far as is known; it grows where lines that are taken name more.
    pub photo_bytes_of: u64,
}

/// What came of the exchange with one shelf.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum ShelfOutcome {
    /// It ended well.
    Done {
        /// What to call the shelf or bundle in a sentence.
        shelf: String,
        /// What it did.
        report: ExchangeReport,
    },
    /// It ended early. What was moved by then stays, and the next exchange goes on from there.
    Failed {
        /// What to call the shelf or bundle in a sentence.
        shelf: String,
        /// Why, in a sentence for the person.
        reason: String,
        /// What is wrong with the shelf, where it is the shelf that is in trouble.
        trouble: Option<ShelfTrouble>,
    },
}

/// An exchange that was begun. It goes on whether or not this is kept, and answers also after the notebook was shut down.
#[derive(uniffi::Object)]
pub struct ExchangeRun {
    begun: Begun,
    /// Why each of its legs failed, where it did.
    failed: Vec<Failed>,
}

impl ExchangeRun {
    pub(crate) fn of(begun: Begun, failed: Vec<Failed>) -> Self {
        Self { begun, failed }
    }

    /// Why a leg failed. One that was never begun, since the run was ended before, says only so.
    fn why(&self, turn: usize, sentence: &str) -> NotebookError {
        let told = self.failed.get(turn).and_then(|failed| failed.get());
        told.cloned().unwrap_or_else(|| NotebookError::Stopped {
            reason: sentence.to_owned(),
        })
    }

    fn outcome(&self, turn: usize, leg: Leg) -> Result<ShelfOutcome, (String, NotebookError)> {
        let shelf = leg.name;
        match leg.state {
            LegState::Done(Done::Moved(report)) => Ok(ShelfOutcome::Done {
                shelf,
                report: report.out(),
            }),
            LegState::Failed(sentence) => Err((shelf, self.why(turn, &sentence))),
            LegState::Done(Done::Written(_)) | LegState::Waiting | LegState::UnderWay(_) => {
                unreachable!("a run of exchanges that is over has moved or failed")
            }
        }
    }
}

#[uniffi::export]
impl ExchangeRun {
    /// How far it is. Does not block.
    pub fn progress(&self) -> ExchangeProgress {
        let run = self.begun.run();
        let waits = |leg: &Leg| matches!(leg.state, LegState::Waiting | LegState::UnderWay(_));
        let now = run.legs.iter().position(waits);
        let at = now.unwrap_or(run.legs.len().saturating_sub(1));
        let leg = run.legs.get(at);
        let known = match leg.map(|leg| &leg.state) {
            Some(LegState::UnderWay(known)) => *known,
            _ => None,
        };
        ExchangeProgress {
            shelf: leg.map(|leg| leg.name.clone()).unwrap_or_default(),
            turn: (at + 1).out(),
            turns: run.legs.len().out(),
            stage: match (known, run.ended) {
                (_, Some(_)) => ExchangeStage::Over,
                (None, None) => ExchangeStage::Beginning,
                (Some(known), None) => known.stage.out(),
            },
            entries: known.map_or(0, |known| known.entries),
            entries_of: known.map_or(0, |known| known.entries_of),
            photo_bytes: known.map_or(0, |known| known.photo_bytes),
            photo_bytes_of: known.map_or(0, |known| known.photo_bytes_of),
        }
    }

    /// Whether it has ended, well or not. Does not block.
    pub fn is_over(&self) -> bool {
        self.begun.is_over()
    }

    /// Ends it, soon: between two pieces of what is moved, or after 30 seconds at most where the network stands still. What was
    /// moved by then stays. Does not block, and does no harm where it has ended.
    pub fn cancel(&self) {
        self.begun.end();
    }

    /// What came of it, for each shelf in its turn. Blocks until it is over; asked again, it answers the same.
    ///
    /// Fails where the exchange with every one of its shelves failed, with the error of the first: `Shelf` where it cannot be
    /// reached, read or written, or does not let this device in; `Bundle` where the file is no sound bundle; `Stopped` where it
    /// was ended; `Pairing` where the shop computer was forgotten meanwhile; those of the notebook; `Internal` by a fault of the
    /// program. What was moved by then stays.
    pub fn result(&self) -> Result<Vec<ShelfOutcome>, NotebookError> {
        guard("result", || {
            self.begun.wait();
            let legs = self.begun.run().legs.into_iter().enumerate();
            let legs = legs.map(|(turn, leg)| self.outcome(turn, leg));
            let mut outcomes: Vec<_> = legs.collect();
            if outcomes.iter().all(Result::is_err)
                && let Some(Err((_, first))) = outcomes.drain(..).next()
            {
                return Err(first);
            }
            let failed = |(shelf, error): (String, NotebookError)| ShelfOutcome::Failed {
                shelf,
                reason: error.to_string(),
                trouble: error.shelf_trouble(),
            };
            let told = outcomes.into_iter();
            Ok(told.map(|done| done.unwrap_or_else(failed)).collect())
        })
    }
}

#[uniffi::export]
impl Notebook {
    /// Begins an exchange in the background and comes back; the run says how far it is and what came of it. It takes what the
    /// notebook lacks and leaves what the shelf lacks. One goes on at a time, and one that a page began is one too. The pages
    /// show it, and can end it. Blocks only as long as the notebook takes to say what it knows of its shelves.
    ///
    /// Fails with `UnderWay` where one goes on; with `Pairing` where this device is not paired with that shop computer; with
    /// `Shelf` where every shelf was asked for and none is known. What goes wrong later, the result says.
    pub fn begin_exchange(&self, with: ExchangeWith) -> Result<Arc<ExchangeRun>, NotebookError> {
        self.meet("begin_exchange", |meet| meet.begin(with).map(Arc::new))
    }
}
