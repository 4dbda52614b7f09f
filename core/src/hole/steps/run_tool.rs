//! What a step needs in the hand or in the chuck, so that holes that need the same are done in one
//! run.

use super::{StepKey, Work};
use crate::hole::record::{CheckKind, CutStep, FitCheck};

/// A tool, or what takes its place: an insert to install, a check to make.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Hash)]
pub struct StepTool {
    /// Its short name for addresses: lowercase letters, digits and hyphens.
    pub word: String,
    /// What people read; lengths are in both units (see [`crate::length::in_unit`]).
    pub label: String,
}

impl StepTool {
    fn of(label: String) -> StepTool {
        let words = label.split(|c: char| !c.is_ascii_alphanumeric());
        let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
        StepTool {
            word: words.join("-").to_ascii_lowercase(),
            label,
        }
    }
}

/// Returns what a step needs: the tool that cuts, or what is done with none.
pub(super) fn tool(key: StepKey, work: &Work<'_>) -> StepTool {
    if let Some(cutting) = work.tool(key) {
        return StepTool::of(cutting.to_string());
    }
    let outside = work
        .assessment
        .outside_thread
        .as_deref()
        .unwrap_or_default();
    let with = |what: &str, size: &str| format!("{what} {size}").trim_end().to_owned();
    let bolt = work.situation.thread.designation();
    let gauged = work.assessment.remedy.fit_check() == Some(FitCheck::Gauge);
    StepTool::of(match key {
        StepKey::Cut(CutStep::ClearBroken) => "Remove broken pieces".to_owned(),
        StepKey::Cut(CutStep::RelieveHard) => "Grind out hard metal".to_owned(),
        StepKey::Cut(CutStep::Center) => "Get back on center".to_owned(),
        StepKey::Cut(CutStep::Drill | CutStep::DrillPlug) => "Drill".to_owned(),
        StepKey::Cut(CutStep::Tap | CutStep::TapPlug) => "Tap".to_owned(),
        StepKey::Cut(CutStep::Countersink) => "Countersink".to_owned(),
        StepKey::Cut(CutStep::Plug) => with("Fit plug", outside),
        StepKey::Cut(CutStep::MakeBushing) => with("Make bushing", outside),
        StepKey::Cut(CutStep::BroachSlots) => with("Broach key slots", outside),
        StepKey::TrialFit if gauged => with("Gauge", outside),
        StepKey::TrialFit => with("Trial fit", outside),
        StepKey::FaceCut => "Cut the face".to_owned(),
        StepKey::Install => with("Install", outside),
        StepKey::StakeKeys => with("Stake keys", outside),
        StepKey::Check(CheckKind::StakeCheck) => "Stake check".to_owned(),
        StepKey::Check(CheckKind::RunsInByHand) => with("Run in", &bolt),
        StepKey::Check(CheckKind::Square) => "Check for square".to_owned(),
        StepKey::FinalCheck => with("Final check", &bolt),
    })
}
