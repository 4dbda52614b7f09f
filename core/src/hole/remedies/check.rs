//! Checks of a remedy: the value found, the limit and the limit's source.

use crate::length::{Length, Rounding};
use crate::strength::show_load_both;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;

/// Weight of a check.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// Required: the remedy does not fit if it fails.
    Must,
    /// Preferred: the remedy is marginal if it fails.
    Preferred,
}

/// A reading that a check needs and does not have.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum MissingReading {
    /// Damage around the hole.
    Damage,
    /// Stock to remove from the face.
    FaceCut,
    /// Blind or through.
    Through,
    /// Depth of the hole.
    Depth,
    /// Floor thickness.
    Floor,
    /// Edge distance.
    NearestEdge,
    /// Distance to the nearest hole.
    NearestHole,
    /// Clearance hole in the mating part.
    MatingHole,
}

/// Formats the reading as an object of "measure".
impl fmt::Display for MissingReading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            MissingReading::Damage => "the damage, or that there is none",
            MissingReading::FaceCut => "the stock to remove from the face (0 if it stays as is)",
            MissingReading::Through => "whether the hole is blind or through",
            MissingReading::Depth => "the depth of the hole",
            MissingReading::Floor => "the floor thickness",
            MissingReading::NearestEdge => {
                "the distance from the intended center to the nearest edge or passage"
            }
            MissingReading::NearestHole => {
                "the distance from the intended center to the center of the nearest hole"
            }
            MissingReading::MatingHole => "the clearance hole in the mating part",
        })
    }
}

/// One check of a remedy.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// Its name.
    pub check: &'static str,
    /// Value found; `None`: unknown.
    pub has: Option<f64>,
    /// Limit of the value.
    pub needs: Option<f64>,
    /// Unit of both: `mm`, `N`, `deg`, or empty for a fraction or a count.
    pub unit: &'static str,
    /// Whether the limit is a maximum; otherwise it is a minimum.
    pub at_most: bool,
    /// Whether the check is required or preferred.
    pub weight: Weight,
    /// Whether it passes; `None`: a reading is missing.
    pub passes: Option<bool>,
    /// Whether it fails only at the worst case of the tolerances, and passes as read.
    pub passes_as_read: bool,
    /// The reading that it needs and does not have.
    pub missing: Option<MissingReading>,
    /// Source of the limit.
    pub limit_from: Cow<'static, str>,
}

/// Relative margin for loads and fractions, which are sums of products and may differ in the last
/// digits.
const HAIR: f64 = 1e-9;

impl Check {
    /// Returns a check that `has` is at least `needs`.
    pub(super) fn least(
        check: &'static str,
        unit: &'static str,
        (has, needs): (Option<f64>, f64),
        weight: Weight,
        limit_from: impl Into<Cow<'static, str>>,
    ) -> Check {
        Check {
            check,
            has,
            needs: Some(needs),
            unit,
            at_most: false,
            weight,
            passes: has.map(|has| has >= needs - HAIR * needs.abs()),
            passes_as_read: false,
            missing: None,
            limit_from: limit_from.into(),
        }
    }

    /// Returns a check that a length is at least `needs`; `reading` is what is missing where the
    /// length is unknown.
    pub(super) fn least_length(
        check: &'static str,
        (has, reading): (Option<Length>, MissingReading),
        needs: Length,
        weight: Weight,
        limit_from: impl Into<Cow<'static, str>>,
    ) -> Check {
        let numbers = (has.map(Length::mm), needs.mm());
        let check = Check::least(check, "mm", numbers, weight, limit_from);
        Check {
            missing: has.is_none().then_some(reading),
            ..check
        }
    }

    /// Returns a check that `has` is at most `needs`.
    pub(super) fn most(
        check: &'static str,
        unit: &'static str,
        (has, needs): (f64, f64),
        weight: Weight,
        limit_from: impl Into<Cow<'static, str>>,
    ) -> Check {
        let at_least = Check::least(check, unit, (Some(has), needs), weight, limit_from);
        Check {
            at_most: true,
            passes: Some(has <= needs),
            ..at_least
        }
    }

    /// Returns the check without a result, because `reading` is missing.
    pub(super) fn waiting_for(self, reading: MissingReading) -> Check {
        Check {
            passes: None,
            missing: Some(reading),
            ..self
        }
    }

    /// Returns why the check does not pass, in one sentence with lengths and loads in both units;
    /// `None` if it passes.
    pub fn reason(&self) -> Option<String> {
        match (self.passes, self.missing) {
            (Some(true), _) => None,
            (None, Some(reading)) => Some(format!("{}: unknown, measure {reading}", self.check)),
            (None, None) => Some(format!("{}: unknown", self.check)),
            (Some(false), _) => {
                let at = if self.passes_as_read {
                    " at the worst case"
                } else {
                    ""
                };
                let has = in_both_units(self.has, self.unit, self.failing_side());
                let limit = self.limit(&in_both_units(self.needs, self.unit, self.passing_side()));
                // Written once, into enough room.
                let parts = [
                    self.check,
                    ": ",
                    &has,
                    at,
                    ", ",
                    &limit,
                    " (",
                    &self.limit_from,
                    ")",
                ];
                Some(parts.concat())
            }
        }
    }

    /// Returns what the check waits for: its name with its limit, and with lengths in both units.
    pub(in crate::hole) fn waits(&self) -> String {
        let needs = in_both_units(self.needs, self.unit, self.passing_side());
        format!("{} {}", self.check, self.limit(&needs))
    }

    /// Returns the limit as words for people, with its number already formatted: `must be at least
    /// 14 mm`, `must be none`.
    pub fn limit(&self, needs: &str) -> String {
        let verb = match self.weight {
            Weight::Must => "must be",
            Weight::Preferred => "should be",
        };
        match (self.at_most, self.needs) {
            (true, Some(0.0)) => format!("{verb} none"),
            (true, _) => format!("{verb} at most {needs}"),
            (false, _) => format!("{verb} at least {needs}"),
        }
    }

    /// Rounding of the value found, so that rounding never makes it look better.
    const fn failing_side(&self) -> Rounding {
        if self.at_most {
            Rounding::Up
        } else {
            Rounding::Down
        }
    }

    /// Rounding of the limit, so that a value rounded to it still meets it.
    const fn passing_side(&self) -> Rounding {
        if self.at_most {
            Rounding::Down
        } else {
            Rounding::Up
        }
    }
}

/// Formats a number of a check; `unit` is the unit that it is stated in.
fn in_both_units(value: Option<f64>, unit: &str, rounding: Rounding) -> String {
    let Some(value) = value else {
        return "unknown".to_owned();
    };
    match unit {
        "mm" => Length::from_computed_mm(value).both_rounded(rounding),
        "N" => show_load_both(value),
        "" => format!("{value:.2}"),
        unit => format!("{value:.2} {unit}"),
    }
}
