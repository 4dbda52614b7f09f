//! The order of steps, and what each one waits for.

use super::{StepKey, Work};
use crate::hole::hardness::may_be_too_hard_for_keys;
use crate::hole::record::{CheckKind, CutStep, Remedy};
use crate::length::{Length, Rounding};

/// Largest offset at which a drill still centers itself; beyond it use an end mill (judgment).
const DRILL_SELF_CENTERS: Length = Length::from_nm(200_000);

const CLEAR: StepKey = StepKey::Cut(CutStep::ClearBroken);
const RELIEVE: StepKey = StepKey::Cut(CutStep::RelieveHard);
const CENTER: StepKey = StepKey::Cut(CutStep::Center);
const DRILL: StepKey = StepKey::Cut(CutStep::Drill);
const TAP: StepKey = StepKey::Cut(CutStep::Tap);
const PLUG: StepKey = StepKey::Cut(CutStep::Plug);
const COUNTERSINK: StepKey = StepKey::Cut(CutStep::Countersink);
const DRILL_PLUG: StepKey = StepKey::Cut(CutStep::DrillPlug);
const TAP_PLUG: StepKey = StepKey::Cut(CutStep::TapPlug);
const MAKE_BUSHING: StepKey = StepKey::Cut(CutStep::MakeBushing);
const BROACH_SLOTS: StepKey = StepKey::Cut(CutStep::BroachSlots);
const STAKE_CHECK: StepKey = StepKey::Check(CheckKind::StakeCheck);
const RUNS_IN: StepKey = StepKey::Check(CheckKind::RunsInByHand);
const SQUARE: StepKey = StepKey::Check(CheckKind::Square);

/// Returns the steps of a remedy, in order.
pub(in crate::hole) fn step_keys(work: &Work<'_>) -> Vec<StepKey> {
    let (situation, assessment) = (work.situation, work.assessment);
    let damage = &situation.damage;
    let has_keys = assessment
        .insert
        .as_ref()
        .is_some_and(|insert| insert.keys > 0);
    let cleared = || {
        let mut cuts = work.record.cuts.iter();
        cuts.any(|cut| cut.body.step == CutStep::ClearBroken)
    };
    let belongs = |key: &StepKey| match *key {
        CLEAR => assessment.blocked_by_broken_piece() || cleared(),
        RELIEVE => !damage.hard.is_empty(),
        CENTER => {
            damage.off_center() > DRILL_SELF_CENTERS
                || damage.lean.is_some()
                || assessment.blocked_by_broken_piece()
        }
        StepKey::FaceCut => {
            work.face.removed().is_positive() || situation.face_cut != Some(Length::ZERO)
        }
        StepKey::StakeKeys => has_keys,
        BROACH_SLOTS => has_keys && may_be_too_hard_for_keys(situation.metal),
        MAKE_BUSHING => assessment.remedy == Remedy::Bushing,
        _ => true,
    };
    let all: &[StepKey] = match assessment.remedy {
        Remedy::Leave | Remedy::LongerBolt => &[StepKey::FaceCut, StepKey::FinalCheck],
        // The drill follows the hole that is there.
        Remedy::TapDeeper => &[
            CLEAR,
            RELIEVE,
            DRILL,
            TAP,
            StepKey::FaceCut,
            RUNS_IN,
            SQUARE,
            StepKey::FinalCheck,
        ],
        Remedy::Chase => &[
            CLEAR,
            RELIEVE,
            TAP,
            StepKey::FaceCut,
            RUNS_IN,
            SQUARE,
            StepKey::FinalCheck,
        ],
        Remedy::LargerBolt => &[
            CLEAR,
            RELIEVE,
            CENTER,
            DRILL,
            TAP,
            StepKey::FaceCut,
            COUNTERSINK,
            RUNS_IN,
            SQUARE,
            StepKey::FinalCheck,
        ],
        Remedy::WireInsert | Remedy::KeyLockingInsert | Remedy::Bushing | Remedy::SteppedStud => &[
            CLEAR,
            RELIEVE,
            CENTER,
            DRILL,
            TAP,
            MAKE_BUSHING,
            StepKey::TrialFit,
            StepKey::FaceCut,
            COUNTERSINK,
            StepKey::Install,
            BROACH_SLOTS,
            StepKey::StakeKeys,
            STAKE_CHECK,
            RUNS_IN,
            SQUARE,
            StepKey::FinalCheck,
        ],
        Remedy::ThreadedPlug => &[
            CLEAR,
            RELIEVE,
            CENTER,
            DRILL,
            TAP,
            PLUG,
            StepKey::FaceCut,
            DRILL_PLUG,
            TAP_PLUG,
            COUNTERSINK,
            STAKE_CHECK,
            RUNS_IN,
            SQUARE,
            StepKey::FinalCheck,
        ],
        Remedy::Specialist => &[StepKey::FaceCut, RUNS_IN, StepKey::FinalCheck],
    };
    all.iter().copied().filter(belongs).collect()
}

/// Returns the steps that should be done before a step, if the remedy has them.
const fn prerequisites(key: StepKey) -> &'static [StepKey] {
    match key {
        CLEAR | StepKey::FaceCut => &[],
        RELIEVE => &[CLEAR],
        CENTER => &[CLEAR, RELIEVE],
        DRILL => &[CLEAR, RELIEVE, CENTER],
        TAP => &[CLEAR, RELIEVE, DRILL],
        MAKE_BUSHING => &[],
        PLUG | StepKey::TrialFit => &[TAP],
        COUNTERSINK => &[TAP, TAP_PLUG, StepKey::FaceCut],
        DRILL_PLUG => &[PLUG, StepKey::FaceCut],
        TAP_PLUG => &[DRILL_PLUG],
        StepKey::Install => &[TAP, StepKey::TrialFit, StepKey::FaceCut],
        BROACH_SLOTS | StepKey::StakeKeys => &[StepKey::Install],
        StepKey::Check(_) => &[CLEAR, TAP, TAP_PLUG, StepKey::Install, StepKey::StakeKeys],
        StepKey::FinalCheck => &[
            CLEAR,
            TAP,
            PLUG,
            StepKey::FaceCut,
            TAP_PLUG,
            StepKey::Install,
            StepKey::StakeKeys,
            STAKE_CHECK,
            RUNS_IN,
        ],
    }
}

/// Returns the steps of the remedy that should be done before a step.
pub(super) fn required_before(key: StepKey, work: &Work<'_>) -> impl Iterator<Item = StepKey> {
    let plan = step_keys(work);
    // A locking insert never passes a bolt by hand (common practice, no source).
    let may_skip = work.assessment.remedy.may_be_locking();
    let earlier = prerequisites(key).iter().copied();
    earlier.filter(move |step| plan.contains(step) && !(may_skip && *step == RUNS_IN))
}

/// Returns the first open step that should be done before a step.
pub(super) fn waits_for(key: StepKey, work: &Work<'_>) -> Option<StepKey> {
    required_before(key, work).find(|step| !work.is_done(*step))
}

/// Says why recording a step now needs a reason; `None` if it is in order.
pub fn out_of_order(work: &Work<'_>, doing: StepKey) -> Option<String> {
    if !step_keys(work).contains(&doing) {
        return Some(format!("{} is not part of this remedy", doing.noun()));
    }
    let missing = waits_for(doing, work)?;
    Some(match (doing, missing) {
        (StepKey::Install, StepKey::FaceCut) => installing_early(work),
        (_, StepKey::FaceCut) => format!(
            "the planned face cut is not done yet, and {} should come after it",
            doing.noun()
        ),
        _ => format!(
            "{} is not recorded yet, and {} should come after it",
            missing.noun(),
            doing.noun()
        ),
    })
}

fn installing_early(work: &Work<'_>) -> String {
    let Some(cut) = work.situation.face_cut else {
        return "the face cut is not planned yet, so the depth of the insert is unknown".to_owned();
    };
    let below = work.assessment.depths.and_then(|depths| depths.install_now);
    let below = below.map_or(String::new(), |below| {
        let below = below.both_rounded(Rounding::Up);
        format!(" must sit {below} below the face as is and")
    });
    format!(
        "a face cut of {} is not done yet: an insert installed now{below} must clear the cutter",
        cut.both()
    )
}
