//! What people say of a hole.

use super::Notebook;
use super::check::{not_negative, positive, short_text, words};
use super::error::{Fault, NotebookError};
use super::id::{EntryId, HoleId};
use super::kind::Kind;
use super::write::{Draft, Pen};
use crate::hole::damage::Damage;
use crate::hole::record::{Checked, Choice, Cut, DryFit, Keys, Note, Proof, Reading, Set, Wanted};
use crate::length::Length;

/// What a person says of a hole. The first three are answers to a question, of which one should stand; the others add up.
#[derive(Debug, Clone, PartialEq)]
pub enum Saying {
    /// What the hole shall hold.
    Wanted(Wanted),
    /// What is missing.
    Damage(Damage),
    /// The remedy chosen.
    Choice(Choice),
    /// A measured value.
    Reading(Reading),
    /// Metal was cut.
    Cut(Cut),
    /// The insert was tried.
    DryFit(DryFit),
    /// The insert is in for good.
    Set(Set),
    /// Keys were driven.
    Keys(Keys),
    /// Something was checked.
    Check(Checked),
    /// The hole was proved.
    Proof(Proof),
    /// Free words.
    Note(Note),
}

impl Saying {
    /// Its kind in the journal.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Wanted(_) => Kind::Wanted,
            Self::Damage(_) => Kind::Damage,
            Self::Choice(_) => Kind::Remedy,
            Self::Reading(_) => Kind::Reading,
            Self::Cut(_) => Kind::Cut,
            Self::DryFit(_) => Kind::DryFit,
            Self::Set(_) => Kind::Set,
            Self::Keys(_) => Kind::Keys,
            Self::Check(_) => Kind::Check,
            Self::Proof(_) => Kind::Prove,
            Self::Note(_) => Kind::Note,
        }
    }

    /// Whether it answers a question, of which only one answer should stand.
    pub fn is_answer(&self) -> bool {
        matches!(self, Self::Wanted(_) | Self::Damage(_) | Self::Choice(_))
    }

    fn draft(&self, hole: HoleId) -> Result<Draft, Fault> {
        let (kind, hole) = (self.kind(), hole.0);
        match self {
            Self::Wanted(body) => Draft::new(kind, hole, body),
            Self::Damage(body) => Draft::new(kind, hole, body),
            Self::Choice(body) => Draft::new(kind, hole, body),
            Self::Reading(body) => Draft::new(kind, hole, body),
            Self::Cut(body) => Draft::new(kind, hole, body),
            Self::DryFit(body) => Draft::new(kind, hole, body),
            Self::Set(body) => Draft::new(kind, hole, body),
            Self::Keys(body) => Draft::new(kind, hole, body),
            Self::Check(body) => Draft::new(kind, hole, body),
            Self::Proof(body) => Draft::new(kind, hole, body),
            Self::Note(body) => Draft::new(kind, hole, body),
        }
    }

    /// Refuses what cannot be meant.
    fn check(&self) -> Result<(), Fault> {
        match self {
            Self::Wanted(_) => Ok(()),
            Self::Damage(damage) => check_damage(damage),
            Self::Choice(choice) => some(&choice.reason, |reason| words("the reason", reason)),
            Self::Reading(reading) => check_reading(reading),
            Self::Cut(cut) => {
                some_length(&cut.depth, |depth| positive("the depth reached", depth))?;
                some(&cut.tool, |tool| short_text("the tool", tool))
            }
            Self::DryFit(fit) => some(&fit.note, |note| words("the note", note)),
            Self::Set(set) => some(&set.reason, |reason| words("the reason", reason)),
            Self::Keys(keys) if keys.driven == 0 => Err(Fault::unfit(
                "no key was driven, so there is nothing to record; say how many were",
            )),
            Self::Keys(_) => Ok(()),
            Self::Check(checked) => some(&checked.instrument, |instrument| {
                short_text("the instrument", instrument)
            }),
            Self::Proof(proof) => check_proof(proof),
            Self::Note(note) => words("the note", &note.text),
        }
    }
}

fn some<T>(value: &Option<T>, check: impl FnOnce(&T) -> Result<(), Fault>) -> Result<(), Fault> {
    value.as_ref().map_or(Ok(()), check)
}

fn some_length(
    value: &Option<Length>,
    check: impl FnOnce(Length) -> Result<(), Fault>,
) -> Result<(), Fault> {
    value.map_or(Ok(()), check)
}

fn check_reading(reading: &Reading) -> Result<(), Fault> {
    positive(&format!("the {}", reading.quantity), reading.value)?;
    some_length(&reading.error, |error| {
        not_negative("the reading's error", error)
    })?;
    some(&reading.instrument, |instrument| {
        short_text("the instrument", instrument)
    })
}

fn check_damage(damage: &Damage) -> Result<(), Fault> {
    // The hole's depth is another entry's matter.
    damage
        .check(None)
        .map_err(|error| Fault::unfit(error.to_string()))?;
    some(&damage.broken_tool, |tool| {
        super::check::name("what broke off", &tool.what)
    })
}

fn check_proof(proof: &Proof) -> Result<(), Fault> {
    super::check::name("how the hole was proved", &proof.how)?;
    if proof
        .torque_nm
        .is_some_and(|torque| !torque.is_finite() || torque <= 0.0)
    {
        return Err(Fault::unfit(
            "the torque is not a number above 0; give newton metres or leave it out",
        ));
    }
    some_length(&proof.engaged, |engaged| {
        positive("the length engaged", engaged)
    })
}

impl Notebook {
    /// Records what a person says of a hole. `over` names the entries that it is said instead of: the answers that
    /// stood on the page where the person gave this one, or a reading that was taken again. An answer that another
    /// gave meanwhile is not in `over`, so it goes on standing beside this one until somebody settles it.
    ///
    /// # Errors
    /// Where there is no such hole or entry, what is said cannot be meant, or the notebook cannot be written.
    pub fn say(
        &self,
        hole: HoleId,
        saying: Saying,
        over: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|pen| say(pen, hole, &saying, over.iter().copied()))
    }

    /// Records several things that a person says of a hole together: all of them, or where one cannot be taken none.
    ///
    /// # Errors
    /// As [`Notebook::say`].
    pub fn say_all(&self, hole: HoleId, sayings: &[Saying]) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|pen| {
            let said = sayings.iter().map(|saying| say(pen, hole, saying, []));
            said.collect()
        })
    }

    /// Settles a question: the answer replaces every answer that stands and that this version
    /// understands, seen or not.
    ///
    /// # Errors
    /// As [`Notebook::say`].
    pub fn settle(&self, hole: HoleId, saying: Saying) -> Result<EntryId, NotebookError> {
        self.write(|pen| {
            let over = match saying.is_answer() {
                true => pen.current(hole.0, saying.kind())?,
                false => Vec::new(),
            };
            say(pen, hole, &saying, over)
        })
    }
}

fn say(
    pen: &mut Pen<'_>,
    hole: HoleId,
    saying: &Saying,
    over: impl IntoIterator<Item = EntryId>,
) -> Result<EntryId, Fault> {
    saying.check()?;
    pen.expect_hole(hole)?;
    pen.put(saying.draft(hole)?.over(over))
}
