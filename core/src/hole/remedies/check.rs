//! One check of a remedy: both numbers, and where the limit comes from.

use crate::length::Length;
use serde::Serialize;
use std::borrow::Cow;
use std::fmt;

/// How much hangs on a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// The remedy does not fit where it fails.
    Must,
    /// The remedy fits with care where it fails.
    Preferred,
}

/// A reading that a check waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lack {
    /// What is missing round the hole.
    Damage,
    /// How much is still to come off the face.
    FaceCut,
    /// Blind or through.
    Through,
    /// Depth of the hole.
    Depth,
    /// Metal under its bottom.
    Floor,
    /// Distance to the nearest edge.
    NearestEdge,
    /// Distance to the nearest hole.
    NearestHole,
    /// The hole in the part bolted on.
    MatingHole,
}

/// In plain words, as a thing to do.
impl fmt::Display for Lack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Lack::Damage => "what is missing round the hole, or that nothing is",
            Lack::FaceCut => "how much is still to come off the face (0 where it stays as it is)",
            Lack::Through => "whether the hole is blind or goes through",
            Lack::Depth => "the depth to the bottom of the hole",
            Lack::Floor => "the metal under the bottom of the hole",
            Lack::NearestEdge => {
                "the distance from the intended centre to the nearest edge or passage"
            }
            Lack::NearestHole => "the distance from the intended centre to the nearest other hole",
            Lack::MatingHole => "the diameter of the hole in the part that is bolted on",
        })
    }
}

/// What a check asks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// Its name.
    pub check: &'static str,
    /// What there is; `None`: not known.
    pub has: Option<f64>,
    /// What it takes.
    pub needs: Option<f64>,
    /// Unit of both: mm, N, or nothing for a share or a count.
    pub unit: &'static str,
    /// Whether `has` may be at most `needs`; otherwise it must be at least that.
    pub at_most: bool,
    /// How much hangs on it.
    pub weight: Weight,
    /// Whether it passes; `None`: a reading is missing.
    pub passes: Option<bool>,
    /// Whether it fails only at the worst of what the readings may be off, and passes by what they read.
    pub passes_as_read: bool,
    /// The reading that it waits for.
    pub lacks: Option<Lack>,
    /// Where the limit comes from.
    pub limit_from: Cow<'static, str>,
}

/// Loads and shares are sums of products; they may differ in the last digits.
const HAIR: f64 = 1e-9;

impl Check {
    /// At least `needs`.
    pub(super) fn least(
        check: &'static str,
        unit: &'static str,
        (has, needs): (Option<f64>, f64),
        weight: Weight,
        limit_from: &'static str,
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
            lacks: None,
            limit_from: Cow::Borrowed(limit_from),
        }
    }

    /// At least so many millimetres, of a reading that may be missing.
    pub(super) fn least_length(
        check: &'static str,
        (has, lack): (Option<Length>, Lack),
        needs: Length,
        weight: Weight,
        limit_from: &'static str,
    ) -> Check {
        let numbers = (has.map(Length::mm), needs.mm());
        let check = Check::least(check, "mm", numbers, weight, limit_from);
        Check {
            lacks: has.is_none().then_some(lack),
            ..check
        }
    }

    /// At most `needs`.
    pub(super) fn most(
        check: &'static str,
        unit: &'static str,
        (has, needs): (f64, f64),
        weight: Weight,
        limit_from: &'static str,
    ) -> Check {
        let at_least = Check::least(check, unit, (Some(has), needs), weight, limit_from);
        Check {
            at_most: true,
            passes: Some(has <= needs),
            ..at_least
        }
    }

    /// The same, but not answered: what it hangs on was not read.
    pub(super) fn waiting_for(self, lack: Lack) -> Check {
        Check {
            passes: None,
            lacks: Some(lack),
            ..self
        }
    }

    /// What is wrong, in a sentence; `None` where it passes.
    pub fn reason(&self) -> Option<String> {
        match (self.passes, self.lacks) {
            (Some(true), _) => None,
            (None, Some(lack)) => Some(format!("{}: not known, say {lack}", self.check)),
            (None, None) => Some(format!("{}: not known", self.check)),
            (Some(false), _) => Some(format!(
                "{}: {}{} where {} ({})",
                self.check,
                if self.passes_as_read {
                    "at the worst of the readings "
                } else {
                    ""
                },
                number(self.has, self.unit),
                self.limit(&number(self.needs, self.unit)),
                self.limit_from
            )),
        }
    }

    /// The limit in words, with its number as the reader has it: `at least 14 mm is needed`, `none may be there`.
    pub fn limit(&self, needs: &str) -> String {
        match (self.at_most, self.needs, self.weight) {
            (true, Some(0.0), Weight::Must) => "none may be there".to_owned(),
            (true, Some(0.0), Weight::Preferred) => "none is better".to_owned(),
            (true, _, Weight::Must) => format!("at most {needs} may be there"),
            (true, _, Weight::Preferred) => format!("at most {needs} is better"),
            (false, _, Weight::Must) => format!("at least {needs} is needed"),
            (false, _, Weight::Preferred) => format!("at least {needs} is better"),
        }
    }
}

fn number(value: Option<f64>, unit: &str) -> String {
    let Some(value) = value else {
        return "unknown".to_owned();
    };
    match unit {
        "N" => format!("{value:.0} N"),
        "" => format!("{}", (value * 100.0).round() / 100.0),
        unit => format!("{} {unit}", (value * 100.0).round() / 100.0),
    }
}
