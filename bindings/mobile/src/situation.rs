//! What the arithmetic must know of a hole.

use crate::border::{In, record, record_out};
use crate::damage::Damage;
use crate::error::NotebookError;
use crate::length::Length;
use holebook_core::hole::situation as core;

record! {
    /// How far readings may be off, either way. None: not said, and then none is reckoned with.
    Errors = core::Errors {
        /// Of the depth.
        #[uniffi(default = None)]
        depth: Option<Length>,
        /// Of the floor.
        #[uniffi(default = None)]
        floor: Option<Length>,
        /// Of the distance to the nearest edge.
        #[uniffi(default = None)]
        nearest_edge: Option<Length>,
        /// Of the distance to the nearest hole.
        #[uniffi(default = None)]
        nearest_hole: Option<Length>,
        /// Of the hole in the part bolted on.
        #[uniffi(default = None)]
        mating_hole: Option<Length>,
    }
}

record! {
    /// Everything about a hole that decides which remedies fit. None stands for "not known" throughout, and what depends
    /// on it is then never passed. Depths run from today's face into the metal, distances from the intended centre.
    Situation = core::Situation {
        /// The thread that the hole shall have.
        thread: String,
        /// The bolt's grade.
        #[uniffi(default = None)]
        bolt: Option<String>,
        /// The metal of the casting; `unknown` is taken as the weakest gray iron.
        metal: String,
        /// Whether the hole goes through; then `depth` is the thickness of the metal.
        #[uniffi(default = None)]
        through: Option<bool>,
        /// Depth to the bottom of the hole.
        #[uniffi(default = None)]
        depth: Option<Length>,
        /// Metal under the bottom.
        #[uniffi(default = None)]
        floor: Option<Length>,
        /// From the intended centre to the nearest edge of the face, or to a passage.
        #[uniffi(default = None)]
        nearest_edge: Option<Length>,
        /// From the intended centre to that of the nearest other hole.
        #[uniffi(default = None)]
        nearest_hole: Option<Length>,
        /// Diameter of the hole in the part that is bolted on.
        #[uniffi(default = None)]
        mating_hole: Option<Length>,
        /// Thickness of all that the bolt holds: the part, its gasket and the washer.
        #[uniffi(default = None)]
        grip: Option<Length>,
        /// Metal still to come off the face; zero where the face stays as it is.
        #[uniffi(default = None)]
        face_cut: Option<Length>,
        /// Metal that has come off the face already.
        milled: Length,
        /// How far the depths and distances above may be off. They stand at the worst already: what was read, less this.
        errors: Errors,
        /// What is missing or wrong round the intended centre; its readings stand as they were read, each with its own error.
        damage: Damage,
        /// Whether anyone looked what is missing. Without, `damage` may say less than there is.
        #[uniffi(default = false)]
        damage_read: bool,
        /// Families of inserts and taps in the drawer. None: nobody said.
        #[uniffi(default = None)]
        on_hand: Option<Vec<String>>,
    }
}

impl Situation {
    /// Lets it cross, unless no such hole can be.
    pub(crate) fn checked(self) -> Result<core::Situation, NotebookError> {
        let situation: core::Situation = self.inward()?;
        situation.check().map_err(NotebookError::unfit)?;
        Ok(situation)
    }
}
