//! Helpers for the tests that cross rooms.

pub mod large;
pub mod readers;
pub mod shop;
