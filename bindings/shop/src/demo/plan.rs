//! A notebook's plan, hole by hole: remedy, drill, depths, missing readings, next step.

use crate::commands::phrases;
use holebook_core::drill::Drill;
use holebook_core::hole;
use holebook_core::hole::missing::missing;
use holebook_core::hole::next::NextAction;
use holebook_core::hole::record::HoleRecord;
use holebook_core::hole::remedies::Verdict;
use holebook_core::hole::stage::Stage;
use holebook_core::insert::Catalog;
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::notebook::{CastingId, FaceId, Notebook, NotebookError};
use holebook_core::notebook::{HoleListed, HoleView};
use serde::Serialize;

/// All castings with the plan of their holes: the value of `holebook list` with more for each hole.
#[derive(Debug, Serialize)]
pub struct Plan {
    /// The castings.
    pub castings: Vec<CastingPlan>,
}

/// One casting.
#[derive(Debug, Serialize)]
pub struct CastingPlan {
    /// Its id.
    pub id: CastingId,
    /// Its name.
    pub name: String,
    /// Its faces.
    pub faces: Vec<FacePlan>,
}

/// One face.
#[derive(Debug, Serialize)]
pub struct FacePlan {
    /// Its id.
    pub id: FaceId,
    /// Its name.
    pub name: String,
    /// Stock left to remove from the face; `None`: not set.
    #[serde(rename = "face_cut_mm")]
    pub left_to_remove: Option<Length>,
    /// The planned face cut; `None`: not set.
    #[serde(rename = "planned_face_cut_mm")]
    pub planned_face_cut: Option<Length>,
    /// Its holes.
    pub holes: Vec<HolePlan>,
}

/// One hole.
#[derive(Debug, Serialize)]
pub struct HolePlan {
    /// The hole as listed.
    #[serde(flatten)]
    pub hole: HoleListed,
    /// The drill.
    pub drill: Option<Drill>,
    /// Drill depth to full diameter, from the face as is.
    #[serde(rename = "depth_now_mm")]
    pub depth_now: Option<Length>,
    /// The same depth from the finished face.
    #[serde(rename = "depth_after_cut_mm")]
    pub depth_after_cut: Option<Length>,
    /// Conflicts, missing readings, and missing choices.
    pub missing: Vec<String>,
    /// The next step.
    pub next: Option<String>,
    /// The remedy as text: the chosen one, else the first.
    #[serde(skip)]
    pub remedy_text: String,
    /// Its verdict, and whether it was chosen.
    #[serde(skip)]
    pub verdict_text: String,
}

impl Plan {
    /// Builds the plan of everything in `notebook`.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn of(notebook: &Notebook, unit: Unit) -> Result<Self, NotebookError> {
        let catalog = notebook.catalog()?;
        let mut castings = Vec::new();
        for casting in notebook.list()?.castings {
            let mut faces = Vec::new();
            for face in casting.faces {
                let holes = face.holes.into_iter().map(|hole| {
                    let view = notebook.hole(hole.id)?;
                    Ok(HolePlan::of(hole, &view, &catalog, unit))
                });
                let holes = holes.collect::<Result<_, NotebookError>>()?;
                faces.push(FacePlan {
                    id: face.id,
                    name: face.name,
                    left_to_remove: face.left_to_remove,
                    planned_face_cut: face.planned_face_cut,
                    holes,
                });
            }
            castings.push(CastingPlan {
                id: casting.id,
                name: casting.name,
                faces,
            });
        }
        Ok(Self { castings })
    }
}

impl HolePlan {
    fn of(hole: HoleListed, view: &HoleView, catalog: &Catalog, unit: Unit) -> Self {
        let judged = hole::plan::Plan::of(&view.record, &view.face_record, catalog);
        let mut plan = Self {
            missing: missing_items(&hole, view, &judged, catalog),
            hole,
            drill: None,
            depth_now: None,
            depth_after_cut: None,
            next: None,
            remedy_text: String::new(),
            verdict_text: String::new(),
        };
        plan.judge(&judged, &view.record, unit);
        plan
    }

    /// Takes drill and depths from the chosen remedy, else from the first one.
    fn judge(&mut self, judged: &hole::plan::Plan, record: &HoleRecord, unit: Unit) {
        self.next =
            (judged.next != NextAction::Done).then(|| in_unit(&judged.next.to_string(), unit));
        let Some(assessment) = judged.leading() else {
            self.verdict_text = Verdict::Unknown.to_string();
            return;
        };
        self.remedy_text = phrases::remedy_label(assessment, unit);
        let chosen = judged.chosen().and(record.choice.agreed());
        let source = if chosen.is_some() {
            "chosen"
        } else {
            "suggested"
        };
        self.verdict_text = format!("{source}: {}", assessment.verdict);
        self.drill = assessment.drill;
        self.depth_now = assessment.depths.and_then(|depths| depths.drill);
        self.depth_after_cut = assessment.depths.map(|depths| depths.drill_after_cut);
    }
}

/// Lists what is left to resolve, measure, or choose.
fn missing_items(
    hole: &HoleListed,
    view: &HoleView,
    judged: &hole::plan::Plan,
    catalog: &Catalog,
) -> Vec<String> {
    let conflicts = view.status.conflicts.iter().map(ToString::to_string);
    if hole.stage == Stage::Passed {
        return conflicts.collect();
    }
    let unread = missing(judged, &view.record, catalog);
    let unchosen = view
        .record
        .choice
        .0
        .is_empty()
        .then(|| "no remedy chosen yet".to_owned());
    let problems = view.status.problems.iter().map(ToString::to_string);
    conflicts
        .chain(problems)
        .chain(unread)
        .chain(unchosen)
        .collect()
}
