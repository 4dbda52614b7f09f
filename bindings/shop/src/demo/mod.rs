//! The sample notebook: an invented casting.

mod build;
pub mod plan;
pub mod sample_folder;
pub mod scenario;
