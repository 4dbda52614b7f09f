//! The hole: what is left of its wall, the ways to make it hold again, the steps, and how far it is.
//!
//! [`record`] is what people say of a hole, [`situation`] what of it the arithmetic needs, [`remedies`] judges every way to
//! mend it, [`budget`] lays off the depths from the face of today and from the finished one, [`steps`] says what to do in which
//! order, [`missing`] what is still to be read, [`state`] how far the hole is, [`plan`] is all of this for one hole with the one
//! thing to do [`next`], and [`section`] is the cut through it that a drawing shows.

pub mod budget;
pub mod caution;
pub mod damage;
mod elliptic;
mod hardness;
pub mod missing;
pub mod next;
pub mod plan;
pub mod record;
pub mod remedies;
pub mod section;
pub mod situation;
pub mod state;
pub mod steps;
#[cfg(test)]
mod testing;
mod wall;

pub use hardness::hardness;
