//! The nearest drills for a hole, and the size and thread percentage that each gives.

use super::hole_spec::HoleSpec;
use super::{Drill, DrillKinds, between, mean_oversize};
use crate::length::{Length, Unit};
use serde::Serialize;
use std::fmt;

/// How a diameter compares with the limits of a hole.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SizeCheck {
    /// Within the limits.
    Within,
    /// Below the lower limit.
    TooSmall,
    /// Above the upper limit.
    TooLarge,
    /// The hole has no limits.
    NoLimits,
}

/// One drill considered for a hole.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DrillChoice {
    /// The drill.
    #[serde(flatten)]
    pub drill: Drill,
    /// Its nominal diameter against the limits.
    pub size_check: SizeCheck,
    /// Percent of full thread at its nominal diameter; `None` if the hole is not tapped.
    pub thread_percent: Option<f64>,
    /// Mean diameter that it cuts, oversize included; `None` outside the tests (see
    /// [`mean_oversize`]).
    #[serde(rename = "cuts_mm")]
    pub cuts: Option<Length>,
    /// The diameter that it cuts against the limits.
    pub cut_size_check: Option<SizeCheck>,
    /// Percent of full thread at the diameter that it cuts.
    pub cut_percent: Option<f64>,
}

/// The drills to choose from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillChoices {
    /// The hole to drill.
    #[serde(flatten)]
    pub hole: HoleSpec,
    /// The kinds of drills that were searched.
    #[serde(rename = "drawer")] // a key that scripts read
    pub kinds: DrillKinds,
    /// A drill of exactly the target diameter.
    pub exact: Option<DrillChoice>,
    /// The largest drill below the target.
    pub below: Option<DrillChoice>,
    /// The smallest drill above the target.
    pub above: Option<DrillChoice>,
    /// The nearest drill of any kind within the limits, where none of these is.
    pub nearest_within: Option<DrillChoice>,
}

/// Finds the nearest drills for a hole: exact, next below and next above, where these kinds have
/// them.
pub fn drill_choices(hole: &HoleSpec, kinds: DrillKinds) -> DrillChoices {
    let aim = hole.aim;
    let nearest = |matches: &dyn Fn(Length) -> bool| {
        kinds
            .drills()
            .filter(|drill| matches(drill.diameter))
            .min_by_key(|drill| (drill.diameter - aim).abs())
            .map(|drill| hole.evaluate(drill))
    };
    let mut choices = DrillChoices {
        exact: nearest(&|diameter| diameter == aim),
        below: nearest(&|diameter| diameter < aim),
        above: nearest(&|diameter| diameter > aim),
        nearest_within: None,
        kinds,
        hole: hole.clone(),
    };
    if choices.best().is_none() {
        let within = hole.least.zip(hole.largest);
        choices.nearest_within = within
            .and_then(|(least, largest)| between(least, largest, aim, &DrillKinds::ALL))
            .map(|drill| hole.evaluate(drill));
    }
    choices
}

impl HoleSpec {
    /// Evaluates a drill for this hole.
    pub fn evaluate(&self, drill: Drill) -> DrillChoice {
        let percent = |hole| self.depth.map(|depth| depth.percent(hole));
        let cuts = mean_oversize(drill.diameter).map(|over| drill.diameter + over);
        DrillChoice {
            drill,
            size_check: self.size_check(drill.diameter),
            thread_percent: percent(drill.diameter),
            cuts,
            cut_size_check: cuts.map(|hole| self.size_check(hole)),
            cut_percent: cuts.and_then(percent),
        }
    }

    fn size_check(&self, hole: Length) -> SizeCheck {
        match (self.least, self.largest) {
            (None, None) => SizeCheck::NoLimits,
            (Some(least), _) if hole < least => SizeCheck::TooSmall,
            (_, Some(largest)) if hole > largest => SizeCheck::TooLarge,
            _ => SizeCheck::Within,
        }
    }
}

impl DrillChoices {
    /// Iterates over the drills found, smallest first.
    pub fn iter(&self) -> impl Iterator<Item = &DrillChoice> {
        [&self.below, &self.exact, &self.above]
            .into_iter()
            .flatten()
    }

    /// Returns the drill to use: the one within the limits that is nearest to the target diameter.
    ///
    /// `None` if none is within the limits, or the target lies beyond their sizes.
    pub fn best(&self) -> Option<&DrillChoice> {
        let reaches = self.exact.is_some() || (self.below.is_some() && self.above.is_some());
        self.iter()
            .filter(|choice| match choice.size_check {
                SizeCheck::Within => true,
                SizeCheck::NoLimits => reaches,
                SizeCheck::TooSmall | SizeCheck::TooLarge => false,
            })
            .min_by_key(|choice| (choice.drill.diameter - self.hole.aim).abs())
    }

    /// Returns why no drill is recommended and what to do, in the reader's unit; `None` if one is.
    pub fn no_fit_advice(&self, unit: Unit) -> Option<String> {
        let has_limits = self.hole.least.is_some() || self.hole.largest.is_some();
        let advice = match (self.best(), self.nearest_within) {
            (Some(_), _) => return None,
            (None, Some(within)) => format!(
                "No drill here is within the limits. The nearest that is: {}.",
                within.drill.show(unit)
            ),
            (None, None) if has_limits => {
                "No drill is within the limits. Buy one that is, or ream to size.".to_owned()
            }
            (None, None) => {
                "No drill near that size. Include more kinds of drills, or bore the hole."
                    .to_owned()
            }
        };
        Some(advice)
    }
}

impl SizeCheck {
    /// Returns the label: `within the limits`, `too small`.
    pub const fn name(self) -> &'static str {
        match self {
            SizeCheck::Within => "within the limits",
            SizeCheck::TooSmall => "too small",
            SizeCheck::TooLarge => "too large",
            SizeCheck::NoLimits => "no limits",
        }
    }
}

impl fmt::Display for SizeCheck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
