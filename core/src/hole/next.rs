//! The next thing to do on a hole: always one.

use super::record::{HoleRecord, Quantity, Remedy};
use super::state::{Standing, State};
use super::steps::{Step, StepKey};
use std::fmt;

/// What to do next. Its `Display` is a short instruction.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Settle what the entries disagree on.
    Settle,
    /// Take readings.
    Read,
    /// Say what is missing.
    Damage,
    /// Say which thread the hole shall have.
    Want,
    /// Choose a remedy.
    Choose,
    /// A crack was seen, and the chosen remedy, or none, is not that of a specialist.
    Crack,
    /// The chosen remedy is not among the ways any more, or all its steps are done and nothing proves the hole.
    LookAgain,
    /// A step of the work, with its title.
    Step(StepKey, String),
    /// The hole is with a specialist, and is proved when it is back.
    Elsewhere,
    /// Nothing: the hole is proved.
    Nothing,
}

impl Next {
    /// Works it out from what stands; `steps` are those of the chosen remedy.
    pub fn of(standing: &Standing, record: &HoleRecord, steps: &[Step]) -> Next {
        if !standing.questions.is_empty() {
            return Next::Settle;
        }
        if standing.state == State::Proved {
            return Next::Nothing;
        }
        let read = |quantity| {
            record
                .readings
                .iter()
                .any(|said| said.body.quantity == quantity)
        };
        if !read(Quantity::Depth) {
            return Next::Read;
        }
        if record.damage.0.is_empty() {
            return Next::Damage;
        }
        if record.wanted.0.is_empty() {
            return Next::Want;
        }
        match record.choice.settled() {
            None => Next::Choose,
            Some(choice) => step(choice.work.remedy, steps),
        }
    }
}

/// The first step that is not done. What is set already was set before the face cut on purpose, so the cut does not hold up the rest.
fn step(remedy: Remedy, steps: &[Step]) -> Next {
    let set = steps
        .iter()
        .any(|step| step.key == StepKey::Set && step.done.is_some());
    let open = steps
        .iter()
        .find(|step| step.done.is_none() && !(set && step.key == StepKey::FaceCut));
    match open {
        Some(step) if remedy == Remedy::Specialist && step.key != StepKey::FaceCut => {
            Next::Elsewhere
        }
        Some(step) => Next::Step(step.key, step.title.clone()),
        None => Next::LookAgain,
    }
}

impl fmt::Display for Next {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Next::Settle => "Settle what is in question",
            Next::Read => "Measure it",
            Next::Damage => "Say what is missing",
            Next::Want => "Say which thread it shall have",
            Next::Crack => "A crack was seen: stop here, and choose the specialist",
            Next::Choose => "Choose a remedy",
            Next::LookAgain => "Look at the remedies again",
            Next::Step(_, title) => title,
            Next::Elsewhere => "When it is back from the specialist, prove it",
            Next::Nothing => "Nothing: this hole is proved",
        })
    }
}
