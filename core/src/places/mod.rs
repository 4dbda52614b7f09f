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
pub mod outline;
mod photo_map;
pub mod photos;
pub mod plane;
pub mod record;
pub mod straight;
#[cfg(test)]
mod tests;

pub use centers::{Basis, Center, Centers, CentersError, HoleCenter, InPhoto, Off, PhotosDiffer};
pub use height::{FaceState, HeightsError};
pub use plane::{Bounds, PhotoPlane, PlaneBasis};
pub use record::{
    CaliperDistance, EdgeInPhoto, FaceHeights, GoodHoles, HeightAt, HeightTool, KnownPlace,
    MillAxis, MillSetup, OffsetSource, PatternHole, PatternSource, WantedPattern,
};
pub use straight::{StraightPicture, Straightener};
