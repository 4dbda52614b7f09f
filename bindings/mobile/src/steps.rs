//! The steps that follow from a chosen remedy, in the order that survives the face cut, with their numbers.

use crate::border::{Out, record_out};
use crate::ids::EntryId;
use crate::inserts::Drill;
use crate::length::Length;
use crate::record::{CheckKind, CutStep};
use crate::time::Moment;
use holebook_core::cutting::Per;
use holebook_core::hole::steps as core;
use holebook_core::notebook;

/// Which step; each is recorded by a call of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum StepKey {
    /// A step of cutting: `cut`.
    Cut {
        /// Which.
        step: CutStep,
    },
    /// The insert is tried and taken out again: `dry_fit`.
    DryFit,
    /// The face is cut; recorded for the whole face: `record_face_milled`.
    FaceCut,
    /// The insert is set for good: `set_insert`.
    SetInsert,
    /// The keys are driven: `drive_keys`.
    DriveKeys,
    /// A check: `check`.
    Check {
        /// Which.
        check: CheckKind,
    },
    /// The proof: `prove`.
    Prove,
}

impl Out for core::StepKey {
    type Face = StepKey;
    fn out(self) -> StepKey {
        match self {
            Self::Cut(step) => StepKey::Cut { step: step.out() },
            Self::DryFit => StepKey::DryFit,
            Self::FaceCut => StepKey::FaceCut,
            Self::Set => StepKey::SetInsert,
            Self::Keys => StepKey::DriveKeys,
            Self::Check(check) => StepKey::Check { check: check.out() },
            Self::Prove => StepKey::Prove,
        }
    }
}

/// What a number of a step can be.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Amount {
    /// A length.
    Long {
        /// How long.
        length: Length,
    },
    /// A length between two limits.
    Between {
        /// The least.
        least: Length,
        /// The most.
        most: Length,
    },
    /// A drill, by its name.
    WithDrill {
        /// Which.
        drill: Drill,
    },
    /// Degrees, between two limits.
    Degrees {
        /// The least.
        least_deg: f64,
        /// The most.
        most_deg: f64,
    },
    /// How many.
    Count {
        /// So many.
        count: u8,
    },
    /// Turns a minute, between two limits.
    Turns {
        /// The least.
        least_rpm: f64,
        /// The most.
        most_rpm: f64,
    },
    /// Feed, between two limits.
    Feed {
        /// The least.
        least: Length,
        /// The most.
        most: Length,
        /// Whether it is by the tooth; otherwise by the turn.
        by_tooth: bool,
    },
    /// A torque.
    NewtonMetres {
        /// Newton metres.
        torque_nm: f64,
    },
    /// A load.
    Newtons {
        /// Newtons.
        load_n: f64,
    },
    /// A tool or thread by its name.
    Words {
        /// The name.
        text: String,
    },
}

impl Out for core::Value {
    type Face = Amount;
    fn out(self) -> Amount {
        match self {
            Self::Length(length) => Amount::Long {
                length: length.out(),
            },
            Self::Between(least, most) => Amount::Between {
                least: least.out(),
                most: most.out(),
            },
            Self::Drill(drill) => Amount::WithDrill { drill: drill.out() },
            Self::Degrees(least_deg, most_deg) => Amount::Degrees {
                least_deg,
                most_deg,
            },
            Self::Count(count) => Amount::Count { count },
            Self::Turns(least_rpm, most_rpm) => Amount::Turns {
                least_rpm,
                most_rpm,
            },
            Self::Feed(feed) => Amount::Feed {
                least: feed.least.out(),
                most: feed.most.out(),
                by_tooth: feed.per == Per::Tooth,
            },
            Self::NewtonMetres(torque_nm) => Amount::NewtonMetres { torque_nm },
            Self::Newtons(load_n) => Amount::Newtons { load_n },
            Self::Words(text) => Amount::Words { text },
        }
    }
}

record_out! {
    /// A number of a step, with its name.
    StepNumber = core::Number {
        /// What it is.
        name: String,
        /// How much.
        value: Amount,
    }
}

/// That a step is done, and by which entry.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct StepDone {
    /// The entry; none for the face cut, which is recorded for the face.
    pub entry: Option<EntryId>,
    /// Who did it.
    pub by: Option<String>,
    /// When, by that device's clock.
    pub at: Option<Moment>,
    /// What is not as the plan says, in a sentence.
    pub but: Option<String>,
}

impl Out for core::Done {
    type Face = StepDone;
    fn out(self) -> StepDone {
        let Self { entry, by, at, but } = self;
        StepDone {
            entry: entry.map(|entry| notebook::EntryId(entry).out()),
            by,
            at: at.out(),
            but,
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Step {
    /// Which.
    pub key: StepKey,
    /// What to do, in a few words.
    pub title: String,
    /// With which numbers.
    pub numbers: Vec<StepNumber>,
    /// Why, and what to look at.
    pub why: String,
    /// What more there is to know, a sentence or two each, for who wants to read on.
    pub notes: Vec<String>,
    /// What to beware of, in sentences.
    pub cautions: Vec<String>,
    /// Whether it is done.
    pub done: Option<StepDone>,
    /// Whether it belongs before a face cut that is still to come.
    pub before_face_cut: bool,
    /// The first step that should be done before it and is not.
    pub waits_for: Option<StepKey>,
    /// Why a reason is asked for doing it now, out of the planned order; none where it is its turn or it is done. The
    /// notebook takes the step without a reason too, and where it matters the hole is then in question.
    pub asks_reason: Option<String>,
}

impl Step {
    /// The step, with why it would be out of order now.
    pub(crate) fn of(step: core::Step, asks_reason: Option<String>) -> Self {
        let core::Step {
            key,
            title,
            numbers,
            why,
            notes,
            cautions,
            done,
            before_face_cut,
            waits_for,
        } = step;
        Self {
            key: key.out(),
            title,
            numbers: numbers.out(),
            why,
            notes,
            cautions: cautions.out(),
            asks_reason: asks_reason.filter(|_| done.is_none()),
            done: done.out(),
            before_face_cut,
            waits_for: waits_for.out(),
        }
    }
}
