//! What is recorded about where things are on a face, and what follows from it: the wanted pattern,
//! known points of a photo, height readings, and the mill; from these the centers of lost holes, the
//! table moves to them, and the face cut.
//!
//! The arithmetic is `holebook_place`'s. Here are the bodies of the entries, and how the entries of a
//! face go into it.

mod agree;
pub mod centers;
pub mod height;
pub mod moves;
mod photo_map;
pub mod record;
#[cfg(test)]
mod tests;

pub use centers::{Basis, Center, Centers, CentersError, InPhoto, Off};
pub use height::{FaceState, HeightsError};
pub use record::{
    CaliperDistance, FaceHeights, HeightAt, HeightTool, KnownPlace, MillAxis, MillSetup,
    OffsetSource, PatternHole, PatternSource, WantedPattern,
};
