//! How far a joint is bolted up.

use crate::hole::bolt_up::{BoltUp, JointHole};
use crate::notebook::{FaceId, HoleView, Notebook, NotebookError};

impl Notebook {
    /// Works out how far the joint of a face is bolted up.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is no such face; also if the notebook cannot be read.
    pub fn bolt_up(&self, face: FaceId) -> Result<BoltUp, NotebookError> {
        let face = self.face(face)?;
        let holes = face.holes.iter().map(|hole| self.hole(hole.id));
        let holes: Vec<HoleView> = holes.collect::<Result<_, _>>()?;
        let joint: Vec<JointHole<'_>> = holes.iter().map(HoleView::in_joint).collect();
        Ok(BoltUp::of(&joint, &face.record))
    }
}

impl HoleView {
    /// Returns what a joint needs of it.
    pub fn in_joint(&self) -> JointHole<'_> {
        JointHole {
            id: self.id,
            number: self.number,
            record: &self.record,
            status: &self.status,
            conflict: self.conflict,
        }
    }
}
