//! Core.

pub mod drill;
pub mod exchange;
pub mod hole;
pub mod insert;
pub mod length;
pub mod notebook;
pub mod photo;
pub mod strength;
pub mod thread;
