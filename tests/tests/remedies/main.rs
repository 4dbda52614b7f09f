//! Verdicts on invented and on random holes, against rules that are written here a second time.
#![allow(clippy::unwrap_used)]

mod by_hand;
mod cases;
mod random_holes;
mod rules;
