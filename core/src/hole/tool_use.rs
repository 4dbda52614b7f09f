//! How far drills and taps are worn: the holes that each cut since a person said that it was new or
//! sharpened. What a hole takes of an edge is judgment; nothing of it is measured.

use super::hardness::hardness;
use super::kit::HoleName;
use super::plan::Plan;
use super::record::{Cut, CutStep, Recorded};
use super::steps::{StepKey, cuts_on_one_side};
use crate::cutting::{UNKNOWN_EDGE_SHARE, edge_share, tool_wear};
use crate::id::HoleId;
use serde::{Deserialize, Serialize};

/// A person said that a tool is new or sharpened.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToolRenewed {
    /// The tool, as [`ToolUse::tool`] names it.
    pub tool: String,
}

/// How far a drill or tap is worn.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct ToolUse {
    /// The tool; lengths are in both units (see [`crate::length::in_unit`]).
    pub tool: String,
    /// The holes that it cut since it was new or sharpened, in their order.
    pub holes: Vec<HoleName>,
    /// How much of a sharp edge they took: 1 is dull (judgment).
    pub worn: f64,
}

/// What the holes of a tool take of its edge, in words; see [`edge_share`].
pub const EDGE_SHARES: &str = "Judgment, nothing is measured: soft iron takes a tenth of an edge a hole, medium-hard iron a quarter, \
    hard iron, hard spots, and interrupted cuts all of it. What you see on the tool counts.";

/// From here on a tool is worth a look (judgment).
const WORTH_A_LOOK: f64 = 0.7;

impl ToolUse {
    /// Returns whether it is likely dull (judgment).
    pub fn is_dull(&self) -> bool {
        self.worn >= 1.0 - f64::EPSILON
    }

    /// Returns what to do before the next hole; `None` while it is likely sharp.
    pub fn advice(&self) -> Option<&'static str> {
        match self.worn {
            _ if self.is_dull() => Some(
                "By the metal of these holes it is likely dull. Look at its corners and change or sharpen it before the \
                 next hole: a dull drill cuts oversize, and a dull tap breaks.",
            ),
            worn if worn >= WORTH_A_LOOK => Some(
                "By the metal of these holes it is nearly worn. Look at its corners before the next hole.",
            ),
            _ => None,
        }
    }

    /// Counts one more hole.
    fn add(&mut self, hole: &HoleName, share: f64) {
        if self.holes.iter().all(|known| known.hole != hole.hole) {
            self.holes.push(hole.clone());
        }
        self.worn += share;
    }
}

/// Counts what each tool cut in some holes with their plans, the most worn first. A cut does not
/// count once somebody who knew of it said that the tool is new or sharpened.
pub fn tool_use<'a>(
    holes: impl IntoIterator<Item = (&'a HoleName, &'a Plan)>,
    renewed: &[Recorded<ToolRenewed>],
) -> Vec<ToolUse> {
    let mut tools: Vec<ToolUse> = Vec::new();
    for (hole, plan) in holes {
        let mut counted: Vec<(CutStep, HoleId)> = Vec::new();
        for cut in plan.record.cuts.iter().rev() {
            let Some((tool, share)) = used(cut, plan) else {
                continue;
            };
            let is_new =
                |it: &Recorded<ToolRenewed>| it.body.tool == tool && it.knows(cut.position());
            // A cut that was recorded again deeper takes the edge once.
            let again = counted.contains(&(cut.body.step, hole.hole));
            if renewed.iter().any(is_new) || again {
                continue;
            }
            counted.push((cut.body.step, hole.hole));
            match tools.iter_mut().find(|known| known.tool == tool) {
                Some(known) => known.add(hole, share),
                None => tools.push(ToolUse {
                    tool,
                    holes: vec![hole.clone()],
                    worn: share,
                }),
            }
        }
    }
    tools.sort_by(|one, other| {
        let worn = other.worn.total_cmp(&one.worn);
        worn.then_with(|| one.tool.cmp(&other.tool))
    });
    tools
}

/// Returns the tool of a cut and how much of its edge it took; `None` for a step without a drill or
/// tap, and where the plan that it was done for is no longer there.
fn used(cut: &Recorded<Cut>, plan: &Plan) -> Option<(String, f64)> {
    let step = cut.body.step;
    let (is_tap, is_plug) = match step {
        CutStep::Drill => (false, false),
        CutStep::Tap => (true, false),
        CutStep::DrillPlug => (false, true),
        CutStep::TapPlug => (true, true),
        _ => return None,
    };
    let planned = plan.steps.iter().find(|it| it.key == StepKey::Cut(step))?;
    let share = if is_plug { None } else { share(plan, is_tap) };
    Some((
        planned.tool.label.clone(),
        share.unwrap_or(UNKNOWN_EDGE_SHARE),
    ))
}

fn share(plan: &Plan, is_tap: bool) -> Option<f64> {
    let situation = plan.situation.as_ref().ok()?;
    let hard = !situation.damage.hard.is_empty();
    let one_sided = cuts_on_one_side(situation, plan.chosen()?);
    let wear = tool_wear(hardness(situation.metal)?, hard, one_sided);
    match is_tap {
        true => wear.taps.map(edge_share),
        false => Some(edge_share(wear.drills)),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::record::*;
    use super::super::testing::*;
    use super::*;
    use crate::insert::Catalog;
    use uuid::Uuid;

    /// A loose hole for a thin-wall insert that was drilled.
    fn drilled() -> HoleRecord {
        HoleRecord {
            cuts: vec![cut(&thin_wall(), CutStep::Drill)],
            ..loose_hole()
        }
    }

    fn used_in(holes: &[HoleRecord], renewed: &[Recorded<ToolRenewed>]) -> Vec<ToolUse> {
        let face = face_to_cut();
        let plans = holes.iter().zip(1..);
        let plans: Vec<(HoleName, Plan)> = plans
            .map(|(hole, number)| {
                let plan = Plan::of_chosen(hole, &face, Catalog::standard());
                (hole_name(number), plan)
            })
            .collect();
        tool_use(plans.iter().map(|(name, plan)| (name, plan)), renewed)
    }

    #[test]
    fn holes_count_until_somebody_who_knew_of_them_renewed_the_tool() {
        let first = drilled();
        let second = drilled();
        let before = used_in(&[first.clone(), second.clone()], &[]);
        let [drill] = &before[..] else {
            panic!("one tool, not {before:?}")
        };
        assert_eq!((drill.tool.as_str(), drill.holes.len()), ("29/64 drill", 2));
        let renewed = recorded(ToolRenewed {
            tool: drill.tool.clone(),
        });
        let third = drilled();
        let holes = [first, second, third];
        let after = used_in(&holes, std::slice::from_ref(&renewed));
        assert_eq!(after[0].holes.len(), 1, "only the third came after");
        assert!((after[0].worn * 2.0 - drill.worn).abs() < 1e-9);
        // Another device, which had not seen the cuts, says nothing about them.
        let mut elsewhere = renewed;
        elsewhere.device = crate::id::DeviceId(Uuid::from_u128(9));
        elsewhere.seq = 1;
        assert_eq!(used_in(&holes, &[elsewhere])[0].holes.len(), 3);
        let other = recorded(ToolRenewed {
            tool: "another".into(),
        });
        assert_eq!(used_in(&holes, &[other])[0].holes.len(), 3);
    }

    #[test]
    fn a_cut_that_was_recorded_again_counts_once_and_hard_iron_dulls_at_once() {
        let mut twice = drilled();
        twice.cuts.push(cut(&thin_wall(), CutStep::Drill));
        let once = used_in(&[drilled()], &[]);
        assert_eq!(used_in(&[twice], &[]), once);
        // The iron is not known, and counts as hard.
        assert!(once[0].is_dull() && once[0].advice().unwrap().contains("likely dull"));
    }
}
