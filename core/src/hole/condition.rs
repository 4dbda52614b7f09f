//! The condition of a hole: what a first look says, before anything is measured.
//!
//! A first look is no reading: it never makes a hole measured, and no limit is checked by it. It
//! says what to look at first, and a broken piece that it saw comes out before anything is cut.

use super::damage::BrokenTool;
use super::record::{CutStep, HoleRecord, Recorded};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What a first look says of a hole. `Display` writes its label.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// The thread looks and feels good.
    Sound,
    /// A bolt wobbles or strips: the thread is worn or pulled.
    Loose,
    /// The hole is not square to the face.
    NotSquare,
    /// A bolt or stud is broken off in it.
    BrokenBolt,
    /// A tap, drill or extractor is broken off in it.
    BrokenTool,
    /// The hole is beside its intended center.
    OffCenter,
    /// A crater: much metal is missing.
    Crater,
    /// Welded or brazed over, so that the metal may be hard.
    Welded,
    /// Not clear yet: look later.
    Unknown,
}

impl Condition {
    /// All conditions, in the order in which they are offered.
    pub const ALL: [Condition; 9] = [
        Condition::Sound,
        Condition::Loose,
        Condition::NotSquare,
        Condition::BrokenBolt,
        Condition::BrokenTool,
        Condition::OffCenter,
        Condition::Crater,
        Condition::Welded,
        Condition::Unknown,
    ];

    /// Returns its name in the journal, in JSON and in addresses.
    pub const fn name(self) -> &'static str {
        match self {
            Condition::Sound => "sound",
            Condition::Loose => "loose",
            Condition::NotSquare => "not-square",
            Condition::BrokenBolt => "broken-bolt",
            Condition::BrokenTool => "broken-tool",
            Condition::OffCenter => "off-center",
            Condition::Crater => "crater",
            Condition::Welded => "welded",
            Condition::Unknown => "unknown",
        }
    }

    /// Returns the condition with a name.
    pub fn from_name(name: &str) -> Option<Condition> {
        Condition::ALL.into_iter().find(|it| it.name() == name)
    }

    /// Returns what people read, in lower case.
    pub const fn label(self) -> &'static str {
        match self {
            Condition::Sound => "sound",
            Condition::Loose => "loose",
            Condition::NotSquare => "not square",
            Condition::BrokenBolt => "broken bolt",
            Condition::BrokenTool => "broken tool",
            Condition::OffCenter => "off center",
            Condition::Crater => "crater",
            Condition::Welded => "welded or hard",
            Condition::Unknown => "look later",
        }
    }

    /// Returns its letter on a badge: the first letter of the word that tells it apart.
    pub const fn letter(self) -> char {
        match self {
            Condition::Sound => 'S',
            Condition::Loose => 'L',
            Condition::NotSquare => 'N',
            Condition::BrokenBolt => 'B',
            Condition::BrokenTool => 'T',
            Condition::OffCenter => 'O',
            Condition::Crater => 'C',
            Condition::Welded => 'W',
            Condition::Unknown => '?',
        }
    }

    /// Returns the broken piece that it names, of unknown place and length.
    pub fn broken_piece(self) -> Option<BrokenTool> {
        let what = match self {
            Condition::BrokenBolt => "bolt",
            Condition::BrokenTool => "tool",
            _ => return None,
        };
        Some(BrokenTool {
            what: what.to_owned(),
            length: None,
            top: None,
        })
    }
}

impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}

/// A first look at a hole.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct FirstLook {
    /// The condition.
    pub condition: Condition,
}

impl HoleRecord {
    /// Returns the condition in force; `None` if the hole was not looked at, or if its conditions are
    /// in conflict.
    pub fn condition_in_force(&self) -> Option<Condition> {
        self.condition.agreed().map(|look| look.condition)
    }

    /// Returns whether the hole is graded sound, and nobody described damage: it needs no
    /// measurements to be left as is and passed by its check.
    pub fn is_graded_sound(&self) -> bool {
        self.condition_in_force() == Some(Condition::Sound) && self.damage.0.is_empty()
    }

    /// Returns the conditions that still claim something: not sound, not "look later", and not
    /// followed by what settles them. A description of the damage settles all, and removing a broken
    /// piece settles that it is there; their writer must have known of the first look.
    fn open_conditions(&self) -> impl Iterator<Item = Condition> {
        let looks = self.condition.0.iter();
        let open = looks.filter(|look| !self.is_settled(look));
        open.map(|look| look.body.condition)
    }

    fn is_settled(&self, look: &Recorded<FirstLook>) -> bool {
        let described = || {
            let mut damage = self.damage.0.iter();
            damage.any(|damage| damage.knows(look.position()))
        };
        let cleared = || {
            let mut cuts = self.cuts.iter();
            cuts.any(|cut| cut.body.step == CutStep::ClearBroken && cut.knows(look.position()))
        };
        match look.body.condition {
            Condition::Sound | Condition::Unknown => true,
            Condition::BrokenBolt | Condition::BrokenTool => described() || cleared(),
            _ => described(),
        }
    }

    /// Returns the condition that forbids leaving the hole as is, if there is one.
    pub(super) fn condition_against_leaving(&self) -> Option<Condition> {
        self.open_conditions().min()
    }

    /// Returns the broken piece that a first look saw, or that broke off in the work, until it is
    /// removed or the damage described.
    pub(super) fn piece_seen(&self) -> Option<BrokenTool> {
        let broken = self
            .open_conditions()
            .filter(|it| it.broken_piece().is_some());
        let seen = broken.min().and_then(Condition::broken_piece);
        self.piece_broken().or(seen)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_condition_has_a_name_a_label_and_a_letter_of_its_own() {
        let names: BTreeSet<_> = Condition::ALL.map(Condition::name).into();
        let labels: BTreeSet<_> = Condition::ALL.map(Condition::label).into();
        let letters: BTreeSet<_> = Condition::ALL.map(Condition::letter).into();
        assert_eq!([names.len(), labels.len(), letters.len()], [9; 3]);
        for condition in Condition::ALL {
            assert_eq!(Condition::from_name(condition.name()), Some(condition));
            let json = serde_json::to_value(condition).unwrap();
            assert_eq!(json, condition.name());
        }
        assert_eq!(Condition::from_name("rusty"), None);
    }
}
