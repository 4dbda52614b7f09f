//! Everything there is to be repaired, in one value.

use super::castings::faces_of;
use super::faces::holes_of;
use crate::hole::record::Remedy;
use crate::hole::state::State;
use crate::length::Length;
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, NotebookError};
use crate::thread::Thread;
use serde::Serialize;

/// Every casting with its faces and holes. Its JSON is a promise to scripts: keys may be added, never renamed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct List {
    /// The castings, by name.
    pub castings: Vec<CastingListed>,
}

/// A casting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CastingListed {
    /// Its id.
    pub id: CastingId,
    /// Its name.
    pub name: String,
    /// Its faces.
    pub faces: Vec<FaceListed>,
}

/// A face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceListed {
    /// Its id.
    pub id: FaceId,
    /// Its name.
    pub name: String,
    /// The cut still to come, where it is planned and not in question.
    #[serde(rename = "face_cut_mm")]
    pub face_cut: Option<Length>,
    /// Its holes, by number.
    pub holes: Vec<HoleListed>,
}

/// A hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoleListed {
    /// Its id.
    pub id: HoleId,
    /// Its number.
    pub number: u32,
    /// The thread wanted, where it is said and not in question.
    pub thread: Option<Thread>,
    /// How far it is.
    pub state: State,
    /// The remedy chosen, where one is and it is not in question.
    pub remedy: Option<Remedy>,
    /// Whether its entries disagree.
    pub in_question: bool,
}

impl Notebook {
    /// Everything there is to be repaired.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
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
                        face_cut: face.face_cut,
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
            state: hole.state,
            remedy: hole.remedy,
            in_question: hole.in_question,
        }
    }
}
