//! The hole that a job wants, and the drills of a drawer that come nearest.

use crate::border::{In, Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::inserts::Drill;
use crate::length::Length;
use crate::notebook::Notebook;
use crate::settings::DrillKind;
use holebook_core::drill as core;
use holebook_core::insert::holes_for;
use holebook_core::thread::Thread;

words! {
    /// How closely a bolt passes.
    Fit = core::Fit {
        /// The close series.
        Close,
        /// The usual series.
        Normal,
        /// The loose series.
        Loose,
    }
}

/// What a hole is drilled for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum HolePurpose {
    /// To be tapped.
    Tap,
    /// To be tapped for an insert.
    Insert,
    /// For a bolt to pass through.
    Clearance {
        /// How closely.
        fit: Fit,
    },
    /// The first hole down a broken bolt.
    BrokenBoltPilot,
    /// The last hole down a broken bolt.
    BrokenBoltCore,
    /// A diameter that somebody asked for.
    Diameter,
}

impl Out for core::Purpose {
    type Face = HolePurpose;
    fn out(self) -> HolePurpose {
        match self {
            Self::Tap => HolePurpose::Tap,
            Self::Insert => HolePurpose::Insert,
            Self::Clearance(fit) => HolePurpose::Clearance { fit: fit.out() },
            Self::BrokenBoltPilot => HolePurpose::BrokenBoltPilot,
            Self::BrokenBoltCore => HolePurpose::BrokenBoltCore,
            Self::Diameter => HolePurpose::Diameter,
        }
    }
}

words! {
    /// How a diameter lies to the limits of the hole wanted.
    DrillStanding = core::Standing {
        /// Within the limits.
        Within,
        /// Below the least.
        TooSmall,
        /// Above the largest.
        TooLarge,
        /// The hole has no limits.
        NoLimits,
    }
}

record_out! {
    /// One drill for a hole.
    DrillChoice = core::Choice {
        /// The drill.
        drill: Drill,
        /// How its nominal diameter lies to the limits.
        standing: DrillStanding,
        /// How much of a full thread its nominal diameter leaves, percent; none where nothing is tapped.
        thread_percent: Option<f64>,
        /// The hole that it cuts in the mean, oversize and all; none where there were no tests. Yours may cut more: measure the
        /// hole before it is tapped.
        cuts: Option<Length>,
        /// How that hole lies to the limits.
        cut_standing: Option<DrillStanding>,
        /// How much of a full thread that hole leaves, percent.
        cut_percent: Option<f64>,
    }
}

/// A hole to be drilled, and the drills to choose from.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DrillChoices {
    /// What it is for.
    pub purpose: HolePurpose,
    /// The same in words.
    pub job: String,
    /// The diameter aimed at.
    pub aim: Length,
    /// The least that will do, where there is a limit.
    pub least: Option<Length>,
    /// The largest that will do, where there is a limit.
    pub largest: Option<Length>,
    /// Where the numbers come from.
    pub source: String,
    /// The largest drill below the diameter aimed at.
    pub below: Option<DrillChoice>,
    /// A drill of just that diameter.
    pub exact: Option<DrillChoice>,
    /// The smallest drill above it.
    pub above: Option<DrillChoice>,
    /// The one to take; none where none lies within the limits, so that a person decides.
    pub best: Option<DrillChoice>,
}

impl Out for core::Choices {
    type Face = DrillChoices;
    fn out(self) -> DrillChoices {
        let best = self.best().copied().out();
        let Self {
            wanted,
            drawer: _, // whoever asks said which
            exact,
            below,
            above,
        } = self;
        DrillChoices {
            purpose: wanted.purpose.out(),
            job: wanted.job,
            aim: wanted.aim.out(),
            least: wanted.least.out(),
            largest: wanted.largest.out(),
            source: wanted.source,
            below: below.out(),
            exact: exact.out(),
            above: above.out(),
            best,
        }
    }
}

fn drawer(kinds: Option<Vec<DrillKind>>) -> Result<core::Drawer, NotebookError> {
    let drawer: Option<core::Drawer> = kinds.inward()?;
    Ok(drawer.unwrap_or(core::Drawer::ALL))
}

#[uniffi::export]
impl Notebook {
    /// The drills for every hole that a thread's bolt may ask for: tapped, for each insert, to pass through, down its stump. Of
    /// the kinds in `drawer`, or of all that are sold. `engagement` narrows the tapped hole, since a long thread can give up more
    /// of its height. Blocks.
    ///
    /// Fails with `Unreadable` where the thread is none known here.
    #[uniffi::method(default(drawer = None, engagement = None))]
    pub fn drills_for_thread(
        &self,
        thread: String,
        drawer: Option<Vec<DrillKind>>,
        engagement: Option<Length>,
    ) -> Result<Vec<DrillChoices>, NotebookError> {
        self.call("drills_for_thread", |open| {
            let (thread, drawer): (Thread, _) = (thread.inward()?, self::drawer(drawer)?);
            let holes = holes_for(&*open.catalogue()?, &thread, engagement.inward()?);
            let choices = holes.iter().map(|hole| core::choices(hole, drawer).out());
            Ok(choices.collect())
        })
    }
}

/// The drills that come nearest to a diameter, of the kinds in `drawer`, or of all that are sold.
///
/// Fails with `Unfit` where the diameter is not more than 0.
#[uniffi::export(default(drawer = None))]
pub fn nearest_drills(
    diameter: Length,
    drawer: Option<Vec<DrillKind>>,
) -> Result<DrillChoices, NotebookError> {
    guard("nearest_drills", || {
        if diameter.nm <= 0 {
            return Err(NotebookError::unfit(
                "the diameter of a drill must be more than 0; check the number",
            ));
        }
        let wanted = core::HoleWanted::diameter(diameter.inward()?);
        Ok(core::choices(&wanted, self::drawer(drawer)?).out())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_nearest_drills_of_a_drawer_stand_on_either_side() {
        let aim = Length { nm: 9_900_000 };
        let found = nearest_drills(aim, Some(vec![DrillKind::Fractional])).unwrap();
        let name = |choice: Option<DrillChoice>| choice.map(|choice| choice.drill.name);
        assert_eq!(name(found.below), Some("3/8".to_owned()));
        assert_eq!(name(found.above.clone()), Some("25/64".to_owned()));
        assert_eq!(found.best, found.above);
        assert!(nearest_drills(Length { nm: 0 }, None).is_err());
    }
}
