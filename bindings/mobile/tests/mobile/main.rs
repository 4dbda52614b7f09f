//! Holebook's core and sync by typed calls.
#![allow(clippy::unwrap_used)]

mod drawer;
mod errors;
mod face_places;
mod find;
mod job;
mod screens;
mod strength;
mod support;
mod sync;
