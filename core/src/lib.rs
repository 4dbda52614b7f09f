//! Core.

pub mod drill;
pub mod hole;
pub mod insert;
pub mod length;
pub mod photo;
pub mod strength;
pub mod thread;
