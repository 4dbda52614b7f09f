//! All of Holebook that is true without a screen or a network: the arithmetic of threads, drills and inserts, what can be done
//! for a damaged hole, and the journal that holds it.
//!
//! Arrows point one way: [`length`] to [`thread`] and [`drill`], to [`insert`], to [`strength`], to [`hole`], to [`notebook`], to
//! [`exchange`], to [`mend`]; [`cutting`] stands beside [`strength`], and [`photo`] beside [`hole`].

pub mod cutting;
pub mod drill;
pub mod exchange;
pub mod hole;
pub mod insert;
pub mod length;
pub mod mend;
pub mod notebook;
pub mod photo;
pub mod strength;
pub mod thread;
