//! Core.

pub mod drill;
pub mod length;
