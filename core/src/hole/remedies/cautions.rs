//! Cautions that go with a remedy.

use super::candidate::Candidate;
use super::figures::Figures;
use super::strength_checks::Strengths;
use crate::hole::caution::Caution;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::strength::bolt::BoltLength;

/// Returns the cautions for a remedy and its bolt.
pub(super) fn cautions(
    situation: &Situation,
    candidate: &Candidate,
    figures: &Figures,
    bolt: Option<&BoltLength>,
) -> Vec<Caution> {
    let mut cautions = Vec::with_capacity(10);
    let damage = &situation.damage;
    cautions.extend(damage.crack.then_some(Caution::Crack));
    let broken = damage.broken_tool.is_some();
    cautions.extend(broken.then_some(Caution::BrokenPiece));
    strength_cautions(situation, candidate, &figures.strengths, &mut cautions);
    cautions.extend(starts_lower(candidate));
    cautions.extend(candidate.unscrews().then_some(Caution::OtherHand));
    if !candidate.cuts_nothing() {
        cutting_cautions(situation, figures, &mut cautions);
        cautions.extend(remedy_cautions(candidate.remedy));
    }
    let advice = bolt.and_then(|bolt| bolt.advice);
    cautions.extend(advice.map(Caution::BoltLength));
    cautions
}

/// Returns the caution for a bolt in the parent metal whose thread starts below the face.
fn starts_lower(candidate: &Candidate) -> Option<Caution> {
    let in_another_part = candidate.insert.is_some()
        || matches!(candidate.remedy, Remedy::ThreadedPlug | Remedy::SteppedStud);
    let below = candidate.engaged.0;
    (!in_another_part && below.is_positive()).then_some(Caution::ThreadStartsLower { below })
}

fn cutting_cautions(situation: &Situation, figures: &Figures, cautions: &mut Vec<Caution>) {
    let hard = !situation.damage.hard.is_empty() || situation.may_be_hard;
    cautions.extend(hard.then_some(Caution::HardMetal));
    cautions.extend([Caution::TurningTool, Caution::Eyes]);
    let plan = figures.depth_plan.as_ref();
    let bottoming = plan.is_some_and(|plan| plan.tap == TapChamfer::Bottoming);
    cautions.extend(bottoming.then_some(Caution::BottomingTap));
    cautions.push(if situation.blind() == Some(false) {
        Caution::BreaksThrough
    } else {
        Caution::OilInBlindHole
    });
}

const fn remedy_cautions(remedy: Remedy) -> &'static [Caution] {
    match remedy {
        Remedy::WireInsert => &[
            Caution::Tang,
            Caution::InsertInHand,
            Caution::PrevailingTorque,
        ],
        Remedy::KeyLockingInsert => &[Caution::InsertInHand, Caution::PrevailingTorque],
        Remedy::LargerBolt => &[Caution::LargerBolt],
        Remedy::ThreadedPlug => &[Caution::Plug, Caution::Pins],
        Remedy::Bushing => &[Caution::Bonded],
        Remedy::SteppedStud => &[Caution::SteppedStud],
        Remedy::Leave
        | Remedy::LongerBolt
        | Remedy::Chase
        | Remedy::TapDeeper
        | Remedy::Specialist => &[],
    }
}

fn strength_cautions(
    situation: &Situation,
    candidate: &Candidate,
    strengths: &Strengths,
    cautions: &mut Vec<Caution>,
) {
    if let Some(ratio) = strengths.ratio().filter(|ratio| *ratio < 1.0) {
        cautions.push(Caution::IronStripsFirst { ratio });
    }
    if let Some(grade) = situation.bolt.filter(|_| strengths.bolt_n.is_none()) {
        cautions.push(Caution::GradeNotCovered {
            grade,
            thread: candidate.bolt,
        });
    }
    if let Some(share) = strengths.sound_ratio().filter(|share| *share < 1.0 - 1e-9) {
        cautions.push(Caution::HoldsLess { share });
    }
    let published = candidate.published_area_mm2.is_some();
    cautions.extend(published.then_some(Caution::PublishedArea));
    cautions.extend(situation.metal.is_assumed().then_some(Caution::AssumedIron));
}
