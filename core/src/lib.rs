//! Everything in Holebook that needs no screen and no network: the arithmetic of threads, drills and
//! inserts, the remedies for a damaged hole, and the journal.
//!
//! Dependencies point one way: [`length`] -> [`thread`], [`drill`] -> [`insert`] -> [`strength`] ->
//! [`hole`] -> [`notebook`] -> [`sync`] -> [`repair`], [`export`]. [`cutting`] and [`drawer`] are on the level of
//! [`strength`], [`photo`] and [`places`] on that of [`hole`]; [`labels`] puts all of it in words.

mod csv_text;
pub mod cutting;
pub mod display_name;
pub mod drawer;
pub mod drill;
pub mod export;
pub mod hole;
pub mod id;
pub mod insert;
pub mod labels;
pub mod length;
pub mod notebook;
pub mod photo;
pub mod places;
pub mod repair;
pub mod strength;
pub mod sync;
pub mod thread;
