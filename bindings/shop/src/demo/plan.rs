//! A notebook's plan, hole by hole: what is to be done, how deep, and what is missing for it.

use crate::commands::words;
use holebook_core::drill::Drill;
use holebook_core::hole;
use holebook_core::hole::missing::missing;
use holebook_core::hole::next::Next;
use holebook_core::hole::record::HoleRecord;
use holebook_core::hole::remedies::Verdict;
use holebook_core::hole::state::State;
use holebook_core::insert::Catalogue;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{CastingId, FaceId, Notebook, NotebookError};
use holebook_core::notebook::{HoleListed, HoleView};
use serde::Serialize;

/// All castings with what is planned for their holes: the value of `holebook list` with more for each hole.
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
    /// Metal still to come off.
    #[serde(rename = "face_cut_mm")]
    pub face_cut: Option<Length>,
    /// Its holes.
    pub holes: Vec<HolePlan>,
}

/// One hole.
#[derive(Debug, Serialize)]
pub struct HolePlan {
    /// What stands in the list.
    #[serde(flatten)]
    pub hole: HoleListed,
    /// The drill.
    pub drill: Option<Drill>,
    /// How deep to drill from the face of today, to the full diameter.
    #[serde(rename = "depth_now_mm")]
    pub depth_now: Option<Length>,
    /// How deep that is from the finished face.
    #[serde(rename = "depth_after_cut_mm")]
    pub depth_after_cut: Option<Length>,
    /// What is not settled, not read, or not chosen.
    pub missing: Vec<String>,
    /// What to do next.
    pub next: Option<String>,
    /// The remedy in words: the chosen one, else the one that comes first.
    #[serde(skip)]
    pub remedy_words: String,
    /// What the checks come to, and whether it is chosen.
    #[serde(skip)]
    pub standing_words: String,
}

impl Plan {
    /// The plan of all that stands in `notebook`.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn of(notebook: &Notebook, unit: Unit) -> Result<Self, NotebookError> {
        let catalogue = notebook.catalogue()?;
        let mut castings = Vec::new();
        for casting in notebook.list()?.castings {
            let mut faces = Vec::new();
            for face in casting.faces {
                let holes = face.holes.into_iter().map(|hole| {
                    let view = notebook.hole(hole.id)?;
                    Ok(HolePlan::of(hole, &view, &catalogue, unit))
                });
                let holes = holes.collect::<Result<_, NotebookError>>()?;
                faces.push(FacePlan {
                    id: face.id,
                    name: face.name,
                    face_cut: face.face_cut,
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
    fn of(hole: HoleListed, view: &HoleView, catalogue: &Catalogue, unit: Unit) -> Self {
        let mut plan = Self {
            missing: missing_at(&hole, view, catalogue),
            hole,
            drill: None,
            depth_now: None,
            depth_after_cut: None,
            next: None,
            remedy_words: String::new(),
            standing_words: String::new(),
        };
        let judged = hole::plan::Plan::of(&view.record, &view.face_record, catalogue);
        plan.judge(&judged, &view.record, unit);
        plan
    }

    /// Takes drill and depths from the chosen remedy, and where none is chosen, from the one that comes first.
    fn judge(&mut self, judged: &hole::plan::Plan, record: &HoleRecord, unit: Unit) {
        self.next = Some(judged.next.to_string()).filter(|_| judged.next != Next::Nothing);
        let Some(assessment) = judged.leading() else {
            self.standing_words = Verdict::NotKnown.to_string();
            return;
        };
        let chosen = judged.chosen().and(record.choice.settled());
        let work = chosen.map_or_else(|| assessment.work(), |choice| choice.work.clone());
        self.remedy_words = words::work(&work, unit);
        let whose = if chosen.is_some() { "chosen" } else { "first" };
        self.standing_words = format!("{whose}: {}", assessment.verdict);
        self.drill = assessment.drill;
        self.depth_now = assessment.depths.and_then(|depths| depths.drill);
        self.depth_after_cut = assessment.depths.map(|depths| depths.drill_after_cut);
    }
}

/// What a person has still to settle, read or choose.
fn missing_at(hole: &HoleListed, view: &HoleView, catalogue: &Catalogue) -> Vec<String> {
    let questions = view.standing.questions.iter().map(ToString::to_string);
    if hole.state == State::Proved {
        return questions.collect();
    }
    let unread = missing(&view.record, &view.face_record, catalogue);
    let unchosen = view
        .record
        .choice
        .0
        .is_empty()
        .then(|| "a remedy is not chosen yet".to_owned());
    questions.chain(unread).chain(unchosen).collect()
}
