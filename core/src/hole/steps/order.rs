//! The order of steps, and what each should wait for.

use super::words::name;
use super::{StepKey, done};
use crate::hole::record::{CheckKind, CutStep, HoleRecord, Remedy};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::length::Length;

/// An offset that a drill still finds its way past; more than this wants an end mill (judgement).
const WANDERED: Length = Length::from_nm(200_000);

const CLEAR: StepKey = StepKey::Cut(CutStep::ClearBroken);
const RELIEVE: StepKey = StepKey::Cut(CutStep::RelieveHard);
const CENTRE: StepKey = StepKey::Cut(CutStep::Centre);
const DRILL: StepKey = StepKey::Cut(CutStep::Drill);
const TAP: StepKey = StepKey::Cut(CutStep::Tap);
const PLUG: StepKey = StepKey::Cut(CutStep::Plug);
const COUNTERSINK: StepKey = StepKey::Cut(CutStep::Countersink);
const DRILL_PLUG: StepKey = StepKey::Cut(CutStep::DrillPlug);
const TAP_PLUG: StepKey = StepKey::Cut(CutStep::TapPlug);
const RULE: StepKey = StepKey::Check(CheckKind::RuleAcross);
const RUNS_IN: StepKey = StepKey::Check(CheckKind::RunsIn);
const SQUARE: StepKey = StepKey::Check(CheckKind::Square);

/// The steps of a remedy, in order.
pub(super) fn plan(situation: &Situation, assessment: &Assessment) -> Vec<StepKey> {
    let damage = &situation.damage;
    let belongs = |key: &StepKey| match *key {
        CLEAR => assessment.broken_piece_in_the_way(),
        RELIEVE => !damage.hard.is_empty(),
        CENTRE => {
            damage.wandered() > WANDERED
                || damage.lean.is_some()
                || assessment.broken_piece_in_the_way()
        }
        StepKey::FaceCut => {
            situation.milled.is_positive() || situation.face_cut != Some(Length::ZERO)
        }
        StepKey::Keys => assessment
            .insert
            .as_ref()
            .is_some_and(|insert| insert.keys > 0),
        _ => true,
    };
    let all: &[StepKey] = match assessment.remedy {
        Remedy::Leave => &[StepKey::FaceCut, RUNS_IN, StepKey::Prove],
        Remedy::Chase => &[
            CLEAR,
            RELIEVE,
            TAP,
            StepKey::FaceCut,
            RUNS_IN,
            SQUARE,
            StepKey::Prove,
        ],
        Remedy::LargerBolt => &[
            CLEAR,
            RELIEVE,
            CENTRE,
            DRILL,
            TAP,
            StepKey::FaceCut,
            COUNTERSINK,
            RUNS_IN,
            SQUARE,
            StepKey::Prove,
        ],
        Remedy::WireInsert | Remedy::KeyLockingInsert | Remedy::Bushing | Remedy::SteppedStud => &[
            CLEAR,
            RELIEVE,
            CENTRE,
            DRILL,
            TAP,
            StepKey::DryFit,
            StepKey::FaceCut,
            COUNTERSINK,
            StepKey::Set,
            StepKey::Keys,
            RULE,
            RUNS_IN,
            SQUARE,
            StepKey::Prove,
        ],
        Remedy::ThreadedPlug => &[
            CLEAR,
            RELIEVE,
            CENTRE,
            DRILL,
            TAP,
            PLUG,
            StepKey::FaceCut,
            DRILL_PLUG,
            TAP_PLUG,
            COUNTERSINK,
            RULE,
            RUNS_IN,
            SQUARE,
            StepKey::Prove,
        ],
        Remedy::Specialist => &[StepKey::FaceCut, RUNS_IN, StepKey::Prove],
    };
    all.iter().copied().filter(belongs).collect()
}

/// What should be done before a step, where the remedy has it.
const fn before(key: StepKey) -> &'static [StepKey] {
    match key {
        CLEAR | StepKey::FaceCut => &[],
        RELIEVE => &[CLEAR],
        CENTRE => &[CLEAR, RELIEVE],
        DRILL => &[CLEAR, RELIEVE, CENTRE],
        TAP => &[CLEAR, RELIEVE, DRILL],
        PLUG | StepKey::DryFit => &[TAP],
        COUNTERSINK => &[TAP, TAP_PLUG, StepKey::FaceCut],
        DRILL_PLUG => &[PLUG, StepKey::FaceCut],
        TAP_PLUG => &[DRILL_PLUG],
        StepKey::Set => &[TAP, StepKey::DryFit, StepKey::FaceCut],
        StepKey::Keys => &[StepKey::Set],
        StepKey::Check(_) => &[CLEAR, TAP, TAP_PLUG, StepKey::Set, StepKey::Keys],
        StepKey::Prove => &[
            CLEAR,
            TAP,
            TAP_PLUG,
            StepKey::Set,
            StepKey::Keys,
            RULE,
            RUNS_IN,
        ],
    }
}

/// The first step that should be done before one, and is not.
pub(super) fn waits_for(
    key: StepKey,
    plan: &[StepKey],
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<StepKey> {
    let mut earlier = before(key).iter().copied();
    earlier.find(|step| plan.contains(step) && done(*step, situation, assessment, record).is_none())
}

/// Why a reason is asked before a step is recorded now, in a sentence; `None` where it is in order.
pub fn out_of_order(
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
    doing: StepKey,
) -> Option<String> {
    let plan = plan(situation, assessment);
    if doing == StepKey::FaceCut {
        return cutter_meets_insert(situation, assessment, record);
    }
    if !plan.contains(&doing) {
        return Some(format!(
            "{} is no part of this remedy; say what it is for",
            name(doing)
        ));
    }
    let missing = waits_for(doing, &plan, situation, assessment, record)?;
    Some(match (doing, missing) {
        (StepKey::Set, StepKey::FaceCut) => set_early(situation, assessment),
        (_, StepKey::FaceCut) => format!(
            "the face cut that the plan counts on is still to come, and {} should follow it; say why it comes before",
            name(doing)
        ),
        _ => format!(
            "no entry says that {} is done, and {} should follow it; say why",
            name(missing),
            name(doing)
        ),
    })
}

fn set_early(situation: &Situation, assessment: &Assessment) -> String {
    let Some(cut) = situation.face_cut else {
        return "nobody has said how much is still to come off the face, so nobody knows how deep the insert must sit; say why it is \
                set now"
            .to_owned();
    };
    let below = assessment.depths.and_then(|depths| depths.set_now);
    let below = below.map_or(String::new(), |below| {
        format!(" must sit {} below today's face and", below.both())
    });
    format!(
        "the plan counts on a face cut of {} that is still to come: an insert set now{below} must not meet the cutter; say why it is \
         set before the cut",
        cut.both()
    )
}

/// A face must not be cut down to an insert that is already set.
fn cutter_meets_insert(
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<String> {
    let cut = situation.face_cut.unwrap_or(Length::ZERO);
    let work = assessment.work();
    let early = record
        .sets
        .iter()
        .map(|said| &said.body)
        .filter(|set| !set.after_face_cut && set.work.serves(&work));
    let highest = early.map(|set| set.below_face).min()?;
    match highest {
        Some(below) if below > cut => None,
        Some(below) => Some(format!(
            "an insert is set only {} below the face, and {} is to come off: the cutter would meet it; take it out first, or say why not",
            below.both(),
            cut.both()
        )),
        None => Some("an insert is set, and no entry says how far below the face: measure it before a cutter meets it, or say why not".to_owned()),
    }
}
