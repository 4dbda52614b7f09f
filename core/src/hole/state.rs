//! How far a hole is, and what about it is in question: both worked out from its entries, never stored.
//!
//! Entries come from several devices whose clocks nobody trusts, so nothing here asks which entry is newer. A
//! failed check stands beside a passed one until a person strikes it.

mod question;
mod words;

pub use question::{Fact, Question};

use super::record::{CutStep, HoleRecord, Remedy, Work};
use serde::{Deserialize, Serialize};
use std::fmt;

/// How far a hole is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
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

impl State {
    /// All of them, in order.
    pub const ALL: [State; 7] = [
        State::Unread,
        State::Read,
        State::Planned,
        State::Cut,
        State::DryFitted,
        State::Set,
        State::Proved,
    ];

    /// The word for it, as screens and JSON write it.
    pub const fn word(self) -> &'static str {
        match self {
            State::Unread => "unread",
            State::Read => "read",
            State::Planned => "planned",
            State::Cut => "cut",
            State::DryFitted => "dry-fitted",
            State::Set => "set",
            State::Proved => "proved",
        }
    }

    /// The states that a hole passes with this remedy, first to last.
    pub const fn path(remedy: Option<Remedy>) -> &'static [State] {
        use State::{Cut, Planned, Proved, Read, Set, Unread};
        match remedy {
            Some(Remedy::Leave) => &[Unread, Read, Proved],
            Some(Remedy::Chase | Remedy::LargerBolt) => &[Unread, Read, Planned, Cut, Proved],
            Some(Remedy::ThreadedPlug) => &[Unread, Read, Planned, Cut, Set, Proved],
            Some(Remedy::Specialist) => &[Unread, Read, Planned, Proved],
            Some(
                Remedy::WireInsert
                | Remedy::KeyLockingInsert
                | Remedy::Bushing
                | Remedy::SteppedStud,
            )
            | None => &State::ALL,
        }
    }
}

impl fmt::Display for State {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// How far a hole is, and what about it is in question.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// How far it is.
    pub state: State,
    /// What its entries disagree about; empty where nothing is.
    pub questions: Vec<Question>,
}

impl Standing {
    /// Whether anything about it is in question.
    pub fn in_question(&self) -> bool {
        !self.questions.is_empty()
    }
}

/// Works out how far a hole is from all that stands recorded of it.
///
/// The state is the last stage that the entries show, even where an earlier one was never written down; what is
/// missing in between is a question only where it matters to whether the hole holds. A hole with a failed check, dry fit or proof
/// standing is never proved. Work done for another remedy than the chosen one counts for nothing.
pub fn standing(record: &HoleRecord) -> Standing {
    let questions = question::questions(record);
    let proved = proved(record) && !questions.iter().any(Question::withholds_proof);
    let state = if proved {
        State::Proved
    } else {
        unproved(record)
    };
    Standing { state, questions }
}

/// The chosen work; while answers differ, the first of them.
pub(super) fn chosen(record: &HoleRecord) -> Option<&Work> {
    let first = record.choice.0.first()?;
    Some(&record.choice.settled().unwrap_or(&first.body).work)
}

impl Work {
    /// Whether what was done for `self` counts for the chosen work: the same remedy, and nothing that both of them say
    /// differs.
    pub fn serves(&self, chosen: &Work) -> bool {
        fn agree<T: PartialEq>(a: &Option<T>, b: &Option<T>) -> bool {
            a.is_none() || b.is_none() || a == b
        }
        self.remedy == chosen.remedy
            && agree(&self.family, &chosen.family)
            && agree(&self.length, &chosen.length)
            && agree(&self.outside_thread, &chosen.outside_thread)
    }
}

fn proved(record: &HoleRecord) -> bool {
    record
        .proofs
        .iter()
        .any(|proof| proof.body.passes && serves_choice(record, &proof.body.work))
}

/// Whether work serves the choice; without a choice, only a sound hole can be proved.
fn serves_choice(record: &HoleRecord, work: &Work) -> bool {
    chosen(record).map_or(work.remedy == Remedy::Leave, |chosen| work.serves(chosen))
}

fn unproved(record: &HoleRecord) -> State {
    let Some(chosen) = chosen(record) else {
        return if was_read(record) {
            State::Read
        } else {
            State::Unread
        };
    };
    let cut = |step: CutStep| {
        let mut cuts = record.cuts.iter();
        cuts.any(|cut| cut.body.step == step && cut.body.work.serves(chosen))
    };
    let set = record.sets.iter().any(|set| set.body.work.serves(chosen));
    let dry = record
        .dry_fits
        .iter()
        .any(|dry| dry.body.fits && dry.body.work.serves(chosen));
    match chosen.remedy {
        Remedy::Leave => State::Read,
        Remedy::ThreadedPlug if cut(CutStep::Plug) || cut(CutStep::TapPlug) || set => State::Set,
        _ if set => State::Set,
        _ if dry => State::DryFitted,
        _ if cut(CutStep::Tap) => State::Cut,
        _ => State::Planned,
    }
}

fn was_read(record: &HoleRecord) -> bool {
    !record.readings.is_empty() || !record.damage.0.is_empty() || !record.checks.is_empty()
}

#[cfg(test)]
mod tests;
