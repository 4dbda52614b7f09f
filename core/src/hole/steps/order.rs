//! The order of steps, and what each one waits for.

use super::labels::name;
use super::{StepKey, done};
use crate::hole::hardness::may_be_too_hard_for_keys;
use crate::hole::record::{CheckKind, CutStep, HoleRecord, Remedy};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
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
pub(super) fn step_keys(situation: &Situation, assessment: &Assessment) -> Vec<StepKey> {
    let damage = &situation.damage;
    let has_keys = assessment
        .insert
        .as_ref()
        .is_some_and(|insert| insert.keys > 0);
    let belongs = |key: &StepKey| match *key {
        CLEAR => assessment.blocked_by_broken_piece(),
        RELIEVE => !damage.hard.is_empty(),
        CENTER => {
            damage.off_center() > DRILL_SELF_CENTERS
                || damage.lean.is_some()
                || assessment.blocked_by_broken_piece()
        }
        StepKey::FaceCut => {
            situation.milled.is_positive() || situation.face_cut != Some(Length::ZERO)
        }
        StepKey::StakeKeys => has_keys,
        BROACH_SLOTS => has_keys && may_be_too_hard_for_keys(situation.metal),
        MAKE_BUSHING => assessment.remedy == Remedy::Bushing,
        _ => true,
    };
    let all: &[StepKey] = match assessment.remedy {
        Remedy::Leave | Remedy::LongerBolt => &[StepKey::FaceCut, RUNS_IN, StepKey::FinalCheck],
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
            TAP_PLUG,
            StepKey::Install,
            StepKey::StakeKeys,
            STAKE_CHECK,
            RUNS_IN,
        ],
    }
}

/// Returns the first open step that should be done before a step.
pub(super) fn waits_for(
    key: StepKey,
    step_keys: &[StepKey],
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<StepKey> {
    let mut earlier = prerequisites(key).iter().copied();
    earlier.find(|step| {
        step_keys.contains(step) && done(*step, situation, assessment, record).is_none()
    })
}

/// Says why recording a step now needs a reason; `None` if it is in order.
pub fn out_of_order(
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
    doing: StepKey,
) -> Option<String> {
    let plan = step_keys(situation, assessment);
    if doing == StepKey::FaceCut {
        return cutter_meets_insert(situation, assessment, record);
    }
    if !plan.contains(&doing) {
        return Some(format!("{} is not part of this remedy", name(doing)));
    }
    let missing = waits_for(doing, &plan, situation, assessment, record)?;
    Some(match (doing, missing) {
        (StepKey::Install, StepKey::FaceCut) => installing_early(situation, assessment),
        (_, StepKey::FaceCut) => format!(
            "the planned face cut is not done yet, and {} should come after it",
            name(doing)
        ),
        _ => format!(
            "{} is not recorded yet, and {} should come after it",
            name(missing),
            name(doing)
        ),
    })
}

fn installing_early(situation: &Situation, assessment: &Assessment) -> String {
    let Some(cut) = situation.face_cut else {
        return "the face cut is not planned yet, so the depth of the insert is unknown".to_owned();
    };
    let below = assessment.depths.and_then(|depths| depths.install_now);
    let below = below.map_or(String::new(), |below| {
        let below = below.both_rounded(Rounding::Up);
        format!(" must sit {below} below the face as is and")
    });
    format!(
        "a face cut of {} is not done yet: an insert installed now{below} must clear the cutter",
        cut.both()
    )
}

/// Says that the face cut would reach an insert that is already installed.
fn cutter_meets_insert(
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<String> {
    let cut = situation.face_cut.unwrap_or(Length::ZERO);
    let spec = assessment.spec();
    let early = record
        .installs
        .iter()
        .map(|install| &install.body)
        .filter(|install| !install.after_face_cut && install.spec.counts_for(&spec));
    let highest = early.map(|install| install.below_face).min()?;
    match highest {
        Some(below) if below > cut => None,
        Some(below) => Some(format!(
            "an insert sits only {} below the face, and {} is left to remove: the cutter would hit \
             it, so remove it first",
            below.both(),
            cut.both()
        )),
        None => Some(
            "an insert is installed, and its depth below the face is not recorded: measure it \
             before the cutter hits it"
                .to_owned(),
        ),
    }
}
