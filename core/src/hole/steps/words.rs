//! What each step is called, why it is done, and what to beware of at it.

use super::StepKey;
use crate::hole::caution::Caution;
use crate::hole::record::{CheckKind, CutStep, Remedy};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::Length;

/// The step as a noun, for sentences.
pub(super) const fn name(key: StepKey) -> &'static str {
    match key {
        StepKey::Cut(CutStep::ClearBroken) => "clearing out what is broken",
        StepKey::Cut(CutStep::RelieveHard) => "grinding the hard metal away",
        StepKey::Cut(CutStep::Centre) => "coming back on centre",
        StepKey::Cut(CutStep::Drill) => "drilling",
        StepKey::Cut(CutStep::Countersink) => "countersinking",
        StepKey::Cut(CutStep::Tap) => "tapping",
        StepKey::Cut(CutStep::Plug) => "fitting the plug",
        StepKey::Cut(CutStep::DrillPlug) => "drilling the plug",
        StepKey::Cut(CutStep::TapPlug) => "tapping the plug",
        StepKey::DryFit => "the dry fit",
        StepKey::FaceCut => "the face cut",
        StepKey::Set => "setting the insert",
        StepKey::Keys => "driving the keys",
        StepKey::Check(CheckKind::RuleAcross) => "the rule across",
        StepKey::Check(CheckKind::RunsIn) => "running a bolt or gauge in by hand",
        StepKey::Check(CheckKind::Square) => "the look whether it is square",
        StepKey::Prove => "the proof",
    }
}

pub(super) fn title(key: StepKey, situation: &Situation, assessment: &Assessment) -> String {
    let outside = assessment.outside_thread.as_deref().unwrap_or_default();
    match key {
        StepKey::Cut(CutStep::ClearBroken) => {
            let piece = situation.damage.broken_tool.as_ref();
            format!(
                "Get the broken {} out",
                piece.map_or("piece", |piece| piece.what.as_str())
            )
        }
        StepKey::Cut(CutStep::RelieveHard) => "Grind the hard metal away".to_owned(),
        StepKey::Cut(CutStep::Centre) => "Start on the intended centre with an end mill".to_owned(),
        StepKey::Cut(CutStep::Drill) => assessment
            .drill
            .map_or("Drill".to_owned(), |drill| format!("Drill {drill}")),
        StepKey::Cut(CutStep::Countersink) => "Countersink and deburr".to_owned(),
        StepKey::Cut(CutStep::Tap) => format!("Tap {outside}"),
        StepKey::Cut(CutStep::Plug) => format!("Fit and lock the {outside} plug"),
        StepKey::Cut(CutStep::DrillPlug) => "Drill the wanted hole in the plug".to_owned(),
        StepKey::Cut(CutStep::TapPlug) => {
            format!("Tap {} in the plug", situation.thread.designation())
        }
        StepKey::DryFit => format!("Try the {}, and take it out again", piece(assessment)),
        StepKey::FaceCut => "Cut the face".to_owned(),
        StepKey::Set if has_tang(assessment) => {
            "Set the insert below the finished face, and break off its tang".to_owned()
        }
        StepKey::Set if assessment.remedy == Remedy::SteppedStud => {
            "Set the stud, its step below the finished face".to_owned()
        }
        StepKey::Set if assessment.remedy == Remedy::Bushing => {
            "Bond the bushing in, below the finished face".to_owned()
        }
        StepKey::Set => "Set the insert below the finished face".to_owned(),
        StepKey::Keys => "Drive the keys".to_owned(),
        StepKey::Check(CheckKind::RuleAcross) => "Lay a rule across".to_owned(),
        StepKey::Check(CheckKind::RunsIn) if assessment.remedy == Remedy::SteppedStud => {
            "Run a new nut down the stud by hand".to_owned()
        }
        StepKey::Check(CheckKind::RunsIn) => "Run a new bolt or a gauge in by hand".to_owned(),
        StepKey::Check(CheckKind::Square) => "Look whether the bolt stands square".to_owned(),
        StepKey::Prove => "Prove it".to_owned(),
    }
}

/// What is tried and set.
fn piece(assessment: &Assessment) -> &'static str {
    match assessment.remedy {
        Remedy::SteppedStud => "stud",
        Remedy::Bushing => "bushing",
        _ => "insert",
    }
}

fn has_tang(assessment: &Assessment) -> bool {
    assessment.insert.as_ref().is_some_and(|insert| insert.tang)
}

pub(super) fn why(key: StepKey, situation: &Situation, assessment: &Assessment) -> String {
    let cut_to_come = situation.face_cut != Some(Length::ZERO);
    let plug = assessment.remedy == Remedy::ThreadedPlug;
    match key {
        StepKey::Cut(CutStep::ClearBroken) => "Every tool would run off it. Measure the hole again once it is out.",
        StepKey::Cut(CutStep::RelieveHard) => "A tap does not cut chilled iron. The plan counts on no thread there.",
        StepKey::Cut(CutStep::Centre) => "An end mill cuts where it is held; a drill would follow the old hole.",
        StepKey::Cut(CutStep::Drill) if cut_to_come => "Deep enough now that the thread is still full once the face is cut.",
        StepKey::Cut(CutStep::Drill) => "To the full diameter; the point goes deeper.",
        StepKey::Cut(CutStep::Tap) => "Square to the face. Dry in iron, chips out often.",
        StepKey::Cut(CutStep::Countersink) if cut_to_come => "To the finished face: the cut would take a countersink made before it.",
        StepKey::Cut(CutStep::Countersink) => "No burr may stand above the face.",
        StepKey::Cut(CutStep::Plug) => "It stands flush or a little proud, and is cut with the face.",
        StepKey::Cut(CutStep::DrillPlug) => "On the intended centre; the plug gives the drill solid metal all round.",
        StepKey::Cut(CutStep::TapPlug) => "The bolt's own thread, in new metal.",
        StepKey::DryFit => "It must go in as it should and come out again before the face is cut: a cutter that meets it breaks.",
        StepKey::FaceCut if plug => "The plug is cut with it.",
        StepKey::FaceCut => "With every insert out. All depths then run from the finished face.",
        StepKey::Set if cut_to_come => "After the face cut, or so deep that the cutter cannot meet it.",
        StepKey::Set => "Nothing may stand above the face.",
        StepKey::Keys => "They lock it against turning. They go down after it sits at its depth, not before.",
        StepKey::Check(CheckKind::RuleAcross) => "Insert, keys and burrs all lie below the face, or the joint leaks.",
        StepKey::Check(CheckKind::RunsIn) => "By hand and to full depth: a thread that binds now binds worse under a wrench.",
        StepKey::Check(CheckKind::Square) => "A bolt that leans bends as it is tightened.",
        StepKey::Prove => "By gauge, or by a new bolt tightened in steps; write down the reading.",
    }
    .to_owned()
}

pub(super) fn cautions(
    key: StepKey,
    situation: &Situation,
    assessment: &Assessment,
) -> Vec<Caution> {
    let through = situation.blind() == Some(false);
    let mouth = if through {
        Caution::BreaksThrough
    } else {
        Caution::OilInBlindHole
    };
    match key {
        StepKey::Cut(CutStep::ClearBroken) => {
            vec![Caution::BrokenPiece, Caution::Eyes, Caution::Heat]
        }
        StepKey::Cut(CutStep::RelieveHard) => {
            vec![Caution::HardMetal, Caution::Eyes, Caution::Dust]
        }
        StepKey::Cut(CutStep::Centre) => {
            vec![Caution::Wandered, Caution::TurningTool, Caution::Eyes]
        }
        StepKey::Cut(CutStep::Drill | CutStep::DrillPlug) => {
            let mut cautions = vec![Caution::TurningTool, Caution::Eyes, Caution::Dust];
            cautions.extend(through.then_some(Caution::BreaksThrough));
            cautions
        }
        StepKey::Cut(CutStep::Tap | CutStep::TapPlug) => {
            let mut cautions = vec![Caution::TurningTool, Caution::Eyes];
            let bottoming = assessment.tap_chamfer == Some(TapChamfer::Bottoming);
            cautions.extend(bottoming.then_some(Caution::BottomingTap));
            cautions
        }
        StepKey::Cut(CutStep::Countersink) => vec![Caution::TurningTool, Caution::Eyes],
        StepKey::Cut(CutStep::Plug) => vec![mouth, Caution::Plug, Caution::Pins],
        StepKey::DryFit if assessment.remedy == Remedy::SteppedStud => {
            vec![mouth, Caution::SteppedStud]
        }
        StepKey::DryFit if assessment.remedy == Remedy::Bushing => vec![mouth],
        StepKey::DryFit => vec![mouth, Caution::InsertInHand],
        StepKey::FaceCut => vec![
            Caution::FaceCut,
            Caution::TurningTool,
            Caution::Eyes,
            Caution::Dust,
        ],
        StepKey::Set if has_tang(assessment) => vec![mouth, Caution::Tang, Caution::InsertInHand],
        StepKey::Set if assessment.remedy == Remedy::SteppedStud => {
            vec![mouth, Caution::SteppedStud]
        }
        StepKey::Set if assessment.remedy == Remedy::Bushing => vec![mouth, Caution::Bonded],
        StepKey::Set => vec![mouth, Caution::InsertInHand],
        StepKey::Keys => vec![Caution::KeySlots, Caution::DrivingKeys, Caution::Eyes],
        StepKey::Check(_) => vec![],
        StepKey::Prove => proof_cautions(situation, assessment),
    }
}

fn proof_cautions(situation: &Situation, assessment: &Assessment) -> Vec<Caution> {
    let weak = |caution: &&Caution| {
        matches!(
            caution,
            Caution::IronStripsFirst { .. }
                | Caution::HoldsLess { .. }
                | Caution::AssumedIron
                | Caution::BoltLength(_)
                | Caution::GradeNotCovered { .. }
                | Caution::LargerBolt
                | Caution::PrevailingTorque
        )
    };
    let mut cautions: Vec<Caution> = assessment.cautions.iter().filter(weak).copied().collect();
    cautions.push(Caution::Torque);
    cautions.extend((situation.blind() != Some(false)).then_some(Caution::OilInBlindHole));
    cautions.push(Caution::ManualFirst);
    cautions
}
