//! Verdicts that hang on what a reading may be off.
//!
//! Each remedy is judged at the worst of the readings and at what they read. Where the two differ, each reading is looked at alone:
//! put right while the others stay at the worst, and put at the worst while the others are right. What follows is which reading
//! to take again, and how well.

use super::check::Check;
use super::{Assessment, Verdict, judged, verdict_of};
use crate::hole::record::Work;
use crate::hole::situation::{Doubt, DoubtfulReading, Situation};
use crate::insert::Catalogue;
use crate::length::{Length, Unit};
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};
use std::fmt;

/// Halvings in the search for what a reading may still be off: to a 256th of what it may be now.
const HALVINGS: u32 = 8;
/// Less than this is no room for an error: 0.01 mm.
const NO_ROOM: Length = Length::from_nm(10_000);

/// A reading that a verdict hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Dependence {
    /// Which reading.
    pub reading: DoubtfulReading,
    /// What it is called, with where it is where there may be several.
    pub name: String,
    /// What it reads.
    pub stated: Length,
    /// How far that may be off.
    pub error: Length,
    /// What it must truly be at the least, or for what is missing at the most, for the better verdict.
    pub needs: Length,
    /// Whether taking this reading better is enough; otherwise others must be taken better too.
    pub alone: bool,
}

/// How well the readings that a verdict hangs on must be known, and the verdict that they then give.
pub(super) fn on_readings(situation: &Situation, catalogue: &Catalogue, all: &mut [Assessment]) {
    if situation.doubts().is_empty() {
        return;
    }
    let as_read = judged(&situation.as_read(), catalogue);
    for worst in all {
        let work = worst.work();
        let read = as_read.iter().find(|read| read.work() == work);
        let Some(read) = read.filter(|read| read.verdict < worst.verdict) else {
            continue;
        };
        worst.depends_on = Search {
            situation,
            catalogue,
            work: &work,
            worst: worst.verdict,
        }
        .dependences();
        for check in &mut worst.checks {
            check.passes_as_read = check.passes == Some(false) && passes(&read.checks, check);
        }
        if worst.verdict == Verdict::DoesNotFit {
            worst.verdict = read.verdict.max(Verdict::FitsWithCare);
        }
    }
}

/// A check that is not asked any more passes.
fn passes(checks: &[Check], check: &Check) -> bool {
    let same = checks.iter().find(|other| other.check == check.check);
    same.is_none_or(|other| other.passes == Some(true))
}

struct Search<'a> {
    situation: &'a Situation,
    catalogue: &'a Catalogue,
    work: &'a Work,
    /// The verdict at the worst of all readings.
    worst: Verdict,
}

impl Search<'_> {
    fn dependences(&self) -> Vec<Dependence> {
        let doubts = self.situation.doubts();
        let one = |doubt: &Doubt| self.dependence(doubt);
        let some: Vec<Dependence> = doubts.iter().filter_map(one).collect();
        if !some.is_empty() {
            return some;
        }
        // No reading tells alone: all must be taken better by the same share.
        let share = self.most(|share| {
            let mut less = self.situation.clone();
            for doubt in &doubts {
                less = less.with_error(doubt.reading, of(doubt.error, share));
            }
            less
        });
        let each = doubts.iter();
        each.map(|doubt| self.needing(doubt, share, false))
            .collect()
    }

    fn dependence(&self, doubt: &Doubt) -> Option<Dependence> {
        let right = self.situation.with_error(doubt.reading, Length::ZERO);
        if self.better(&right) {
            let share = self.most(|share| {
                let error = of(doubt.error, share);
                self.situation.with_error(doubt.reading, error)
            });
            return Some(self.needing(doubt, share, true));
        }
        let others_right = self.situation.as_read();
        let only_this = |share| others_right.with_error(doubt.reading, of(doubt.error, share));
        if self.better(&only_this(SHARES)) {
            return None;
        }
        Some(self.needing(doubt, self.most(only_this), false))
    }

    fn needing(&self, doubt: &Doubt, share: i64, alone: bool) -> Dependence {
        let error = of(doubt.error, share);
        Dependence {
            reading: doubt.reading,
            name: name(self.situation, doubt.reading),
            stated: doubt.stated,
            error: doubt.error,
            needs: if doubt.reading.worst_is_least() {
                doubt.stated - error
            } else {
                doubt.stated + error
            },
            alone,
        }
    }

    fn better(&self, situation: &Situation) -> bool {
        verdict_of(situation, self.catalogue, self.work).is_some_and(|verdict| verdict < self.worst)
    }

    /// The largest share of what the readings may be off at which the verdict is still better; it is at none of it.
    fn most(&self, with: impl Fn(i64) -> Situation) -> i64 {
        let (mut good, mut bad) = (0, SHARES);
        while bad - good > 1 {
            let middle = (good + bad) / 2;
            if self.better(&with(middle)) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        good
    }
}

/// An error is cut into so many shares.
const SHARES: i64 = 1 << HALVINGS;

fn of(error: Length, share: i64) -> Length {
    error * share / SHARES
}

fn name(situation: &Situation, reading: DoubtfulReading) -> String {
    let damage = &situation.damage;
    let station = |i: usize| damage.stations.get(i).map(|station| station.span);
    let (what, span) = match reading {
        DoubtfulReading::Depth => return "the depth".to_owned(),
        DoubtfulReading::Floor => return "the floor".to_owned(),
        DoubtfulReading::NearestEdge => return "the distance to the nearest edge".to_owned(),
        DoubtfulReading::NearestHole => return "the distance to the nearest hole".to_owned(),
        DoubtfulReading::MatingHole => return "the hole in the part bolted on".to_owned(),
        DoubtfulReading::Diameter(i) => ("the diameter of what is missing", station(i)),
        DoubtfulReading::Offset(i) => ("how far off what is missing lies", station(i)),
        DoubtfulReading::HardZone(i) => (
            "the end of what is hard",
            damage.hard.get(i).map(|zone| zone.span),
        ),
    };
    match span {
        Some(span) => format!("{what} from {} deep on", span.from.both()),
        None => what.to_owned(),
    }
}

impl Dependence {
    /// To within how much the reading must be known: the room between what it reads and what it must be.
    pub fn within(&self) -> Length {
        (self.stated - self.needs).abs()
    }

    /// What to do, in a sentence, with lengths in one unit.
    pub fn words(&self, unit: Unit) -> String {
        self.sentence(|length| length.show(unit))
    }

    fn sentence(&self, show: impl Fn(Length) -> String) -> String {
        let Dependence {
            name,
            stated,
            error,
            needs,
            ..
        } = self;
        let limit = if self.reading.worst_is_least() {
            "at least"
        } else {
            "at most"
        };
        let together = if self.alone {
            ""
        } else {
            ", and the other readings named here too"
        };
        let take = if self.within() < NO_ROOM {
            format!("which leaves no room for an error, so measure it again{together}")
        } else {
            format!("so measure it to within {}{together}", show(self.within()))
        };
        format!(
            "it hangs on {name}: it reads {} and may be off by {}, and must be {limit} {}, {take}",
            show(*stated),
            show(*error),
            show(*needs)
        )
    }
}

impl fmt::Display for Dependence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence(Length::both))
    }
}

impl Serialize for Dependence {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_struct("Dependence", 9)?;
        map.serialize_field("reading", self.reading.word())?;
        map.serialize_field("name", &self.name)?;
        map.serialize_field("stated_mm", &self.stated)?;
        map.serialize_field("error_mm", &self.error)?;
        map.serialize_field("needs_mm", &self.needs)?;
        map.serialize_field("at_most", &!self.reading.worst_is_least())?;
        map.serialize_field("measure_to_mm", &self.within())?;
        map.serialize_field("alone", &self.alone)?;
        map.serialize_field("words", &self.to_string())?;
        map.end()
    }
}

#[cfg(test)]
mod tests;
