//! The next thing to do on a hole: one, always, and the largest on its page.

use holebook_core::hole::record::{Quantity, Remedy};
use holebook_core::hole::state::State;
use holebook_core::hole::steps::{Step, StepKey};
use holebook_core::notebook::HoleView;
use maud::{Markup, html};

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Settle what the entries disagree on.
    Settle,
    /// Take readings.
    Read,
    /// Say what is missing.
    Damage,
    /// Say what thread the hole shall have.
    Want,
    /// Choose a remedy.
    Choose,
    /// The chosen remedy does not stand any more with what is recorded.
    LookAgain,
    /// A step of the work, with its title.
    Step(StepKey, String),
    /// The hole is with a specialist.
    Elsewhere,
    /// Nothing: the hole is proved.
    Nothing,
}

impl Next {
    /// Works it out from what stands recorded; `steps` are those of the chosen remedy, where it stands.
    pub fn of(hole: &HoleView, steps: &[Step]) -> Self {
        let record = &hole.record;
        if !hole.standing.questions.is_empty() {
            return Self::Settle;
        }
        if hole.standing.state == State::Proved {
            return Self::Nothing;
        }
        if !record
            .readings
            .iter()
            .any(|said| said.body.quantity == Quantity::Depth)
        {
            return Self::Read;
        }
        if record.damage.settled().is_none() {
            return Self::Damage;
        }
        if record.wanted.settled().is_none() {
            return Self::Want;
        }
        let Some(choice) = record.choice.settled() else {
            return Self::Choose;
        };
        match steps.iter().find(|step| step.done.is_none()) {
            Some(step)
                if choice.work.remedy == Remedy::Specialist && step.key == StepKey::Prove =>
            {
                Self::Elsewhere
            }
            Some(step) => Self::Step(step.key, step.title.clone()),
            None => Self::LookAgain,
        }
    }

    /// The name of the form that does it.
    pub fn form(&self) -> &'static str {
        match self {
            Self::Settle => "settle",
            Self::Read => "reading",
            Self::Damage => "damage",
            Self::Want => "wanted",
            Self::Choose | Self::LookAgain => "choose",
            Self::Elsewhere => StepKey::Prove.word(),
            Self::Step(key, _) => key.word(),
            Self::Nothing => "",
        }
    }

    /// In words.
    pub fn words(&self) -> &str {
        match self {
            Self::Settle => "Settle what is in question",
            Self::Read => "Measure it",
            Self::Damage => "Say what is missing",
            Self::Want => "Say which thread it shall have",
            Self::Choose => "Choose a remedy",
            Self::LookAgain => "Look at the remedies again",
            Self::Step(_, title) => title,
            Self::Elsewhere => "When it is back from the specialist, prove it",
            Self::Nothing => "Nothing: this hole is proved",
        }
    }

    /// The band at the head of the page that says it and leads there.
    pub fn strip(&self) -> Markup {
        html! {
            @if *self == Self::Nothing {
                p.next-strip.done { (self.words()) }
            } @else {
                a.next-strip href="#next" { span { "Next" } b { (self.words()) } }
            }
        }
    }
}
