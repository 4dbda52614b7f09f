//! Titles, reasons and cautions of the steps.

use super::StepKey;
use crate::hole::caution::Caution;
use crate::hole::record::{CheckKind, CutStep, FitCheck, Remedy};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::Length;

impl StepKey {
    /// Returns the step as a noun, for sentences.
    pub const fn noun(self) -> &'static str {
        match self {
            StepKey::Cut(CutStep::ClearBroken) => "removing the broken piece",
            StepKey::Cut(CutStep::RelieveHard) => "grinding out the hard metal",
            StepKey::Cut(CutStep::Center) => "getting back on center",
            StepKey::Cut(CutStep::Drill) => "drilling",
            StepKey::Cut(CutStep::Countersink) => "countersinking",
            StepKey::Cut(CutStep::Tap) => "tapping",
            StepKey::Cut(CutStep::Plug) => "fitting the plug",
            StepKey::Cut(CutStep::DrillPlug) => "drilling the plug",
            StepKey::Cut(CutStep::TapPlug) => "tapping the plug",
            StepKey::Cut(CutStep::MakeBushing) => "making the bushing",
            StepKey::Cut(CutStep::BroachSlots) => "broaching the key slots",
            StepKey::TrialFit => "the check of the fit",
            StepKey::FaceCut => "the face cut",
            StepKey::Install => "installing the insert",
            StepKey::StakeKeys => "staking the keys",
            StepKey::Check(CheckKind::StakeCheck) => "the stake check",
            StepKey::Check(CheckKind::RunsInByHand) => "running a bolt or gauge in by hand",
            StepKey::Check(CheckKind::Square) => "the check for square",
            StepKey::FinalCheck => "the final check",
        }
    }
}

impl StepKey {
    /// Returns the step in one or two words, for lists that name its tool beside it.
    pub const fn short(self) -> &'static str {
        match self {
            StepKey::Cut(CutStep::ClearBroken) => "Remove broken piece",
            StepKey::Cut(CutStep::RelieveHard) => "Grind hard metal",
            StepKey::Cut(CutStep::Center) => "Center",
            StepKey::Cut(CutStep::Drill) => "Drill",
            StepKey::Cut(CutStep::Countersink) => "Countersink",
            StepKey::Cut(CutStep::Tap) => "Tap",
            StepKey::Cut(CutStep::Plug) => "Fit plug",
            StepKey::Cut(CutStep::DrillPlug) => "Drill plug",
            StepKey::Cut(CutStep::TapPlug) => "Tap plug",
            StepKey::Cut(CutStep::MakeBushing) => "Make bushing",
            StepKey::Cut(CutStep::BroachSlots) => "Broach slots",
            StepKey::TrialFit => "Trial fit",
            StepKey::FaceCut => "Cut the face",
            StepKey::Install => "Install",
            StepKey::StakeKeys => "Stake keys",
            StepKey::Check(CheckKind::StakeCheck) => "Stake check",
            StepKey::Check(CheckKind::RunsInByHand) => "Run in by hand",
            StepKey::Check(CheckKind::Square) => "Check for square",
            StepKey::FinalCheck => "Final check",
        }
    }
}

pub(super) fn title(key: StepKey, situation: &Situation, assessment: &Assessment) -> String {
    let outside = assessment.outside_thread.as_deref().unwrap_or_default();
    match key {
        StepKey::Cut(CutStep::ClearBroken) => {
            let piece = situation.damage.broken_tool.as_ref();
            format!(
                "Remove the broken {}",
                piece.map_or("piece", |piece| piece.what.as_str())
            )
        }
        StepKey::Cut(CutStep::RelieveHard) => "Grind out the hard metal".to_owned(),
        StepKey::Cut(CutStep::Center) => "Start on the intended center with an end mill".to_owned(),
        StepKey::Cut(CutStep::Drill) => assessment
            .drill
            .map_or("Drill".to_owned(), |drill| format!("Drill {drill}")),
        StepKey::Cut(CutStep::Countersink) => "Countersink and deburr".to_owned(),
        StepKey::Cut(CutStep::Tap) => format!("Tap {outside}"),
        StepKey::Cut(CutStep::Plug) => format!("Fit and lock the {outside} plug"),
        StepKey::Cut(CutStep::DrillPlug) => "Drill the plug".to_owned(),
        StepKey::Cut(CutStep::TapPlug) => {
            format!("Tap {} in the plug", situation.thread.designation())
        }
        StepKey::Cut(CutStep::MakeBushing) => {
            format!("Make the bushing, {outside} outside")
        }
        StepKey::Cut(CutStep::BroachSlots) => {
            "Broach the key slots if the iron is harder than 150 Brinell".to_owned()
        }
        StepKey::TrialFit if is_gauged(assessment) => {
            format!("Gauge the {outside} hole")
        }
        StepKey::TrialFit => format!("Trial-fit the {}, then remove it", piece(assessment)),
        StepKey::FaceCut => "Cut the face".to_owned(),
        StepKey::Install if has_tang(assessment) => {
            "Install the insert below the finished face, and break off the tang".to_owned()
        }
        StepKey::Install if assessment.remedy == Remedy::SteppedStud => {
            "Install the stud, step below the finished face".to_owned()
        }
        StepKey::Install if assessment.remedy == Remedy::Bushing => {
            "Bond in the bushing below the finished face".to_owned()
        }
        StepKey::Install => "Install the insert below the finished face".to_owned(),
        StepKey::StakeKeys => "Stake the keys".to_owned(),
        StepKey::Check(CheckKind::StakeCheck) => "Stake check with a straightedge".to_owned(),
        StepKey::Check(CheckKind::RunsInByHand) if assessment.remedy == Remedy::SteppedStud => {
            "Run a new nut down the stud by hand".to_owned()
        }
        StepKey::Check(CheckKind::RunsInByHand) if assessment.remedy.may_be_locking() => {
            "Run in a new bolt: by hand, or in a locking insert with a wrench".to_owned()
        }
        StepKey::Check(CheckKind::RunsInByHand) => "Run in a new bolt or gauge by hand".to_owned(),
        StepKey::Check(CheckKind::Square) => "Check the bolt for square".to_owned(),
        StepKey::FinalCheck => "Final check".to_owned(),
    }
}

/// Returns what is trial-fitted and installed.
fn piece(assessment: &Assessment) -> &'static str {
    match assessment.remedy {
        Remedy::SteppedStud => "stud",
        Remedy::Bushing => "bushing",
        _ => "insert",
    }
}

/// Returns whether the tapped hole is gauged instead of tried with the part.
fn is_gauged(assessment: &Assessment) -> bool {
    assessment.remedy.fit_check() == Some(FitCheck::Gauge)
}

fn has_tang(assessment: &Assessment) -> bool {
    assessment.insert.as_ref().is_some_and(|insert| insert.tang)
}

pub(super) fn why(key: StepKey, situation: &Situation, assessment: &Assessment) -> String {
    let cut_ahead = situation.face_cut != Some(Length::ZERO);
    let plug = assessment.remedy == Remedy::ThreadedPlug;
    match key {
        StepKey::Cut(CutStep::ClearBroken) => {
            "Drills and taps will deflect off it. Measure the hole again once it is out."
        }
        StepKey::Cut(CutStep::RelieveHard) => {
            "A tap does not cut chilled iron, so grind the hard spot wider than the tap. No thread \
             is left there, and the plan counts none."
        }
        StepKey::Cut(CutStep::Center) => {
            "An end mill cuts where it is held; a drill would follow the old hole."
        }
        StepKey::Cut(CutStep::Drill) if cut_ahead => {
            "Deep enough now that the thread is still full after the face cut."
        }
        StepKey::Cut(CutStep::Drill) => "Depth is to the full diameter; the point goes deeper.",
        StepKey::Cut(CutStep::Tap) => "Square to the face. Dry in iron; clear the chips often.",
        StepKey::Cut(CutStep::Countersink) if cut_ahead => {
            "From the finished face: the face cut would remove an earlier countersink."
        }
        StepKey::Cut(CutStep::Countersink) => "No burr may stick up above the face.",
        StepKey::Cut(CutStep::Plug) => "Flush or slightly proud; it is milled with the face.",
        StepKey::Cut(CutStep::DrillPlug) => {
            "On the intended center; the plug gives the drill solid metal all around."
        }
        StepKey::Cut(CutStep::TapPlug) => "The bolt's own thread, in new metal.",
        StepKey::Cut(CutStep::MakeBushing) => {
            "Turn it after the hole is tapped, and fit it to that hole."
        }
        StepKey::Cut(CutStep::BroachSlots) => {
            "Most cast iron is harder than that, and a key does not cut its own slot in it \
             (MS51835B). If a file bites easily, the iron may be softer: then record that it was \
             not needed."
        }
        StepKey::TrialFit if is_gauged(assessment) => {
            "With an STI plug gauge or a sacrificial coil, to full depth. Do not try the coil \
             itself: once wound in, it is spent when it comes out. The hole must be empty before \
             the face cut."
        }
        StepKey::TrialFit => {
            "It must go in correctly, and be out before the face cut: a cutter that hits it breaks."
        }
        StepKey::FaceCut if plug => "The plug is cut with the face.",
        StepKey::FaceCut => {
            "With every insert out. All depths are from the finished face after that."
        }
        StepKey::Install if cut_ahead => {
            "After the face cut, or so deep that the cutter cannot reach it."
        }
        StepKey::Install => "Nothing may stick up above the face.",
        StepKey::StakeKeys => {
            "The keys keep it from turning. Drive them after it is at depth, not before."
        }
        StepKey::Check(CheckKind::StakeCheck) => {
            "Straightedge across, nothing catches: insert, keys and burrs must all be below the \
             face, or the joint leaks."
        }
        StepKey::Check(CheckKind::RunsInByHand) if assessment.remedy.may_be_locking() => {
            "Look which kind the insert is. Free-running: by hand to full depth, because a thread \
             that binds now will bind worse under a wrench. Locking: it never passes a bolt by \
             hand; start it by hand, then run it in with a wrench, evenly and without jumps."
        }
        StepKey::Check(CheckKind::RunsInByHand) => {
            "By hand to full depth: a thread that binds now will bind worse under a wrench."
        }
        StepKey::Check(CheckKind::Square) => "A bolt that is not square bends as you tighten it.",
        StepKey::FinalCheck => {
            "With a gauge, or a new bolt tightened in steps. Record the reading."
        }
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
        StepKey::Cut(CutStep::Center) => {
            vec![
                Caution::OldHoleOffCenter,
                Caution::TurningTool,
                Caution::Eyes,
            ]
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
        StepKey::Cut(CutStep::MakeBushing | CutStep::BroachSlots) => vec![Caution::Eyes],
        StepKey::Cut(CutStep::Plug) => vec![mouth, Caution::Plug, Caution::Pins],
        StepKey::TrialFit if assessment.remedy == Remedy::SteppedStud => {
            vec![mouth, Caution::SteppedStud]
        }
        StepKey::TrialFit if assessment.remedy == Remedy::Bushing => vec![mouth],
        StepKey::TrialFit if is_gauged(assessment) => vec![Caution::InsertInHand],
        StepKey::TrialFit => vec![mouth, Caution::InsertInHand],
        StepKey::FaceCut => vec![
            Caution::FaceCut,
            Caution::TurningTool,
            Caution::Eyes,
            Caution::Dust,
        ],
        StepKey::Install if has_tang(assessment) => {
            vec![mouth, Caution::Tang, Caution::InsertInHand]
        }
        StepKey::Install if assessment.remedy == Remedy::SteppedStud => {
            vec![mouth, Caution::SteppedStud]
        }
        StepKey::Install if assessment.remedy == Remedy::Bushing => vec![mouth, Caution::Bonded],
        StepKey::Install => vec![mouth, Caution::InsertInHand],
        StepKey::StakeKeys => vec![Caution::DrivingKeys, Caution::Eyes],
        StepKey::Check(_) => vec![],
        StepKey::FinalCheck => final_check_cautions(situation, assessment),
    }
}

fn final_check_cautions(situation: &Situation, assessment: &Assessment) -> Vec<Caution> {
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
