//! Sensitivity of a verdict to the tolerances of the readings.
//!
//! Each remedy is assessed at the worst case of the readings and as read. Where the verdicts
//! differ, each reading is examined alone: exact while the others stay at their worst case, and at
//! its worst case while the others are exact. The result says which reading to measure again, and
//! how closely.

use super::check::Check;
use super::{Assessment, Verdict, assess_all, verdict_of};
use crate::hole::record::RemedySpec;
use crate::hole::situation::{ReadingTolerance, Situation, TolerancedReading};
use crate::insert::Catalog;
use crate::length::{Length, Rounding, Unit, in_unit};
use serde::{Serialize, Serializer};
use std::fmt;

/// Halvings in the search for a tolerance that is still good enough: to 1/256 of the present one.
const HALVINGS: u32 = 8;
/// Steps that a tolerance is divided into.
const SHARES: i64 = 1 << HALVINGS;
/// Margins below this, 0.01 mm, count as none.
const NO_MARGIN: Length = Length::from_nm(10_000);

/// A reading whose tolerance decides a verdict.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct Sensitivity {
    /// Which reading.
    #[serde(serialize_with = "reading_word")]
    pub reading: TolerancedReading,
    /// Name of the reading for people, with its depth where there may be several.
    pub name: String,
    /// Value read.
    #[serde(rename = "stated_mm")]
    pub stated: Length,
    /// Tolerance of the reading, plus or minus.
    #[serde(rename = "tolerance_mm")]
    pub tolerance: Length,
    /// Limit of the true value for the better verdict.
    #[serde(rename = "limit_mm")]
    pub limit: Length,
    /// Whether the limit is a maximum; otherwise it is a minimum.
    pub at_most: bool,
    /// Difference between the value read and the limit: the tolerance to measure to.
    #[serde(rename = "measure_to_mm")]
    pub margin: Length,
    /// Whether a better measurement of this reading is enough; otherwise others are needed too.
    pub alone: bool,
    /// What to do, in one sentence with lengths in both units.
    pub advice: String,
}

/// Fills in the sensitivities of assessments at the worst case. One that does not fit there but
/// does as read is unknown until the readings named are taken more closely.
pub(super) fn find_sensitivities(situation: &Situation, catalog: &Catalog, all: &mut [Assessment]) {
    if situation.reading_tolerances().is_empty() {
        return;
    }
    let as_read = assess_all(&situation.as_read(), catalog);
    for worst in all {
        let spec = worst.spec();
        let read = as_read.iter().find(|read| read.spec() == spec);
        let Some(read) = read.filter(|read| read.verdict < worst.verdict) else {
            continue;
        };
        worst.sensitivities = Search {
            situation,
            catalog,
            spec: &spec,
            worst: worst.verdict,
        }
        .sensitivities();
        for check in &mut worst.checks {
            check.passes_as_read = check.passes == Some(false) && passes_in(&read.checks, check);
        }
        worst.verdict = verdict_at_worst(worst.verdict, Some(read.verdict));
    }
}

/// Returns the verdict of a remedy from those at the worst case and as read.
pub(super) fn verdict_at_worst(worst: Verdict, read: Option<Verdict>) -> Verdict {
    match read {
        Some(read) if worst == Verdict::DoesNotFit && read < worst => Verdict::Unknown,
        _ => worst,
    }
}

/// Returns whether the same check passes among others. One that no longer applies passes.
fn passes_in(checks: &[Check], check: &Check) -> bool {
    let same = checks.iter().find(|other| other.check == check.check);
    same.is_none_or(|other| other.passes == Some(true))
}

struct Search<'a> {
    situation: &'a Situation,
    catalog: &'a Catalog,
    spec: &'a RemedySpec,
    /// Verdict at the worst case of all readings.
    worst: Verdict,
}

impl Search<'_> {
    fn sensitivities(&self) -> Vec<Sensitivity> {
        let tolerances = self.situation.reading_tolerances();
        let one = |reading: &ReadingTolerance| self.sensitivity(reading);
        let some: Vec<Sensitivity> = tolerances.iter().filter_map(one).collect();
        if !some.is_empty() {
            return some;
        }
        // No single reading decides: all must be measured more closely, by the same share.
        let share = self.largest_share(|share| {
            let mut closer = self.situation.clone();
            for of in &tolerances {
                closer = closer.with_tolerance(of.reading, share_of(of.tolerance, share));
            }
            closer
        });
        tolerances
            .iter()
            .map(|reading| self.with_limit(reading, share, false))
            .collect()
    }

    fn sensitivity(&self, of: &ReadingTolerance) -> Option<Sensitivity> {
        let exact = self.situation.with_tolerance(of.reading, Length::ZERO);
        if self.improves(&exact) {
            let share = self.largest_share(|share| {
                let tolerance = share_of(of.tolerance, share);
                self.situation.with_tolerance(of.reading, tolerance)
            });
            return Some(self.with_limit(of, share, true));
        }
        let others_exact = self.situation.as_read();
        let only_this =
            |share| others_exact.with_tolerance(of.reading, share_of(of.tolerance, share));
        if self.improves(&only_this(SHARES)) {
            return None;
        }
        Some(self.with_limit(of, self.largest_share(only_this), false))
    }

    /// Returns the sensitivity to a reading that may be off by a share of its tolerance at most.
    fn with_limit(&self, of: &ReadingTolerance, share: i64, alone: bool) -> Sensitivity {
        let margin = share_of(of.tolerance, share).abs();
        let at_most = !of.reading.worst_is_least();
        let mut sensitivity = Sensitivity {
            reading: of.reading,
            name: reading_name(self.situation, of.reading),
            stated: of.stated,
            tolerance: of.tolerance,
            limit: if at_most {
                of.stated + margin
            } else {
                of.stated - margin
            },
            at_most,
            margin,
            alone,
            advice: String::new(),
        };
        sensitivity.advice = sensitivity.sentence();
        sensitivity
    }

    fn improves(&self, situation: &Situation) -> bool {
        verdict_of(situation, self.catalog, self.spec).is_some_and(|verdict| verdict < self.worst)
    }

    /// Returns the largest share of the tolerances at which the verdict is still better; share 0
    /// must be.
    fn largest_share(&self, with: impl Fn(i64) -> Situation) -> i64 {
        let (mut good, mut bad) = (0, SHARES);
        while bad - good > 1 {
            let middle = (good + bad) / 2;
            if self.improves(&with(middle)) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        good
    }
}

fn share_of(tolerance: Length, share: i64) -> Length {
    tolerance * share / SHARES
}

fn reading_name(situation: &Situation, reading: TolerancedReading) -> String {
    let damage = &situation.damage;
    let station = |i: u32| damage.stations.get(i as usize).map(|station| station.span);
    let (what, span) = match reading {
        TolerancedReading::Depth => return "the hole depth".to_owned(),
        TolerancedReading::Floor => return "the floor thickness".to_owned(),
        TolerancedReading::NearestEdge => return "the edge distance".to_owned(),
        TolerancedReading::NearestHole => return "the distance to the nearest hole".to_owned(),
        TolerancedReading::MatingHole => return "the clearance hole in the mating part".to_owned(),
        TolerancedReading::Diameter(i) => ("the diameter of the damage", station(i)),
        TolerancedReading::Offset(i) => ("the offset of the damage", station(i)),
        TolerancedReading::HardZone(i) => (
            "the end of the hard zone",
            damage.hard.get(i as usize).map(|zone| zone.span),
        ),
    };
    match span {
        Some(span) => format!("{what} that starts at {} depth", span.from.both()),
        None => what.to_owned(),
    }
}

impl Sensitivity {
    /// Returns whether a closer reading is worth taking: there is a margin to measure to.
    pub(in crate::hole) fn has_margin(&self) -> bool {
        self.margin >= NO_MARGIN
    }

    /// Returns the advice with lengths in the reader's unit.
    pub fn words(&self, unit: Unit) -> String {
        in_unit(&self.advice, unit)
    }

    fn sentence(&self) -> String {
        let (limit, to_safe_side) = if self.at_most {
            ("at most", Rounding::Down)
        } else {
            ("at least", Rounding::Up)
        };
        let together = if self.alone {
            ""
        } else {
            ", and the other readings named here too"
        };
        let measure = if self.margin < NO_MARGIN {
            format!("there is no margin, so measure it again{together}")
        } else {
            let margin = self.margin.both_rounded(Rounding::Down);
            format!("measure it to within {margin}{together}")
        };
        format!(
            "depends on {}: reads {} with a tolerance of {}, must be {limit} {}; {measure}",
            self.name,
            self.stated.both(),
            self.tolerance.both(),
            self.limit.both_rounded(to_safe_side)
        )
    }
}

impl fmt::Display for Sensitivity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.advice)
    }
}

fn reading_word<S: Serializer>(
    reading: &TolerancedReading,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(reading.word())
}

#[cfg(test)]
mod tests;
