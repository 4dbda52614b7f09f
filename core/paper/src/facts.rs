//! What the notebook knows of a face, read once for a sheet.

use crate::PaperError;
use chrono::{DateTime, FixedOffset};
use holebook_core::hole::plan::Plan;
use holebook_core::hole::run_order::{Stop, run_order};
use holebook_core::hole::stage::Stage;
use holebook_core::insert::Catalog;
use holebook_core::length::Unit;
use holebook_core::notebook::{
    CastingView, FaceId, FaceView, HoleSummary, HoleView, Notebook, NotebookError, Settings,
};
use std::collections::HashMap;
use std::sync::Arc;

/// A hole with its plan.
pub struct HoleFacts {
    /// As it is in the list of holes, with its next task.
    pub summary: HoleSummary,
    /// All active entries about it.
    pub view: HoleView,
    /// What follows from them, for the chosen remedy.
    pub plan: Plan,
}

impl HoleFacts {
    /// Returns whether it has passed.
    pub fn is_passed(&self) -> bool {
        self.summary.stage == Stage::Passed
    }
}

/// A face with all that its sheets show.
pub struct FaceFacts {
    /// The face, its photos, and its marks.
    pub face: FaceView,
    /// The casting; `None` if it was struck out or is not here yet.
    pub casting: Option<CastingView>,
    /// Its holes, by number.
    pub holes: Vec<HoleFacts>,
    /// This notebook's settings.
    pub settings: Settings,
    /// The inserts that remedies choose from.
    pub catalog: Arc<Catalog>,
    /// The unit of lengths.
    pub unit: Unit,
    /// When the sheet is printed.
    pub at: DateTime<FixedOffset>,
}

impl FaceFacts {
    /// Reads a face with all of its holes. The cost grows with its holes.
    pub fn read(notebook: &Notebook, id: FaceId, unit: Unit) -> Result<FaceFacts, PaperError> {
        let face = notebook.face(id)?;
        let catalog = notebook.catalog()?;
        let holes = face.holes.iter().map(|summary| {
            let view = notebook.hole(summary.id)?;
            let plan = Plan::of_chosen(&view.record, &view.face_record, &catalog);
            Ok::<_, NotebookError>(HoleFacts {
                summary: summary.clone(),
                view,
                plan,
            })
        });
        let holes = holes.collect::<Result<Vec<_>, _>>()?;
        let casting = match notebook.casting(face.casting) {
            Ok(casting) => Some(casting),
            Err(NotebookError::NoSuch { .. }) => None,
            Err(error) => return Err(error.into()),
        };
        Ok(FaceFacts {
            casting,
            holes,
            settings: notebook.settings()?,
            unit,
            at: holebook_core::notebook::now(),
            face,
            catalog,
        })
    }

    /// Returns the holes in working order: what is not passed by short ways with hard metal last (see
    /// [`run_order`]), then what is passed, by number.
    pub fn in_working_order(&self) -> Vec<&HoleFacts> {
        let marked = self.marked();
        let (passed, open): (Vec<_>, Vec<_>) = self.holes.iter().partition(|it| it.is_passed());
        let stops: Vec<Stop> = open
            .iter()
            .map(|hole| Stop {
                number: hole.summary.number,
                at: marked.get(&hole.summary.number).copied(),
                hard: hole
                    .plan
                    .situation
                    .as_ref()
                    .is_ok_and(|situation| !situation.damage.hard.is_empty()),
            })
            .collect();
        let open = run_order(&stops).into_iter().map(|at| open[at]);
        open.chain(passed).collect()
    }

    /// Where holes are in the photo that shows most of them.
    fn marked(&self) -> HashMap<u32, (f64, f64)> {
        // Of equals the earlier one.
        let photos: Vec<_> = self.face.photos_of_face().collect();
        let best = photos
            .into_iter()
            .rev()
            .max_by_key(|photo| photo.marks.len());
        let marks = best.into_iter().flat_map(|photo| &photo.marks);
        let places = marks.filter_map(|mark| {
            let first = &mark.entries.0.first()?.body;
            Some((mark.number, (first.x_px, first.y_px)))
        });
        places.collect()
    }

    /// Returns the casting's name, or what is said without one.
    pub fn casting_name(&self) -> &str {
        match self.face.casting_name.as_str() {
            "" => "casting not in this notebook",
            name => name,
        }
    }
}
