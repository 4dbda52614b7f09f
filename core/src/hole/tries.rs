//! What was tried on a hole before, tools that gave trouble in it, and the time spent: none of it
//! changes the plan's numbers, but what heat or a broken tap leaves behind is asked about again.

use super::condition::Condition;
use super::damage::BrokenTool;
use super::problem::Problem;
use super::record::{CutStep, HoleRecord, Recorded};
use super::removal::Removal;
use crate::id::Seen;
use serde::{Deserialize, Serialize};

/// A try: what somebody did to the hole before, or without success.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Try {
    /// The way; `None`: another one, which the note names.
    #[serde(default)]
    pub way: Option<Removal>,
    /// What else is known of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What happened to a tool.
#[derive(
    holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Trouble {
    /// It is dull.
    Dull,
    /// A corner or a tooth chipped.
    Chipped,
    /// It broke, and all of it came out.
    Broke,
    /// It broke, and a piece is in the hole.
    BrokeInHole,
}

impl Trouble {
    /// All of them.
    pub const ALL: [Trouble; 4] = [
        Trouble::Dull,
        Trouble::Chipped,
        Trouble::Broke,
        Trouble::BrokeInHole,
    ];

    /// Returns its name in the journal.
    pub const fn name(self) -> &'static str {
        match self {
            Trouble::Dull => "dull",
            Trouble::Chipped => "chipped",
            Trouble::Broke => "broke",
            Trouble::BrokeInHole => "broke-in-hole",
        }
    }

    /// Returns what people read.
    pub const fn label(self) -> &'static str {
        match self {
            Trouble::Dull => "dull",
            Trouble::Chipped => "chipped",
            Trouble::Broke => "broke, all of it out",
            Trouble::BrokeInHole => "broke off in this hole",
        }
    }
}

/// A tool that was worn out, chipped or broken in the hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToolTrouble {
    /// The tool, by its trade name (drill X, 1/2-13 plug tap).
    pub tool: String,
    /// What happened to it.
    pub trouble: Trouble,
}

/// Time that was spent on the hole.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TimeSpent {
    /// Minutes.
    pub minutes: u32,
}

/// The most minutes that one entry may hold: a week.
pub const MOST_MINUTES: u32 = 7 * 24 * 60;

impl HoleRecord {
    /// Returns the piece of a tool that broke off in the hole, until it is removed or the damage
    /// described.
    pub(super) fn piece_broken(&self) -> Option<BrokenTool> {
        let broke = |it: &&Recorded<ToolTrouble>| it.body.trouble == Trouble::BrokeInHole;
        let mut open = self.tool_troubles.iter().filter(broke);
        let last = open.rfind(|trouble| !self.is_out(trouble.position()))?;
        Some(BrokenTool {
            what: last.body.tool.clone(),
            length: None,
            top: None,
        })
    }

    /// Returns whether a piece that broke off at this place of the journal came out, or was described
    /// with the damage.
    fn is_out(&self, broke: Seen) -> bool {
        let mut cuts = self.cuts.iter();
        let mut damage = self.damage.0.iter();
        cuts.any(|cut| cut.body.step == CutStep::ClearBroken && cut.knows(broke))
            || damage.any(|damage| damage.knows(broke))
    }

    /// Returns the ways that were taken with this hole: tries, and how broken pieces came out.
    fn ways_taken(&self) -> impl Iterator<Item = (Removal, Seen)> {
        let tries = self.tries.iter();
        let tries = tries.filter_map(|it| Some((it.body.way?, it.position())));
        let cuts = self.cuts.iter();
        tries.chain(cuts.filter_map(|cut| Some((cut.body.removal?, cut.position()))))
    }

    /// Returns whether heat may have left hard metal around the hole: it was heated or welded, and
    /// nobody described its damage since, who would have tested it with a file.
    pub fn may_be_hard(&self) -> bool {
        let heated = self.ways_taken().filter(|(way, _)| way.is_hot());
        let looks = self.condition.0.iter();
        let welded = looks.filter(|look| look.body.condition == Condition::Welded);
        let mut hot = heated
            .map(|(_, place)| place)
            .chain(welded.map(Recorded::position));
        hot.any(|place| !self.damage.0.iter().any(|damage| damage.knows(place)))
    }

    /// Returns the tries that may have changed the hole since it was described or looked at.
    pub(super) fn tries_since_described(&self) -> Vec<Problem> {
        let changes =
            |it: &&Recorded<Try>| it.body.way.is_some_and(|way| way.aftermath().is_some());
        let tries = self.tries.iter().filter(changes);
        let unknown = tries.filter(|it| !self.is_described_after(it.position()));
        let problems = unknown.map(|it| Problem::TriedSinceDescribed {
            entry: it.entry,
            way: it.body.way,
        });
        problems.collect()
    }

    /// Returns whether everything that says what the hole is like was recorded after a try; nothing
    /// may say so yet.
    fn is_described_after(&self, tried: Seen) -> bool {
        let mut looks = self.condition.0.iter();
        match self.damage.0.as_slice() {
            [] => looks.all(|look| look.body.condition != Condition::Sound || look.knows(tried)),
            described => described.iter().all(|damage| damage.knows(tried)),
        }
    }

    /// Returns the minutes spent on the hole in all.
    pub fn minutes_spent(&self) -> u64 {
        let times = self.times.iter();
        times.map(|time| u64::from(time.body.minutes)).sum()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::plan::Plan;
    use super::super::problem::Cause;
    use super::super::record::*;
    use super::super::stage::{Stage, hole_status};
    use super::super::steps::StepKey;
    use super::super::testing::*;
    use super::*;
    use crate::insert::Catalog;

    fn face() -> FaceRecord {
        FaceRecord {
            planned_cut: FactEntries(vec![recorded(FaceCut::typed(mm(0.0)))]),
            ..FaceRecord::default()
        }
    }

    fn tried(way: Removal) -> Recorded<Try> {
        recorded(Try {
            way: Some(way),
            note: None,
        })
    }

    fn broke(tool: &str) -> Recorded<ToolTrouble> {
        recorded(ToolTrouble {
            tool: tool.into(),
            trouble: Trouble::BrokeInHole,
        })
    }

    /// A sound hole that passed.
    fn passed() -> HoleRecord {
        let mut hole = HoleRecord {
            wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
            damage: FactEntries(vec![recorded(damage(Vec::new()))]),
            ..HoleRecord::default()
        };
        hole.final_checks = vec![final_check(&plain_spec(Remedy::Leave), true)];
        let status = hole_status(&hole, &face(), Catalog::standard());
        assert_eq!(status.stage, Stage::Passed, "{status:?}");
        hole
    }

    fn problems(hole: &HoleRecord) -> Vec<Problem> {
        let status = hole_status(hole, &face(), Catalog::standard());
        assert_ne!(status.stage, Stage::Passed, "{status:?}");
        status.problems
    }

    #[test]
    fn a_try_that_changes_the_hole_reopens_it_until_it_is_described_again() {
        for way in Removal::ALL {
            let mut hole = passed();
            hole.tries = vec![tried(way)];
            let harmless = way.aftermath().is_none();
            let status = hole_status(&hole, &face(), Catalog::standard());
            assert_eq!(
                status.stage == Stage::Passed,
                harmless,
                "{way:?} {status:?}"
            );
            hole.damage = FactEntries(vec![recorded(damage(Vec::new()))]);
            let again = |problem: &Problem| matches!(problem, Problem::TriedSinceDescribed { .. });
            let status = hole_status(&hole, &face(), Catalog::standard());
            assert!(!status.problems.iter().any(again), "{way:?} {status:?}");
            hole.final_checks = vec![final_check(&plain_spec(Remedy::Leave), true)];
            let status = hole_status(&hole, &face(), Catalog::standard());
            assert_eq!(status.stage, Stage::Passed, "{way:?} {status:?}");
        }
    }

    #[test]
    fn heat_makes_the_metal_suspect_until_it_was_tested() {
        let mut hole = passed();
        assert!(!hole.may_be_hard());
        hole.tries = vec![tried(Removal::WeldNut)];
        assert!(hole.may_be_hard());
        hole.tries = vec![tried(Removal::Punch)];
        assert!(!hole.may_be_hard());
        let condition = Condition::Welded;
        let look = super::super::condition::FirstLook { condition };
        hole.condition = FactEntries(vec![recorded(look)]);
        assert!(hole.may_be_hard());
        hole.damage = FactEntries(vec![recorded(damage(Vec::new()))]);
        assert!(!hole.may_be_hard());
    }

    #[test]
    fn a_tool_that_breaks_off_in_the_hole_comes_out_first() {
        let mut hole = passed();
        hole.choice = choice(thin_wall());
        let spec = thin_wall();
        hole.cuts = vec![recorded(Cut {
            spec: spec.clone(),
            step: CutStep::ClearBroken,
            depth: None,
            diameter: None,
            tool: None,
            removal: None,
            reason: None,
        })];
        hole.tool_troubles = vec![broke("1/2-13 plug tap")];
        let piece = hole.piece_broken().unwrap();
        assert_eq!(piece.what, "1/2-13 plug tap");
        let plan = Plan::of(&hole, &face(), Catalog::standard());
        let clear = StepKey::Cut(CutStep::ClearBroken);
        let step = plan.steps.iter().find(|step| step.key == clear).unwrap();
        assert!(step.done.is_none(), "the one before does not count");
        let causes = problems(&hole);
        assert!(!causes.is_empty());

        let again = Cut {
            step: CutStep::ClearBroken,
            ..hole.cuts[0].body.clone()
        };
        hole.cuts.push(recorded(again));
        assert_eq!(hole.piece_broken(), None);
    }

    #[test]
    fn a_broken_tool_reopens_a_hole_that_passed() {
        let mut hole = passed();
        hole.tool_troubles = vec![broke("drill")];
        let reopened = problems(&hole).into_iter().any(|problem| {
            matches!(
                problem,
                Problem::Reopened {
                    by: Cause::BrokenTool,
                    ..
                }
            )
        });
        assert!(reopened);
        // A dull tool is a matter of the tool.
        hole.tool_troubles[0].body.trouble = Trouble::Dull;
        let status = hole_status(&hole, &face(), Catalog::standard());
        assert_eq!(status.stage, Stage::Passed);
    }
}
