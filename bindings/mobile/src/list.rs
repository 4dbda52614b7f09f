//! Everything there is to be repaired, in one value.

use crate::border::{Out, record_out};
use crate::castings::State;
use crate::error::NotebookError;
use crate::ids::{CastingId, FaceId, HoleId};
use crate::length::Length;
use crate::notebook::Notebook;
use crate::record::Remedy;
use holebook_core::notebook as core;

record_out! {
    /// A hole, as the list has it.
    HoleListed = core::HoleListed {
        /// Its id.
        id: HoleId,
        /// Its number.
        number: u32,
        /// The thread wanted, where it is said and not in question.
        thread: Option<String>,
        /// How far it is.
        state: State,
        /// The remedy chosen, where one is and it is not in question.
        remedy: Option<Remedy>,
        /// Whether its entries disagree.
        in_question: bool,
    }
}

record_out! {
    /// A face, as the list has it.
    FaceListed = core::FaceListed {
        /// Its id.
        id: FaceId,
        /// Its name.
        name: String,
        /// The cut still to come, where it is planned and not in question.
        face_cut: Option<Length>,
        /// Its holes, by number.
        holes: Vec<HoleListed>,
    }
}

record_out! {
    /// A casting, as the list has it.
    CastingListed = core::CastingListed {
        /// Its id.
        id: CastingId,
        /// Its name.
        name: String,
        /// Its faces.
        faces: Vec<FaceListed>,
    }
}

#[uniffi::export]
impl Notebook {
    /// Everything there is to be repaired: castings by name, with their faces and holes. Blocks.
    pub fn list(&self) -> Result<Vec<CastingListed>, NotebookError> {
        self.call("list", |open| Ok(open.list()?.castings.out()))
    }
}
