//! Which drill of a drawer to take for a hole: the nearest from either side, and what each comes to.

use super::wanted::HoleWanted;
use super::{Drawer, Drill, mean_oversize};
use crate::length::Length;
use serde::Serialize;
use std::fmt;

/// How a diameter lies to the limits of the hole wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Within the limits.
    Within,
    /// Below the least.
    TooSmall,
    /// Above the largest.
    TooLarge,
    /// The hole has no limits.
    NoLimits,
}

/// One drill for a hole.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// The drill.
    #[serde(flatten)]
    pub drill: Drill,
    /// How its nominal diameter lies to the limits.
    pub standing: Standing,
    /// How much of a full thread its nominal diameter leaves, in percent; none where nothing is tapped.
    pub thread_percent: Option<f64>,
    /// The hole that it cuts in the mean, oversize and all; none where there were no tests (see [`mean_oversize`]).
    #[serde(rename = "cuts_mm")]
    pub cuts: Option<Length>,
    /// How that hole lies to the limits.
    pub cut_standing: Option<Standing>,
    /// How much of a full thread that hole leaves, in percent.
    pub cut_percent: Option<f64>,
}

/// The drills to choose from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choices {
    /// The hole wanted.
    #[serde(flatten)]
    pub wanted: HoleWanted,
    /// The kinds of drills that were looked through.
    pub drawer: Drawer,
    /// A drill of just the diameter aimed at.
    pub exact: Option<Choice>,
    /// The largest drill below it.
    pub below: Option<Choice>,
    /// The smallest drill above it.
    pub above: Option<Choice>,
}

/// The nearest drills of a drawer for a hole; nothing where the drawer has none on that side.
pub fn choices(wanted: &HoleWanted, drawer: Drawer) -> Choices {
    let aim = wanted.aim;
    let nearest = |is_there: &dyn Fn(Length) -> bool| {
        drawer
            .drills()
            .filter(|drill| is_there(drill.diameter))
            .min_by_key(|drill| (drill.diameter - aim).abs())
            .map(|drill| wanted.judge(drill))
    };
    Choices {
        exact: nearest(&|diameter| diameter == aim),
        below: nearest(&|diameter| diameter < aim),
        above: nearest(&|diameter| diameter > aim),
        drawer,
        wanted: wanted.clone(),
    }
}

impl HoleWanted {
    /// What a drill comes to in this hole.
    pub fn judge(&self, drill: Drill) -> Choice {
        let percent = |hole| self.depth.map(|depth| depth.percent(hole));
        let cuts = mean_oversize(drill.diameter).map(|over| drill.diameter + over);
        Choice {
            drill,
            standing: self.standing(drill.diameter),
            thread_percent: percent(drill.diameter),
            cuts,
            cut_standing: cuts.map(|hole| self.standing(hole)),
            cut_percent: cuts.and_then(percent),
        }
    }

    fn standing(&self, hole: Length) -> Standing {
        match (self.least, self.largest) {
            (None, None) => Standing::NoLimits,
            (Some(least), _) if hole < least => Standing::TooSmall,
            (_, Some(largest)) if hole > largest => Standing::TooLarge,
            _ => Standing::Within,
        }
    }
}

impl Choices {
    /// Below, exact and above, those that there are, smallest first.
    pub fn each(&self) -> impl Iterator<Item = &Choice> {
        [&self.below, &self.exact, &self.above]
            .into_iter()
            .flatten()
    }

    /// The one to take: of those within the limits the nearest to the diameter aimed at. `None` where none of them lies
    /// within, so that a person decides; and for a hole without limits where the drawer ends before it.
    pub fn best(&self) -> Option<&Choice> {
        let reaches = self.exact.is_some() || (self.below.is_some() && self.above.is_some());
        self.each()
            .filter(|choice| match choice.standing {
                Standing::Within => true,
                Standing::NoLimits => reaches,
                Standing::TooSmall | Standing::TooLarge => false,
            })
            .min_by_key(|choice| (choice.drill.diameter - self.wanted.aim).abs())
    }

    /// Why there is none to take, and what to do; `None` where there is one.
    pub fn why_none(&self) -> Option<&'static str> {
        let has_limits = self.wanted.least.is_some() || self.wanted.largest.is_some();
        match self.best() {
            Some(_) => None,
            None if has_limits => {
                Some("None of them lies within the limits: buy one that does, or ream to size.")
            }
            None => Some(
                "The drawer has none of about that size: look through more kinds of drills, or bore the hole.",
            ),
        }
    }
}

impl Standing {
    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Standing::Within => "within the limits",
            Standing::TooSmall => "too small",
            Standing::TooLarge => "too large",
            Standing::NoLimits => "no limits",
        }
    }
}

impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
