//! The drills one can buy, by the names the trade gives them.

pub mod named;
