//! Spares: how many more of a tool or part to have ready. All of it is judgment.

use super::HoleName;
use crate::cutting::{ToolWear, tool_wear};
use crate::hole::hardness::hardness;
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::hole::steps::cuts_on_one_side;

/// How a hole wears its drills and taps.
#[derive(Debug, Clone)]
pub(super) struct Wear {
    /// In metal without a hard skin, cut all around.
    usual: ToolWear,
    /// In this hole.
    here: ToolWear,
    hard: bool,
    one_sided: bool,
    /// Whether the metal is not known, so that the harder is assumed.
    assumed: bool,
}

impl Wear {
    /// Returns how a hole wears its tools; `None` if no figures are known for its metal.
    pub fn of(situation: &Situation, assessment: &Assessment) -> Option<Wear> {
        let hardness = hardness(situation.metal)?;
        let hard = !situation.damage.hard.is_empty();
        let one_sided = cuts_on_one_side(situation, assessment);
        Some(Wear {
            usual: tool_wear(hardness, false, false),
            here: tool_wear(hardness, hard, one_sided),
            hard,
            one_sided,
            assumed: situation.metal.is_assumed(),
        })
    }
}

/// Which tool wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wears {
    Drill,
    Tap,
}

fn most(wear: &ToolWear, tool: Wears) -> u32 {
    let range = match tool {
        Wears::Drill => Some(wear.drills),
        Wears::Tap => wear.taps,
    };
    range.map_or(0, |(_, most)| u32::from(most))
}

/// Returns the spares of a tool that cuts some holes, and why: what the metal wears out in general once,
/// and for each hole with hard metal or an interrupted cut what that takes.
pub(super) fn of_tool(tool: Wears, holes: &[(HoleName, Wear)]) -> (u32, Vec<String>) {
    let name = match tool {
        Wears::Drill => "drill",
        Wears::Tap => "tap",
    };
    let mut why = Vec::new();
    let hardest = holes.iter().max_by_key(|(_, wear)| most(&wear.usual, tool));
    let general = hardest.map_or(0, |(_, wear)| most(&wear.usual, tool).saturating_sub(1));
    if let Some((_, wear)) = hardest.filter(|_| general > 0) {
        let assumed = if wear.assumed {
            "The iron is not known and may be hard. "
        } else {
            ""
        };
        let reason = wear.usual.reasons.first();
        why.extend(reason.map(|reason| format!("{assumed}{reason}")));
    }
    let mut spares = general;
    for (hole, wear) in holes {
        let more = most(&wear.here, tool).saturating_sub(most(&wear.usual, tool));
        if more == 0 {
            continue;
        }
        spares += more;
        let because = match (wear.hard, wear.one_sided) {
            (true, true) => "has hard metal and is cut on one side",
            (true, false) => "has hard metal",
            _ => "is cut on one side",
        };
        why.push(format!(
            "Hole {} {because}: {more} more, in case a {name} chips or dulls.",
            hole.number
        ));
    }
    (spares, why)
}

/// Inserts to one spare.
const INSERTS_PER_SPARE: u32 = 10;

/// Returns the spares of inserts, and why.
pub(super) fn of_inserts(needed: u32) -> (u32, Vec<String>) {
    let why = "One in ten, at least one: an insert that starts crooked is spent.";
    (needed.div_ceil(INSERTS_PER_SPARE), vec![why.to_owned()])
}
