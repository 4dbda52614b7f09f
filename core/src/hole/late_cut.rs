//! What was recorded before a face cut, and may have been measured on the face as milled: the cut was
//! made first and recorded late.
//!
//! The order of entries says nothing of it, so a person is asked. What is found here only decides
//! whether to ask, and what is named first; the answer is kept in the cut
//! ([`came_before`](super::record::FaceMilled::came_before)).

use super::record::{
    CheckKind, CutStep, FaceRecord, HoleRecord, Quantity, Reading, Recorded, is_blank,
};
use crate::id::{EntryId, Seen};
use crate::length::Length;
use chrono::{DateTime, FixedOffset, TimeDelta};

/// A face is not set up and milled in less time (judgment). What was measured later than that before
/// a cut was recorded, after a longer pause, may have been measured on the face as milled.
const TIME_TO_MILL: TimeDelta = TimeDelta::minutes(20);

/// An entry that counts from the face before a cut, or from the face that the cut left.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct EarlierEntry {
    /// The entry.
    pub entry: EntryId,
    /// What it counts as in [`FaceMilled::came_before`](super::record::FaceMilled::came_before).
    pub place: Seen,
    /// The number of its hole; `None`: it is about the face.
    pub hole: Option<u32>,
    /// What was recorded, in a few words: `depth`, `damage`, `tapped`.
    pub what: String,
    /// Its depth, if it has one.
    pub depth: Option<Length>,
    /// The time by the device's clock.
    pub at: DateTime<FixedOffset>,
    /// Whether something shows that the face may have been milled by then.
    pub may_be_after: bool,
}

/// Collects the entries of a face's holes.
pub(crate) struct EarlierEntries<'f> {
    face: &'f FaceRecord,
    /// The cut that is corrected; `None`: a new one.
    corrected: Option<Seen>,
    found: Vec<Found>,
}

struct Found {
    entry: EarlierEntry,
    /// An entry without a body, for what it knows.
    writer: Recorded<()>,
    /// Whether it is work that comes after the face cut.
    shows_cut: bool,
}

impl<'f> EarlierEntries<'f> {
    /// Starts with a face's usual values. `corrected` names the cut that is corrected.
    pub fn of(face: &'f FaceRecord, corrected: Option<EntryId>) -> Self {
        let mut cuts = face.milled.iter();
        let mut all = EarlierEntries {
            face,
            corrected: cuts
                .find(|cut| Some(cut.entry) == corrected)
                .map(Recorded::place),
            found: Vec::new(),
        };
        for usual in &face.setup.readings {
            all.reading(None, "usual ", usual);
        }
        all
    }

    /// Adds height readings of the face.
    pub fn add_heights<T>(&mut self, heights: &[Recorded<T>]) {
        for heights in heights {
            self.add(None, "heights", None, heights, false);
        }
    }

    /// Adds all of a hole that has a depth from the face, or was checked against it.
    pub fn add_hole(&mut self, number: u32, record: &HoleRecord) {
        let hole = Some(number);
        for reading in &record.readings {
            self.reading(hole, "", reading);
        }
        for damage in record.damage.0.iter().filter(|it| !it.body.is_empty()) {
            self.add(hole, "damage", None, damage, false);
        }
        for cut in &record.cuts {
            let what = match cut.body.step {
                CutStep::Drill => "drilled",
                CutStep::Tap => "tapped",
                _ => "cut",
            };
            if let Some(depth) = cut.body.depth {
                self.add(hole, what, Some(depth), cut, false);
            }
        }
        for install in &record.installs {
            let shows_cut = is_blank(&install.body.reason);
            self.add(
                hole,
                "installed",
                install.body.below_face,
                install,
                shows_cut,
            );
        }
        let checks = record.checks.iter();
        for check in checks.filter(|check| check.body.check == CheckKind::StakeCheck) {
            self.add(hole, "stake check", check.body.reading, check, true);
        }
        for check in &record.final_checks {
            self.add(hole, "final check", None, check, true);
        }
    }

    fn reading(&mut self, hole: Option<u32>, whose: &str, reading: &Recorded<Reading>) {
        if reading.body.quantity.is_depth() {
            let what = format!("{whose}{}", reading.body.quantity);
            self.add(hole, &what, Some(reading.body.value), reading, false);
        }
    }

    fn add<T>(
        &mut self,
        hole: Option<u32>,
        what: &str,
        depth: Option<Length>,
        entry: &Recorded<T>,
        after_cut: bool,
    ) {
        let writer = entry.without_body();
        let is_later = self.corrected.is_some_and(|cut| writer.knows(cut));
        let (before, removed) = self.around(&writer);
        if is_later || before {
            return;
        }
        let planned = self.face.planned().unwrap_or_default();
        self.found.push(Found {
            entry: EarlierEntry {
                entry: entry.entry,
                place: entry.place(),
                hole,
                what: what.to_owned(),
                depth,
                at: entry.at,
                may_be_after: false,
            },
            writer,
            shows_cut: after_cut && removed < planned,
        });
    }

    /// Returns whether another cut surely came after an entry, and what was removed before it.
    fn around(&self, entry: &Recorded<()>) -> (bool, Length) {
        let others = || {
            let cuts = self.face.milled.iter();
            cuts.filter(|cut| Some(cut.place()) != self.corrected)
        };
        let before = others().any(|cut| cut.surely_follows(entry));
        let known = others().filter(|cut| cut.precedes(entry));
        (before, known.map(|cut| cut.body.removed).sum())
    }

    /// Returns all that were added, those that may be after the cut first. `now` is when the cut is
    /// recorded.
    pub fn finish(mut self, now: DateTime<FixedOffset>) -> Vec<EarlierEntry> {
        let shown: Vec<Seen> = self.shown_cut().collect();
        let since = recent(self.found.iter().map(|found| found.entry.at), now);
        for found in &mut self.found {
            let follows = shown.iter().any(|place| found.writer.knows(*place));
            let recent = since.is_some_and(|since| found.entry.at >= since);
            found.entry.may_be_after = found.shows_cut || follows || recent;
        }
        let mut all: Vec<EarlierEntry> = self.found.into_iter().map(|found| found.entry).collect();
        all.sort_by_key(|entry| (!entry.may_be_after, entry.hole, entry.entry));
        all
    }

    /// The places of work that comes after the cut.
    fn shown_cut(&self) -> impl Iterator<Item = Seen> + '_ {
        let found = self.found.iter().filter(|found| found.shows_cut);
        found.map(|found| found.writer.position())
    }
}

/// Returns when the entries begin that were recorded so shortly before `now` that nothing can have
/// been milled since, if something could have been milled right before them.
fn recent(
    times: impl Iterator<Item = DateTime<FixedOffset>>,
    now: DateTime<FixedOffset>,
) -> Option<DateTime<FixedOffset>> {
    let mut times: Vec<DateTime<FixedOffset>> = times.collect();
    times.sort_unstable();
    let mut since = now;
    for time in times.iter().rev() {
        if since.signed_duration_since(time) >= TIME_TO_MILL {
            return Some(since).filter(|since| *since < now);
        }
        since = since.min(*time);
    }
    None
}

impl Quantity {
    /// Returns whether it is a depth from the face.
    pub const fn is_depth(self) -> bool {
        matches!(
            self,
            Quantity::Depth | Quantity::FullDiameter | Quantity::FullThread
        )
    }
}

#[cfg(test)]
mod tests;
