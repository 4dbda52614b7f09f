//! The whole notebook as one list.

use super::castings::faces_of;
use super::holes_of;
use crate::hole::condition::Condition;
use crate::hole::next_task::NextTask;
use crate::hole::record::Remedy;
use crate::hole::stage::Stage;
use crate::length::Length;
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, NotebookError};
use crate::thread::Thread;
use serde::Serialize;

/// All castings with their faces and holes. Its JSON is a promise to scripts: keys may be added,
/// never renamed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct List {
    /// The castings, sorted by name.
    pub castings: Vec<CastingListed>,
}

/// A casting.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct CastingListed {
    /// Its id.
    pub id: CastingId,
    /// Its name.
    pub name: String,
    /// Its faces.
    pub faces: Vec<FaceListed>,
}

/// A face.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct FaceListed {
    /// Its id.
    pub id: FaceId,
    /// Its name.
    pub name: String,
    /// The stock left to remove; `None` if no cut is planned or the plan is in conflict.
    #[serde(rename = "face_cut_mm")]
    pub left_to_remove: Option<Length>,
    /// The planned face cut; `None` if there is none or it is in conflict.
    #[serde(rename = "planned_face_cut_mm")]
    pub planned_face_cut: Option<Length>,
    /// Its holes, sorted by number.
    pub holes: Vec<HoleListed>,
}

/// A hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
pub struct HoleListed {
    /// Its id.
    pub id: HoleId,
    /// Its number.
    pub number: u32,
    /// The wanted thread; `None` if there is none or it is in conflict.
    pub thread: Option<Thread>,
    /// Its condition by a first look; `None` if there is none or it is in conflict.
    pub condition: Option<Condition>,
    /// Its stage.
    pub stage: Stage,
    /// The chosen remedy; `None` if there is none or it is in conflict.
    pub remedy: Option<Remedy>,
    /// Whether it has a conflict.
    pub conflict: bool,
    /// Number of its open problems: recorded work that does not hold, or no longer holds.
    pub problems: u32,
    /// What to do next on it.
    pub next_task: NextTask,
}

impl Notebook {
    /// Returns all castings with their faces and holes.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn list(&self) -> Result<List, NotebookError> {
        let castings = self.castings()?;
        self.read(|conn| {
            let mut listed = Vec::new();
            for casting in castings {
                let mut faces = Vec::new();
                for face in faces_of(conn, casting.id)? {
                    let holes = holes_of(conn, face.id)?
                        .into_iter()
                        .map(HoleListed::from)
                        .collect();
                    faces.push(FaceListed {
                        id: face.id,
                        name: face.name,
                        left_to_remove: face.left_to_remove,
                        planned_face_cut: face.face_cut,
                        holes,
                    });
                }
                listed.push(CastingListed {
                    id: casting.id,
                    name: casting.name,
                    faces,
                });
            }
            Ok(List { castings: listed })
        })
    }
}

impl From<super::HoleSummary> for HoleListed {
    fn from(hole: super::HoleSummary) -> Self {
        Self {
            id: hole.id,
            number: hole.number,
            thread: hole.thread,
            condition: hole.condition,
            stage: hole.stage,
            remedy: hole.remedy,
            conflict: hole.conflict,
            problems: hole.problems,
            next_task: hole.next,
        }
    }
}
