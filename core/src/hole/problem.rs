//! Open problems: recorded work that does not hold, or does not hold any more.
//!
//! A problem is worked out from all active entries each time, so a fact that changes may open one
//! that nobody recorded: a deeper face cut, a corrected reading, another thread.

use super::condition::Condition;
use super::place_change::PlaceChange;
use super::record::{CheckKind, Quantity};
use super::remedies::Verdict;
use super::removal::Removal;
use super::steps::StepKey;
use crate::id::EntryId;
use crate::length::{Length, Rounding, show_range_both};
use crate::strength::show_torque_both;
use std::fmt;

/// Something that keeps a hole from passing. `Display` says what is wrong and what to do, with
/// lengths in both units.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub enum Problem {
    /// A hole was drilled or tapped less deep than the plan needs, measured from the face as is.
    TooShallow {
        /// The drilling or tapping step.
        step: StepKey,
        /// The entry with the depth.
        entry: EntryId,
        /// The depth reached, from the face as is.
        reached: Length,
        /// The depth needed, from the face as is.
        needed: Length,
    },
    /// A depth was not recorded, and the face was cut deeper than planned since.
    DepthUnknown {
        /// The step.
        step: StepKey,
        /// The entry without a depth.
        entry: EntryId,
    },
    /// The thread is recorded deeper than the drilled hole.
    TappedDeeperThanDrilled {
        /// The entry of the tapping.
        entry: EntryId,
        /// The depth tapped, from the face as is.
        tapped: Length,
        /// The depth drilled, from the face as is.
        drilled: Length,
    },
    /// An insert's top end is not where it must be, measured from the face as is.
    InstallDepth {
        /// The entry of the install.
        entry: EntryId,
        /// The depth of its top below the face as is; below zero if it stands proud.
        below: Length,
        /// The smallest depth allowed.
        least: Length,
        /// The largest depth allowed.
        most: Length,
    },
    /// The insert was installed before the planned face cut, without a reason.
    InstalledBeforeFaceCut {
        /// The entry of the install.
        entry: EntryId,
    },
    /// Not all locking keys were driven.
    KeysMissing {
        /// The entry.
        entry: EntryId,
        /// Keys driven.
        driven: u8,
        /// Keys that the insert has.
        of: u8,
    },
    /// A trial fit failed, and no later one passed.
    TrialFitFailed {
        /// The failed entry.
        entry: EntryId,
    },
    /// A check failed, and no later one passed.
    CheckFailed {
        /// What was checked.
        check: CheckKind,
        /// The failed entry.
        entry: EntryId,
    },
    /// A check passed with a reading outside its limits.
    CheckReading {
        /// What was checked.
        check: CheckKind,
        /// The entry.
        entry: EntryId,
        /// Its reading.
        reading: Length,
        /// The smallest reading allowed.
        least: Length,
        /// The largest reading allowed.
        most: Length,
    },
    /// A final check failed, and no later one passed.
    FinalCheckFailed {
        /// The failed entry.
        entry: EntryId,
    },
    /// A final check held a torque above the limit of this hole, newton meters.
    TorqueAboveLimit {
        /// The entry.
        entry: EntryId,
        /// The torque held.
        torque_nm: f64,
        /// The limit.
        limit_nm: f64,
    },
    /// A final check engaged less thread than planned.
    EngagementShort {
        /// The entry.
        entry: EntryId,
        /// The thread length engaged.
        engaged: Length,
        /// The thread length planned.
        needed: Length,
    },
    /// A step was recorded before something that it rests on.
    Reopened {
        /// The step that must be done again.
        step: StepKey,
        /// The entry that no longer counts.
        entry: EntryId,
        /// What was recorded after it.
        by: Cause,
    },
    /// A final check passed while steps before it are open.
    PassedTooSoon {
        /// The entry of the final check.
        entry: EntryId,
        /// The first open step.
        open: StepKey,
    },
    /// Readings changed the numbers of the chosen remedy for the worse.
    BasisChanged {
        /// The verdict when it was chosen.
        verdict_then: Verdict,
        /// The verdict now.
        verdict_now: Verdict,
        /// Strength over the bolt's when it was chosen; `None`: not known then.
        ratio_then: Option<f64>,
        /// Strength over the bolt's now; `None`: not known.
        ratio_now: Option<f64>,
    },
    /// The remedy was chosen before the broken piece was removed.
    ChosenBeforeClearing,
    /// The damage was described before the broken piece was removed.
    DescribedBeforeClearing {
        /// How it came out, which decides what to look out for.
        removal: Option<Removal>,
    },
    /// What the damage was worked out from changed since: an amount taken from the pattern or a
    /// photo no longer holds.
    PlacesChanged {
        /// The first change.
        change: PlaceChange,
        /// How many more there are.
        more: u32,
    },
    /// What the planned face cut was taken from changed since.
    FaceCutChanged {
        /// The first change.
        change: PlaceChange,
    },
    /// Something was tried that may have changed the hole since its damage was described.
    TriedSinceDescribed {
        /// The entry of the try.
        entry: EntryId,
        /// The way.
        way: Option<Removal>,
    },
    /// The chosen remedy does not fit, and no reason is given.
    DoesNotFit,
    /// A crack was found, and the hole is not sent out.
    Cracked,
    /// The hole is to be left as is, and a first look says that it is not sound.
    NotSound {
        /// What the first look says.
        condition: Condition,
    },
    /// The chosen remedy is no longer offered for this hole.
    NotOffered,
}

/// What was recorded after a step and reopens it.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The wanted thread.
    WantedThread,
    /// The condition by a first look.
    Condition,
    /// The damage.
    Damage,
    /// The choice of remedy.
    Remedy,
    /// A reading.
    Reading(Quantity),
    /// The face's usual thread, which the hole inherits.
    UsualThread,
    /// A usual value of the face, which the hole inherits.
    UsualReading(Quantity),
    /// A face cut.
    FaceCut,
    /// A try that may have changed the hole.
    Try,
    /// A tool that broke off in the hole.
    BrokenTool,
    /// Another step.
    Step(StepKey),
}

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Cause::WantedThread => f.write_str("the wanted thread was set"),
            Cause::Condition => f.write_str("the condition was recorded"),
            Cause::Damage => f.write_str("the damage was described"),
            Cause::Remedy => f.write_str("the remedy was chosen"),
            Cause::Reading(quantity) => write!(f, "a reading of the {quantity} was added"),
            Cause::UsualThread => f.write_str("the usual thread of the face was set"),
            Cause::UsualReading(quantity) => {
                write!(f, "the usual {quantity} of the face was set")
            }
            Cause::FaceCut => f.write_str("the face was cut"),
            Cause::Try => f.write_str("something was tried on the hole"),
            Cause::BrokenTool => f.write_str("a tool broke off in the hole"),
            Cause::Step(step) => write!(f, "{} was recorded", step.noun()),
        }
    }
}

impl Problem {
    /// Returns the step that must be done again; `None` if the remedy itself is in doubt.
    pub fn step(&self) -> Option<StepKey> {
        match self {
            Problem::TooShallow { step, .. }
            | Problem::DepthUnknown { step, .. }
            | Problem::Reopened { step, .. } => Some(*step),
            Problem::TappedDeeperThanDrilled { .. } => {
                Some(StepKey::Cut(super::record::CutStep::Tap))
            }
            Problem::InstallDepth { .. } | Problem::InstalledBeforeFaceCut { .. } => {
                Some(StepKey::Install)
            }
            Problem::KeysMissing { .. } => Some(StepKey::StakeKeys),
            Problem::TrialFitFailed { .. } => Some(StepKey::TrialFit),
            Problem::CheckFailed { check, .. } | Problem::CheckReading { check, .. } => {
                Some(StepKey::Check(*check))
            }
            Problem::FinalCheckFailed { .. }
            | Problem::TorqueAboveLimit { .. }
            | Problem::EngagementShort { .. }
            | Problem::PassedTooSoon { .. } => Some(StepKey::FinalCheck),
            Problem::FaceCutChanged { .. } => Some(StepKey::FaceCut),
            Problem::BasisChanged { .. }
            | Problem::ChosenBeforeClearing
            | Problem::DescribedBeforeClearing { .. }
            | Problem::PlacesChanged { .. }
            | Problem::TriedSinceDescribed { .. }
            | Problem::DoesNotFit
            | Problem::Cracked
            | Problem::NotSound { .. }
            | Problem::NotOffered => None,
        }
    }

    /// Returns whether a depth is out of its limits, which a face cut can cause.
    pub fn is_about_depth(&self) -> bool {
        matches!(
            self,
            Problem::TooShallow { .. }
                | Problem::DepthUnknown { .. }
                | Problem::InstallDepth { .. }
        )
    }

    /// Returns whether the recorded value itself is out of its limits, so that recording it asks
    /// first.
    pub fn is_about_value(&self) -> bool {
        matches!(
            self,
            Problem::TooShallow { .. }
                | Problem::TappedDeeperThanDrilled { .. }
                | Problem::InstallDepth { .. }
                | Problem::KeysMissing { .. }
                | Problem::CheckReading { .. }
                | Problem::TorqueAboveLimit { .. }
                | Problem::EngagementShort { .. }
        )
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Problem::TooShallow {
                step,
                reached,
                needed,
                ..
            } => {
                let (did, again) = cut_verbs(*step);
                write!(
                    f,
                    "{did} only {} deep from the face as is, and {} is needed: {again} {} deeper \
                     before installing",
                    reached.both_rounded(Rounding::Down),
                    needed.both_rounded(Rounding::Up),
                    (*needed - *reached).both_rounded(Rounding::Up)
                )
            }
            Problem::DepthUnknown { step, .. } => write!(
                f,
                "the face was cut deeper than planned, and no depth is recorded for {}: measure it \
                 and record it",
                step.noun()
            ),
            Problem::TappedDeeperThanDrilled {
                tapped, drilled, ..
            } => write!(
                f,
                "tapped {} deep in a hole drilled {} deep: one of the two is wrong; measure again \
                 and correct it",
                tapped.both(),
                drilled.both()
            ),
            Problem::InstallDepth {
                below, least, most, ..
            } => install_depth(f, *below, *least, *most),
            Problem::InstalledBeforeFaceCut { .. } => f.write_str(
                "the insert was installed before the planned face cut, without a reason: remove it \
                 before the cut, or record why it may stay",
            ),
            Problem::KeysMissing { driven, of, .. } => write!(
                f,
                "{driven} of {of} keys driven: drive the rest and record all {of}"
            ),
            Problem::TrialFitFailed { .. } => {
                f.write_str("the trial fit failed: fix the cause, then trial-fit again")
            }
            Problem::CheckFailed { check, .. } => {
                write!(f, "a check failed ({check}): fix it and check again")
            }
            Problem::CheckReading {
                check,
                reading,
                least,
                most,
                ..
            } => write!(
                f,
                "the check ({check}) passed with a reading of {}, and {} is allowed: measure again",
                reading.both(),
                show_range_both(*least, *most)
            ),
            Problem::FinalCheckFailed { .. } => f.write_str(
                "the final check failed: do not trust this hole until you know why, then check \
                 again",
            ),
            Problem::TorqueAboveLimit {
                torque_nm,
                limit_nm,
                ..
            } => write!(
                f,
                "the final check held {}, more than the limit of {} for this hole: look for damage \
                 to the thread, then check again within the limit",
                show_torque_both(*torque_nm),
                show_torque_both(*limit_nm)
            ),
            Problem::EngagementShort {
                engaged, needed, ..
            } => write!(
                f,
                "the final check engaged {} of thread, and {} is planned: find out what stopped it",
                engaged.both(),
                needed.both_rounded(Rounding::Up)
            ),
            Problem::Reopened { step, by, .. } => write!(
                f,
                "{by} after {}: do it again, or check that it still holds, and record it",
                step.noun()
            ),
            Problem::PassedTooSoon { open, .. } => write!(
                f,
                "the final check is recorded, but {} is open: record it, then check again",
                open.noun()
            ),
            Problem::BasisChanged {
                verdict_then,
                verdict_now,
                ratio_then,
                ratio_now,
            } => {
                write!(
                    f,
                    "the numbers changed since this remedy was chosen: it was \"{verdict_then}\""
                )?;
                percent(f, *ratio_then)?;
                write!(f, ", and is now \"{verdict_now}\"")?;
                percent(f, *ratio_now)?;
                f.write_str(": look at the remedies and choose again")
            }
            Problem::ChosenBeforeClearing => f.write_str(
                "the remedy was chosen before the broken piece was out: choose again for the hole \
                 as it is now",
            ),
            Problem::DescribedBeforeClearing { removal } => {
                f.write_str(
                    "the broken piece is out: measure the hole again and describe its damage as it \
                     is now",
                )?;
                match removal.and_then(Removal::aftermath) {
                    Some(aftermath) => write!(f, " ({aftermath})"),
                    None => Ok(()),
                }
            }
            Problem::PlacesChanged { change, more } => {
                write!(
                    f,
                    "since the off-center amount was taken from the places on the face, {change}"
                )?;
                match more {
                    0 => {}
                    1 => f.write_str(", and one more thing changed")?,
                    more => write!(f, ", and {more} more things changed")?,
                }
                f.write_str(": take it again")
            }
            Problem::FaceCutChanged { change } => write!(
                f,
                "the planned face cut was taken from the heights of the face, and since then {change}: plan it \
                 again on the page of the face's heights"
            ),
            Problem::TriedSinceDescribed { way, .. } => {
                let name = way.map_or("something", Removal::name);
                write!(
                    f,
                    "something was tried since the hole was described ({name}): look again, and \
                     describe the damage as it is now"
                )?;
                match way.and_then(Removal::aftermath) {
                    Some(aftermath) => write!(f, " ({})", aftermath.trim_end_matches('.')),
                    None => Ok(()),
                }
            }
            Problem::DoesNotFit => f.write_str(
                "the chosen remedy does not fit, and no reason is given: choose another, or choose \
                 it again with the reason",
            ),
            Problem::Cracked => f.write_str(
                "a crack was found: stop here and send it out, because no thread repair holds in a \
                 cracked wall",
            ),
            Problem::NotSound { condition } => write!(
                f,
                "the first look says \"{condition}\", and the hole is to be left as is: describe \
                 the damage, or change the condition"
            ),
            Problem::NotOffered => {
                f.write_str("the chosen remedy is no longer offered for this hole: choose again")
            }
        }
    }
}

fn percent(f: &mut fmt::Formatter<'_>, ratio: Option<f64>) -> fmt::Result {
    match ratio {
        Some(ratio) => write!(f, " at {:.0} % of the bolt's strength", ratio * 100.0),
        None => Ok(()),
    }
}

fn cut_verbs(step: StepKey) -> (&'static str, &'static str) {
    use super::record::CutStep;
    match step {
        StepKey::Cut(CutStep::Tap | CutStep::TapPlug) => ("tapped", "tap"),
        _ => ("drilled", "drill"),
    }
}

fn install_depth(
    f: &mut fmt::Formatter<'_>,
    below: Length,
    least: Length,
    most: Length,
) -> fmt::Result {
    let allowed = show_range_both(least, most);
    if below < Length::ZERO {
        let proud = (Length::ZERO - below).both();
        return write!(
            f,
            "the insert stands {proud} above the face, and must be {allowed} below it: set it \
             deeper and measure again"
        );
    }
    let fix = if below < least {
        "set it deeper"
    } else {
        "it sits too deep; bring it up"
    };
    write!(
        f,
        "the insert's top is {} below the face as is, and must be {allowed} below it: {fix} and \
         measure again",
        below.both()
    )
}
