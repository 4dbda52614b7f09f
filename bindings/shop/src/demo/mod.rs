//! The sample: an invented casting in a notebook of its own.

mod build;
pub mod place;
pub mod plan;
pub mod scenario;
