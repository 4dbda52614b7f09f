//! Core.

pub mod drill;
pub mod hole;
pub mod length;
pub mod thread;
